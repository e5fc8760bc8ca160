"""Addresses of the versions of a quote."""

from __future__ import annotations

from django.urls import path

from quoting.variants import views

urlpatterns = [
    path("quotes/<int:quote_id>/versions/add/", views.add, name="variant-add"),
    path("quotes/<int:quote_id>/versions/name/", views.rename, name="variant-rename"),
    path("quotes/<int:quote_id>/versions/leave-out/", views.leave_out, name="variant-leave-out"),
    path("quotes/<int:quote_id>/versions/put-back/", views.put_back, name="variant-put-back"),
]

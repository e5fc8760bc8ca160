"""Addresses of a quote's supplies."""

from __future__ import annotations

from django.urls import path

from quoting.supplies import views

urlpatterns = [
    path("quotes/<int:quote_id>/supplies/", views.plan, name="quote-supplies"),
    path("supplies/<int:supply_id>/done/", views.mark_done, name="supply-done"),
]

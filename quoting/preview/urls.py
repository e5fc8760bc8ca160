"""Addresses of an offer as its client will read it."""

from __future__ import annotations

from django.urls import path

from quoting.preview import views

urlpatterns = [
    path("quotes/<int:quote_id>/as-the-client/", views.as_client, name="quote-as-client"),
    path("quotes/<int:quote_id>/as-the-client/e-mail/", views.letter, name="quote-as-client-letter"),
    path("quotes/<int:quote_id>/as-the-client/page/", views.page, name="quote-as-client-page"),
]

"""Addresses of the list of quotes."""

from __future__ import annotations

from django.urls import path

from quoting.quote_list import views

urlpatterns = [
    path("quotes/", views.list_quotes, name="quotes"),
    path("quotes/start/<int:event_id>/", views.start, name="quote-start"),
    path("quotes/<int:quote_id>/copy/", views.copy, name="quote-copy"),
]

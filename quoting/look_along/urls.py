"""Addresses of the look-along, for the studio."""

from __future__ import annotations

from django.urls import path

from quoting.look_along import views

urlpatterns = [
    path("quotes/<int:quote_id>/look/", views.let_look, name="quote-look"),
    path("quotes/<int:quote_id>/look/stop/", views.stop_look, name="quote-look-stop"),
]

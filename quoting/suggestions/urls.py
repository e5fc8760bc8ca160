"""Addresses of the suggestions."""

from __future__ import annotations

from django.urls import path

from quoting.suggestions import views

urlpatterns = [
    path("quotes/<int:quote_id>/pieces/<int:piece_id>/fit-room/", views.fit_room, name="piece-fit-room"),
    path("quotes/<int:quote_id>/fit-budget/", views.fit_budget, name="quote-fit-budget"),
    path("quotes/<int:quote_id>/fit-shelf/", views.fit_shelf, name="quote-fit-shelf"),
    path(
        "quotes/<int:quote_id>/pieces/<int:piece_id>/version/", views.take_version, name="piece-take-version"
    ),
    path(
        "quotes/<int:quote_id>/pieces/<int:piece_id>/colours/", views.take_colours, name="piece-take-colours"
    ),
]

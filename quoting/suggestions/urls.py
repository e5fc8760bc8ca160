"""Addresses of the suggestions."""

from __future__ import annotations

from django.urls import path

from quoting.suggestions import views

urlpatterns = [
    path("quotes/<int:quote_id>/pieces/<int:piece_id>/fit-room/", views.fit_room, name="piece-fit-room"),
    path("quotes/<int:quote_id>/fit-budget/", views.fit_budget, name="quote-fit-budget"),
    path("quotes/<int:quote_id>/fit-stock/", views.fit_stock, name="quote-fit-stock"),
    path("quotes/<int:quote_id>/fit/<str:kind>/<str:name>/", views.show_fit, name="fit-result"),
    path("quotes/<int:quote_id>/fit/<str:kind>/<str:name>/stop/", views.stop_fit, name="fit-stop"),
    path(
        "quotes/<int:quote_id>/pieces/<int:piece_id>/fit-room/<str:name>/",
        views.show_room_fit,
        name="piece-room-result",
    ),
    path(
        "quotes/<int:quote_id>/pieces/<int:piece_id>/version/", views.take_version, name="piece-take-version"
    ),
    path(
        "quotes/<int:quote_id>/pieces/<int:piece_id>/colours/", views.take_colours, name="piece-take-colours"
    ),
]

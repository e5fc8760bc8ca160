"""Addresses of the stocktake."""

from __future__ import annotations

from django.urls import path, register_converter

from stock.counting import views
from stock.counting.place_converter import PlaceConverter

register_converter(PlaceConverter, "place")

urlpatterns = [
    path("shelf/count-sheet/", views.show_count_sheet, name="count-sheet"),
    path("shelf/stock-take/", views.show_places, name="stocktake"),
    # Phones keep pages by their path, so the place is part of it; the colon keeps a place called “..” a name.
    path("shelf/stock-take/at:<place:place>/", views.count_place, name="stocktake-place"),
]

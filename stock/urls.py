"""Addresses of the stock room, inside a studio."""

from __future__ import annotations

from django.urls import path

from stock.views import colours, items, shelf, stocktake

app_name = "stock"

urlpatterns = [
    path("shelf/", shelf.shelf_page, name="shelf"),
    path("shelf/count-sheet/", shelf.count_sheet_page, name="count-sheet"),
    path("shelf/stock-take/", stocktake.places, name="stock-take"),
    path("shelf/stock-take/place/", stocktake.place, name="count-place"),
    path("shelf/colours/", colours.colours, name="colours"),
    path("shelf/colours/<int:colour_id>/change/", colours.change, name="change-colour"),
    path("shelf/add/", items.choose_kind, name="choose-kind"),
    path("shelf/add/<slug:kind>/", items.add, name="add-item"),
    path("shelf/items/<int:item_id>/", items.item, name="item"),
    path("shelf/items/<int:item_id>/change/", items.change, name="change-item"),
    path("shelf/items/<int:item_id>/receive", items.receive, name="receive"),
    path("shelf/items/<int:item_id>/count", items.count, name="count"),
    path("shelf/items/<int:item_id>/write-off", items.write_off, name="write-off"),
    path("shelf/items/<int:item_id>/retire", items.retire, name="retire"),
    path("shelf/items/<int:item_id>/bring-back", items.bring_back, name="bring-back"),
]

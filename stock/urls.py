"""Addresses of the stock room, inside a studio."""

from __future__ import annotations

from django.urls import path, register_converter

from stock.place_converter import PlaceConverter
from stock.views import (
    alerts,
    buying,
    colours,
    holds,
    item_photos,
    items,
    kits,
    orders,
    pieces,
    rules,
    shelf,
    stocktake,
    suppliers,
    table,
)

app_name = "stock"

register_converter(PlaceConverter, "place")

urlpatterns = [
    path("shelf/", shelf.shelf_page, name="shelf"),
    path("shelf/count-sheet/", shelf.count_sheet_page, name="count-sheet"),
    path("shelf/stock-take/", stocktake.places, name="stock-take"),
    # Phones keep pages by their path, so the place stands in it; the colon keeps a place called “..” a name.
    path("shelf/stock-take/at:<place:place>/", stocktake.place, name="count-place"),
    path("shelf/rules/", rules.rules_page, name="rules"),
    path("shelf/wants-a-look/", alerts.alerts_page, name="alerts"),
    path("shelf/holds/<int:hold_id>/", holds.hold, name="hold"),
    path("shelf/holds/<int:hold_id>/swap", holds.swap, name="swap"),
    path("shelf/shelf.csv", table.export, name="export"),
    path("shelf/bring-in/", table.bring_in, name="bring-in"),
    path("shelf/buy/", buying.buy, name="buy"),
    path("shelf/orders/", orders.orders_page, name="orders"),
    path("shelf/orders/<int:order_id>/", orders.order, name="order"),
    path("shelf/orders/<int:order_id>/send", orders.send, name="send-order"),
    path("shelf/orders/<int:order_id>/receive", orders.receive, name="receive-order"),
    path("shelf/orders/<int:order_id>/close", orders.close, name="close-order"),
    path("shelf/orders/<int:order_id>/call-off", orders.call_off, name="call-off-order"),
    path("shelf/orders/<int:order_id>/lines", orders.set_line, name="set-order-line"),
    path("shelf/orders/<int:order_id>/send-back", orders.send_back, name="send-back"),
    path("shelf/orders/<int:order_id>/price", orders.change_price, name="change-order-price"),
    path("shelf/orders/<int:order_id>/paper", orders.paper, name="order-paper"),
    path("shelf/orders/<int:order_id>/make-paper", orders.make_paper, name="make-order-paper"),
    path("shelf/orders/<int:order_id>/order.pdf", orders.pdf, name="order-pdf"),
    path("shelf/orders/<int:order_id>/order.csv", orders.csv_file, name="order-csv"),
    path("shelf/suppliers/", suppliers.suppliers_page, name="suppliers"),
    path("shelf/suppliers/<int:supplier_id>/", suppliers.supplier, name="supplier"),
    path("shelf/suppliers/<int:supplier_id>/change/", suppliers.change, name="change-supplier"),
    path("shelf/suppliers/<int:supplier_id>/price", suppliers.set_price, name="set-price"),
    path("shelf/suppliers/<int:supplier_id>/remove-price", suppliers.remove_price, name="remove-price"),
    path("shelf/suppliers/<int:supplier_id>/retire", suppliers.retire, name="retire-supplier"),
    path("shelf/suppliers/<int:supplier_id>/bring-back", suppliers.bring_back, name="bring-back-supplier"),
    path("shelf/suppliers/<int:supplier_id>/order", orders.start, name="start-order"),
    path("shelf/kits/", kits.kits_page, name="kits"),
    path("shelf/kits/add/", kits.add, name="add-kit"),
    path("shelf/kits/<int:kit_id>/", kits.change, name="change-kit"),
    path("shelf/kits/<int:kit_id>/take-apart", kits.take_apart, name="take-kit-apart"),
    path("shelf/colours/", colours.colours, name="colours"),
    path("shelf/colours/<int:colour_id>/change/", colours.change, name="change-colour"),
    path("shelf/add/", items.choose_kind, name="choose-kind"),
    path("shelf/add/<slug:kind>/", items.add, name="add-item"),
    path("shelf/items/<int:item_id>/", items.item, name="item"),
    path("shelf/items/<int:item_id>/change/", items.change, name="change-item"),
    path("shelf/items/<int:item_id>/receive", items.receive, name="receive"),
    path("shelf/items/<int:item_id>/count", items.count, name="count"),
    path("shelf/items/<int:item_id>/write-off", items.write_off, name="write-off"),
    path("shelf/items/<int:item_id>/set-aside", items.set_aside, name="set-aside"),
    path(
        "shelf/items/<int:item_id>/set-aside/<int:hold_id>/back",
        items.back_in_service,
        name="back-in-service",
    ),
    path("shelf/items/<int:item_id>/pieces", pieces.add, name="add-piece"),
    path("shelf/pieces/<int:tagged_id>/", pieces.piece, name="piece"),
    path("shelf/pieces/<int:tagged_id>/rename", pieces.rename, name="rename-piece"),
    path("shelf/pieces/<int:tagged_id>/mend", pieces.mend, name="mend-piece"),
    path("shelf/pieces/<int:tagged_id>/back", pieces.back, name="piece-back"),
    path("shelf/pieces/<int:tagged_id>/retire", pieces.retire, name="retire-piece"),
    path("shelf/items/<int:item_id>/photo.jpg", item_photos.photo, name="item-photo"),
    path("shelf/items/<int:item_id>/photo", item_photos.keep, name="keep-item-photo"),
    path("shelf/items/<int:item_id>/photo/remove", item_photos.remove, name="remove-item-photo"),
    path("shelf/items/<int:item_id>/retire", items.retire, name="retire"),
    path("shelf/items/<int:item_id>/bring-back", items.bring_back, name="bring-back"),
]

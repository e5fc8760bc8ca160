"""Addresses of the stock room, inside a studio."""

from __future__ import annotations

from django.urls import path, register_converter

from stock.alerts import views
from stock.buying import order_views, supplier_views
from stock.buying import views as buying
from stock.care import views as pieces
from stock.catalogue import rules_views, table_views
from stock.catalogue import views as colours
from stock.counting.place_converter import PlaceConverter
from stock.counting import views as stocktake
from stock.holds import views as holds
from stock.items import photo_views
from stock.items import views as items
from stock.kits import views as kits
from stock.shelf import views as shelf

app_name = "stock"

register_converter(PlaceConverter, "place")

urlpatterns = [
    path("shelf/", shelf.shelf_page, name="shelf"),
    path("shelf/count-sheet/", shelf.count_sheet_page, name="count-sheet"),
    path("shelf/stock-take/", stocktake.places, name="stock-take"),
    # Phones keep pages by their path, so the place stands in it; the colon keeps a place called “..” a name.
    path("shelf/stock-take/at:<place:place>/", stocktake.place, name="count-place"),
    path("shelf/rules/", rules_views.rules_page, name="rules"),
    path("shelf/wants-a-look/", views.alerts_page, name="alerts"),
    path("shelf/holds/<int:hold_id>/", holds.hold, name="hold"),
    path("shelf/holds/<int:hold_id>/swap", holds.swap, name="swap"),
    path("shelf/shelf.csv", table_views.export, name="export"),
    path("shelf/bring-in/", table_views.bring_in, name="bring-in"),
    path("shelf/buy/", buying.buy, name="buy"),
    path("shelf/orders/", order_views.orders_page, name="orders"),
    path("shelf/orders/<int:order_id>/", order_views.order, name="order"),
    path("shelf/orders/<int:order_id>/send", order_views.send, name="send-order"),
    path("shelf/orders/<int:order_id>/receive", order_views.receive, name="receive-order"),
    path("shelf/orders/<int:order_id>/close", order_views.close, name="close-order"),
    path("shelf/orders/<int:order_id>/call-off", order_views.call_off, name="call-off-order"),
    path("shelf/orders/<int:order_id>/lines", order_views.set_line, name="set-order-line"),
    path("shelf/orders/<int:order_id>/send-back", order_views.send_back, name="send-back"),
    path("shelf/orders/<int:order_id>/price", order_views.change_price, name="change-order-price"),
    path("shelf/orders/<int:order_id>/paper", order_views.paper, name="order-paper"),
    path("shelf/orders/<int:order_id>/make-paper", order_views.make_paper, name="make-order-paper"),
    path("shelf/orders/<int:order_id>/order.pdf", order_views.pdf, name="order-pdf"),
    path("shelf/orders/<int:order_id>/order.csv", order_views.csv_file, name="order-csv"),
    path("shelf/suppliers/", supplier_views.suppliers_page, name="suppliers"),
    path("shelf/suppliers/<int:supplier_id>/", supplier_views.supplier, name="supplier"),
    path("shelf/suppliers/<int:supplier_id>/change/", supplier_views.change, name="change-supplier"),
    path("shelf/suppliers/<int:supplier_id>/price", supplier_views.set_price, name="set-price"),
    path("shelf/suppliers/<int:supplier_id>/remove-price", supplier_views.remove_price, name="remove-price"),
    path("shelf/suppliers/<int:supplier_id>/retire", supplier_views.retire, name="retire-supplier"),
    path(
        "shelf/suppliers/<int:supplier_id>/bring-back", supplier_views.bring_back, name="bring-back-supplier"
    ),
    path("shelf/suppliers/<int:supplier_id>/order", order_views.start, name="start-order"),
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
    path("shelf/items/<int:item_id>/photo.jpg", photo_views.photo, name="item-photo"),
    path("shelf/items/<int:item_id>/photo", photo_views.keep, name="keep-item-photo"),
    path("shelf/items/<int:item_id>/photo/remove", photo_views.remove, name="remove-item-photo"),
    path("shelf/items/<int:item_id>/retire", items.retire, name="retire"),
    path("shelf/items/<int:item_id>/bring-back", items.bring_back, name="bring-back"),
]

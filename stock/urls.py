"""Addresses of the stock room, inside a studio."""

from __future__ import annotations

from django.urls import include, path

app_name = "stock"

urlpatterns = [
    path("", include("stock.alerts.urls")),
    path("", include("stock.buying.urls")),
    path("", include("stock.care.urls")),
    path("", include("stock.catalogue.urls")),
    path("", include("stock.counting.urls")),
    path("", include("stock.first_shelf.urls")),
    path("", include("stock.holds.urls")),
    path("", include("stock.items.urls")),
    path("", include("stock.kits.urls")),
    path("", include("stock.orders.urls")),
    path("", include("stock.shelf.urls")),
    path("", include("stock.suppliers.urls")),
]

"""Addresses of the purchase list."""

from __future__ import annotations

from django.urls import path

from stock.buying import views

urlpatterns = [
    path("shelf/buy/", views.show_purchase_list, name="purchase-list"),
]

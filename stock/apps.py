"""The stock room as a Django app."""

from __future__ import annotations

from django.apps import AppConfig


class StockConfig(AppConfig):
    """What the studio owns and uses up."""

    name = "stock"
    verbose_name = "Stock"

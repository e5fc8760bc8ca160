"""Addresses of the stock room, inside a studio."""

from __future__ import annotations

app_name = "stock"

urlpatterns: list = []

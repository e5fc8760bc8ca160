"""Addresses of the quoting room, inside a studio."""

from __future__ import annotations

app_name = "quoting"

urlpatterns: list = []

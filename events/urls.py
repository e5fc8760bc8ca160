"""Addresses of the events room, inside a studio."""

from __future__ import annotations

app_name = "events"

urlpatterns: list = []

"""Addresses that a client opens without an account."""

from __future__ import annotations

urlpatterns: list = []

"""Addresses of the quoting room, inside a studio."""

from __future__ import annotations

from django.urls import include, path

app_name = "quoting"

urlpatterns = [
    path("", include("quoting.offer_urls")),
]

"""Addresses that crew open by a link, without an account."""

from __future__ import annotations

from django.urls import include, path

urlpatterns = [
    path("", include("events.crew.public_urls")),
    path("", include("events.crew_phones.public_urls")),
]

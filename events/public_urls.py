"""Addresses that are opened without an account: by crew with a link, and the public page of finished work."""

from __future__ import annotations

from django.urls import include, path

urlpatterns = [
    path("", include("events.crew.public_urls")),
    path("", include("events.crew_phones.public_urls")),
    path("", include("events.portfolio.public_urls")),
    path("", include("events.website_form.public_urls")),
]

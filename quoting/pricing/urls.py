"""Addresses of the studio's rates."""

from __future__ import annotations

from django.urls import path

from quoting.pricing import views

urlpatterns = [
    path("settings/rates/", views.rates, name="rates"),
    path("settings/what-clients-see/", views.client_terms, name="client-terms"),
]

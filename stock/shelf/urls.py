"""Addresses of the shelf."""

from __future__ import annotations

from django.urls import path

from stock.shelf import views

urlpatterns = [
    path("shelf/", views.show_shelf, name="shelf"),
]

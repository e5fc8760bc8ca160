"""Addresses of a hold."""

from __future__ import annotations

from django.urls import path

from stock.holds import views

urlpatterns = [
    path("shelf/holds/<int:hold_id>/", views.show_hold, name="hold"),
    path("shelf/holds/<int:hold_id>/swap/", views.swap_item, name="hold-swap"),
]

"""Addresses of the kits."""

from __future__ import annotations

from django.urls import path

from stock.kits import views

urlpatterns = [
    path("shelf/kits/", views.show_kits, name="kits"),
    path("shelf/kits/add/", views.add_kit, name="kit-add"),
    path("shelf/kits/<int:kit_id>/", views.change_kit, name="kit-change"),
    path("shelf/kits/<int:kit_id>/delete/", views.delete_kit, name="kit-delete"),
]

"""Addresses of the tagged items."""

from __future__ import annotations

from django.urls import path

from stock.care import views

urlpatterns = [
    path("shelf/tagged/<int:tagged_id>/", views.show_tagged_item, name="tagged-item"),
    path("shelf/tagged/<int:tagged_id>/rename/", views.rename_tagged_item, name="tagged-item-rename"),
    path("shelf/tagged/<int:tagged_id>/repair/", views.repair_tagged_item, name="tagged-item-repair"),
    path("shelf/tagged/<int:tagged_id>/return/", views.return_tagged_item, name="tagged-item-return"),
    path("shelf/tagged/<int:tagged_id>/retire/", views.retire_tagged_item, name="tagged-item-retire"),
]

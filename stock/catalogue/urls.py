"""Addresses of the catalogue."""

from __future__ import annotations

from django.urls import path

from stock.catalogue import views

urlpatterns = [
    path("shelf/shelf.csv", views.export_items, name="catalogue-export"),
    path("shelf/import/", views.import_items, name="catalogue-import"),
    path("shelf/colours/", views.show_colours, name="colours"),
    path("shelf/colours/<int:colour_id>/change/", views.change_colour, name="colour-change"),
    path("shelf/rules/", views.change_shelf_rules, name="shelf-rules"),
]

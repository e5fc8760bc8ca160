"""Addresses of the catalogue."""

from __future__ import annotations

from django.urls import path

from stock.catalogue import views

urlpatterns = [
    path("shelf/shelf.csv", views.export_items, name="catalogue-export"),
    path("shelf/import/", views.import_items, name="catalogue-import"),
    path("shelf/import/<str:name>/", views.show_check, name="import-check"),
    path("shelf/import/<str:name>/done/", views.show_import, name="import-result"),
    path("shelf/import/<str:name>/stop/", views.stop_import, name="import-stop"),
    path("shelf/colours/", views.show_colours, name="colours"),
    path("shelf/colours/<int:colour_id>/change/", views.change_colour, name="colour-change"),
    path("shelf/rules/", views.change_shelf_rules, name="shelf-rules"),
]

"""Addresses of an item."""

from __future__ import annotations

from django.urls import path

from stock.items import views

urlpatterns = [
    path("shelf/add/", views.choose_kind, name="item-choose-kind"),
    path("shelf/add/<slug:kind>/", views.add_item, name="item-add"),
    path("shelf/items/<int:item_id>/", views.show_item, name="item"),
    path("shelf/items/<int:item_id>/change/", views.change_item, name="item-change"),
    path("shelf/items/<int:item_id>/retire/", views.retire_item, name="item-retire"),
    path("shelf/items/<int:item_id>/restore/", views.restore_item, name="item-restore"),
    path("shelf/items/<int:item_id>/receive/", views.receive_item, name="item-receive"),
    path("shelf/items/<int:item_id>/count/", views.count_item, name="item-count"),
    path("shelf/items/<int:item_id>/write-off/", views.write_off_item, name="item-write-off"),
    path("shelf/items/<int:item_id>/set-aside/", views.set_item_aside, name="item-set-aside"),
    path(
        "shelf/items/<int:item_id>/set-aside/<int:hold_id>/return/",
        views.return_to_service,
        name="item-return",
    ),
    path("shelf/items/<int:item_id>/photo.jpg", views.show_photo, name="item-photo"),
    path("shelf/items/<int:item_id>/photo/", views.save_photo, name="item-photo-save"),
    path("shelf/items/<int:item_id>/photo/remove/", views.remove_photo, name="item-photo-remove"),
    path("shelf/items/<int:item_id>/tag/", views.tag_item, name="item-tag"),
]

"""Addresses of the room in which a quote's pieces stand."""

from __future__ import annotations

from django.urls import path

from quoting.room_scene import views

urlpatterns = [
    path("quotes/<int:quote_id>/room/", views.room, name="room-scene"),
    path("quotes/<int:quote_id>/room/<int:piece_id>/", views.place_piece, name="room-place"),
    path("quotes/<int:quote_id>/room/photo/", views.put_photo_behind, name="room-photo"),
    path("quotes/<int:quote_id>/room/photo/remove/", views.take_away_photo, name="room-photo-remove"),
]

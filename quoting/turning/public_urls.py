"""Addresses that a phone's own viewer fetches models from, without an account."""

from __future__ import annotations

from django.urls import re_path

from quoting.turning import views

urlpatterns = [
    re_path(r"^n/(?P<token>[\w:-]+)\.(?P<ending>glb|usdz)$", views.room_piece, name="room-piece"),
]

"""Addresses of set pieces that can be turned."""

from __future__ import annotations

from django.urls import path

from quoting.turning import views

urlpatterns = [
    path("quotes/<int:quote_id>/pieces/<int:piece_id>/turn/", views.turn, name="piece-turn"),
    path("quotes/<int:quote_id>/pieces/<int:piece_id>/model.glb", views.model, name="piece-model"),
]

"""Addresses of the lifelike pictures of set pieces."""

from __future__ import annotations

from django.urls import path

from quoting.stills import views

urlpatterns = [
    path("quotes/<int:quote_id>/pieces/<int:piece_id>/still/", views.still, name="piece-still"),
    path("pieces/<int:piece_id>/small/<slug:digest>.webp", views.small, name="piece-small"),
    path("stills/<slug:digest>.jpg", views.picture, name="still-picture"),
]

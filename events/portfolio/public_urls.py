"""Addresses of the public page of finished work. They stay as they are: others link to them."""

from __future__ import annotations

from django.urls import path

from events.portfolio import public_views

urlpatterns = [
    path("portfolio/<slug:name>/", public_views.show_portfolio, name="public-portfolio"),
    path("portfolio/<slug:name>/<int:photo_id>.webp", public_views.show_photo, name="public-portfolio-photo"),
    path("portfolio/<slug:name>/logo.png", public_views.show_logo, name="public-portfolio-logo"),
]

"""Address of the page for a picture that a client likes."""

from __future__ import annotations

from django.urls import path

from quoting.likeness import views

urlpatterns = [path("designs/like-a-picture/", views.like_a_picture, name="like-a-picture")]

"""Addresses of images that are printed on covers."""

from __future__ import annotations

from django.urls import path

from quoting.prints import views

urlpatterns = [path("prints/<slug:digest>.jpg", views.image, name="print-image")]

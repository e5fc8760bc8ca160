"""Addresses of what a phone needs to work without signal."""

from __future__ import annotations

from django.urls import path

from studio.ui import views

urlpatterns = [
    path("phone-worker.js", views.worker, name="phone-worker"),
    path("phone/without-signal/", views.without_signal, name="without-signal"),
]

"""Addresses of what a phone needs to work without signal."""

from __future__ import annotations

from django.urls import path, re_path

from studio.ui import views

urlpatterns = [
    path("phone-worker.js", views.worker, name="phone-worker"),
    re_path(r"^brand/(?P<hex>[0-9a-f]{6})\.css$", views.brand, name="brand"),
    path("phone/without-signal/", views.without_signal, name="without-signal"),
]

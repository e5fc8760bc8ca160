"""Addresses of the alerts."""

from __future__ import annotations

from django.urls import path

from stock.alerts import views

urlpatterns = [
    path("shelf/alerts/", views.show_alerts, name="alerts"),
]

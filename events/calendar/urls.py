"""Addresses of the week and the month, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.calendar import views

urlpatterns = [
    path("", views.show_week, name="week"),
    path("month/", views.show_month, name="month"),
]

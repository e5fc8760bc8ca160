"""Addresses of the first shelf."""

from __future__ import annotations

from django.urls import path

from stock.first_shelf import views

urlpatterns = [
    path("shelf/first/", views.first_shelf, name="first-shelf"),
    path("shelf/costs/", views.check_costs, name="check-costs"),
]

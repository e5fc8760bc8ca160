"""Addresses of planning a span of days, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.planner import views

urlpatterns = [
    path("plan/", views.request_plan, name="plan"),
    path("plan/accept/", views.accept_plan, name="plan-accept"),
    path("plan/<str:asked>/", views.show_plan, name="plan-result"),
    path("plan/<str:asked>/stop/", views.stop_plan, name="plan-stop"),
]

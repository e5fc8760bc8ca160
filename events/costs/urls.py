"""The address of an event's real cost, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.costs import views

urlpatterns = [path("events/<int:event_id>/cost/", views.show_real_cost, name="real-cost")]

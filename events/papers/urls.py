"""Addresses of an event's papers, inside a studio."""

from __future__ import annotations

from django.urls import path

from events.papers import views

urlpatterns = [
    path("events/<int:event_id>/papers/<slug:paper_kind>/", views.make_paper, name="paper-make"),
    path("events/<int:event_id>/papers/<slug:paper_kind>/<slug:digest>/", views.show_paper, name="paper"),
    path(
        "events/<int:event_id>/papers/<slug:paper_kind>/<slug:digest>.pdf",
        views.open_paper,
        name="paper-open",
    ),
]

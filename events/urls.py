"""Addresses of the events room, inside a studio."""

from __future__ import annotations

from django.urls import include, path

app_name = "events"

urlpatterns = [
    path("", include("events.calendar.urls")),
    path("", include("events.jobs.urls")),
    path("", include("events.crew.urls")),
    path("", include("events.crew_phones.urls")),
    path("", include("events.schedule.urls")),
    path("", include("events.papers.urls")),
    path("", include("events.costs.urls")),
    path("", include("events.planner.urls")),
    path("", include("events.booking.urls")),
    path("", include("events.contacts.urls")),
    path("", include("events.transfers.urls")),
    path("", include("events.loadout.urls")),
    path("", include("events.portfolio.urls")),
    path("", include("events.website_form.urls")),
]

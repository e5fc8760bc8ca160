"""The events room as a Django app."""

from __future__ import annotations

from django.apps import AppConfig


class EventsConfig(AppConfig):
    """Clients, venues, events, and the day itself."""

    name = "events"
    verbose_name = "Events"

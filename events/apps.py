"""The events room as a Django app."""

from __future__ import annotations

from django.apps import AppConfig


class EventsConfig(AppConfig):
    """Clients, venues, events, and the day itself."""

    name = "events"
    verbose_name = "Events"

    def ready(self) -> None:
        """Have this room's own due things asked for."""
        from events.calendar import agenda, week
        from events.loadout import swaps
        from stock.holds import holds

        agenda.register(week.not_counted_back)
        agenda.register(week.shortages_ahead)
        holds.follow_swaps(swaps.follow)

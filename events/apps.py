"""The events room as a Django app."""

from __future__ import annotations

from django.apps import AppConfig


class EventsConfig(AppConfig):
    """Clients, venues, events, and the day itself."""

    name = "events"
    verbose_name = "Events"

    def ready(self) -> None:
        """Have this room's own due things asked for."""
        from events.booking import event_sections
        from events.booking.first_steps import take_an_enquiry
        from events.booking.wishes_section import wishes_section
        from events.calendar import agenda, due_items
        from events.crew import refusals
        from events.loadout import swaps
        from events.loadout.whereabouts import find_sightings
        from events.portfolio import on_event as portfolio
        from events.website_form.settings_tab import website_tab
        from stock.holds import holds
        from stock.holds.whereabouts import sightings
        from studio.people import first_steps, settings_tabs

        first_steps.register(take_an_enquiry)
        settings_tabs.register(website_tab)
        event_sections.register(wishes_section)
        agenda.register(due_items.not_counted_back)
        agenda.register(due_items.shortages_ahead)
        agenda.register(due_items.crew_refusals)
        event_sections.register(refusals.refusals_section)
        event_sections.register(portfolio.photos_section)
        holds.follow_swaps(swaps.follow_swap)
        sightings.register(find_sightings)

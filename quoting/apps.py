"""The quoting room as a Django app."""

from __future__ import annotations

from django.apps import AppConfig


class QuotingConfig(AppConfig):
    """Designs, prices, offers and the client side of them."""

    name = "quoting"
    verbose_name = "Quoting"

    def ready(self) -> None:
        from events.booking import event_sections
        from events.calendar import agenda
        from events.loadout import crew_links
        from quoting import ports
        from quoting.invoices import presenter

        event_sections.register(ports.quotes_beside)
        event_sections.register(ports.build_sheets_beside)
        crew_links.register(ports.build_sheet_papers)
        agenda.register(ports.offers_about_to_lapse)
        event_sections.register(presenter.invoices_beside)
        agenda.register(presenter.overdue_invoices)

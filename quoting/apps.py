"""The quoting room as a Django app."""

from __future__ import annotations

from django.apps import AppConfig


class QuotingConfig(AppConfig):
    """Designs, prices, offers and the client side of them."""

    name = "quoting"
    verbose_name = "Quoting"

    def ready(self) -> None:
        from events import beside, due, papers
        from quoting import ports
        from quoting.invoices import listing
        from stock import substitutes

        beside.register(ports.quotes_beside)
        beside.register(ports.build_sheets_beside)
        papers.register(ports.build_sheet_papers)
        due.register(ports.offers_about_to_lapse)
        beside.register(listing.invoices_beside)
        due.register(listing.overdue_invoices)
        substitutes.lend_difference(ports.colour_difference)

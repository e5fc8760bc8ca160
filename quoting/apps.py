"""The quoting room as a Django app."""

from __future__ import annotations

from django.apps import AppConfig


class QuotingConfig(AppConfig):
    """Designs, prices, offers and the client side of them."""

    name = "quoting"
    verbose_name = "Quoting"

    def ready(self) -> None:
        from events import beside, due
        from quoting import ports

        beside.register(ports.quotes_beside)
        due.register(ports.offers_about_to_lapse)

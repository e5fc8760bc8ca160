"""The stock room as a Django app."""

from __future__ import annotations

from django.apps import AppConfig


class StockConfig(AppConfig):
    """What the studio owns and uses up."""

    name = "stock"
    verbose_name = "Stock"

    def ready(self) -> None:
        from stock.catalogue import import_export
        from stock.first_shelf.first_steps import check_your_costs, say_what_you_have
        from stock.ledger import movements
        from studio.people import first_steps

        import_export.opening.register(movements.open_with)
        first_steps.register(say_what_you_have)
        first_steps.register(check_your_costs)

"""The stock room's worker tasks, gathered where Celery looks for an app's tasks."""

from __future__ import annotations

from stock.alerts.tasks import add_up_ledgers, look_over_shelves
from stock.catalogue.tasks import check_table, import_table
from stock.orders.tasks import mail_order, render_order

__all__ = ["add_up_ledgers", "check_table", "import_table", "look_over_shelves", "mail_order", "render_order"]

"""Worker tasks of the catalogue."""

from __future__ import annotations

from stock.catalogue import table_work
from studio.outbox import entries


@entries.worker_task("stock.check_table")
def check_table(*, name: str) -> None:
    """Say what a file of items would change."""
    table_work.check(name)


@entries.worker_task("stock.import_table")
def import_table(*, name: str) -> None:
    """Import a file of items."""
    table_work.import_table(name)

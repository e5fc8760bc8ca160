"""A CSV file of items checked, then imported: asked for on a page, worked out by the worker."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from stock.catalogue import import_export
from stock.catalogue.import_export import ImportTable
from studio.outbox.long_work import LongWork, Work
from studio.tenancy.access import require
from studio.tenancy.fair_share import TABLE_ROWS
from studio.tenancy.rights import Right

SECONDS_A_ROW: Final = 0.005
"""Measured on two busy cores; for the bar that a page shows only."""


@dataclass(frozen=True, slots=True)
class TableAsked:
    """The file as it was sent, and for an import the check that it was seen in."""

    content: bytes
    check: str = ""


CHECK: Final = LongWork[TableAsked, ImportTable]("stock.check_table", TABLE_ROWS, seconds=1)
IMPORT: Final = LongWork[TableAsked, ImportTable]("stock.import_table", TABLE_ROWS, seconds=1)


def ask_check(content: bytes) -> str:
    """Have the worker say what a file would change. Raises ``UnreadableFile``, ``TooMuch`` and ``Away``."""
    return _ask(CHECK, TableAsked(content))


def ask_import(checked: Work[TableAsked, ImportTable]) -> str:
    """Have the worker import a file that was checked, once however often the button is pressed.

    Raises ``TooMuch`` and ``Away``.
    """
    before = IMPORT.last()
    if before and before.asked.check == checked.name and (before.is_waiting or before.result):
        return before.name
    return _ask(IMPORT, TableAsked(checked.asked.content, checked.name))


def check(name: str) -> None:
    """Say what a file would change. The worker calls this."""
    CHECK.work_out(name, lambda asked, progress: import_export.preview_csv(asked.content, progress=progress))


def import_table(name: str) -> None:
    """Import a file: all of it, or nothing if one row is wrong. The worker calls this."""
    IMPORT.work_out(name, lambda asked, progress: import_export.import_csv(asked.content, progress=progress))


# --- Private ---


def _ask(work: LongWork[TableAsked, ImportTable], asked: TableAsked) -> str:
    require(Right.EDIT_SHELF)
    rows = import_export.count_rows(asked.content)
    return work.ask(asked, seconds=max(1.0, rows * SECONDS_A_ROW), amount=rows)

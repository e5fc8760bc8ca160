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

SECONDS_A_ROW: Final = 0.02


@dataclass(frozen=True, slots=True)
class TableAsked:
    """The file as it was sent."""

    content: bytes


CHECK: Final = LongWork[TableAsked, ImportTable]("stock.check_table", TABLE_ROWS, seconds=1)
IMPORT: Final = LongWork[TableAsked, ImportTable]("stock.import_table", TABLE_ROWS, seconds=1)


def ask_check(content: bytes) -> str:
    """Have the worker say what a file would change. Raises ``UnreadableFile``, ``TooMuch`` and ``Away``."""
    return _ask(CHECK, content)


def ask_import(checked: Work[TableAsked, ImportTable]) -> str:
    """Have the worker import a file that was checked. Raises ``TooMuch`` and ``Away``."""
    return _ask(IMPORT, checked.asked.content)


def check(name: str) -> None:
    """Say what a file would change. The worker calls this."""
    CHECK.work_out(name, lambda asked, progress: import_export.preview_csv(asked.content, progress=progress))


def import_table(name: str) -> None:
    """Import a file: all of it, or nothing if one row is wrong. The worker calls this."""
    IMPORT.work_out(name, lambda asked, progress: import_export.import_csv(asked.content, progress=progress))


# --- Private ---


def _ask(work: LongWork[TableAsked, ImportTable], content: bytes) -> str:
    require(Right.EDIT_SHELF)
    rows = import_export.count_rows(content)
    return work.ask(TableAsked(content), seconds=max(1.0, rows * SECONDS_A_ROW), amount=rows)

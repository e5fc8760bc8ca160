"""The judge of the phones' soak finds what it is there to find."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from tests.faults.phone_soak import counts, faults_of, wrongly_shown

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)


def op(name: str, count: int = 3, **more: Any) -> dict[str, Any]:
    """What a phone wrote down."""
    return {"uuid": name, "line": 7, "count": count, "phone": "p", "safe": True, **more}


def row(name: str, count: int = 3, minute: int = 0, after: list[str] | None = None) -> dict[str, Any]:
    """What the server has."""
    made_at = NOON + timedelta(minutes=minute)
    facts = {"uuid": name, "line_id": 7, "kind": "loaded", "count": count, "text": "", "phone": "p"}
    return {**facts, "after": after or [], "made_at": made_at}


@pytest.mark.parametrize(
    ("journal", "rows", "found"),
    [
        ([op("a"), op("b")], [row("a"), row("b")], []),
        ([op("a"), op("b", safe=False)], [row("a")], []),
        ([op("a"), op("b")], [row("a")], ["lost"]),
        ([op("a")], [row("a"), row("a")], ["on the server 2 times"]),
        ([op("a")], [row("a", 4)], ["changed on the way"]),
        ([op("a")], [row("a"), row("b")], ["from nowhere"]),
    ],
)
def test_every_kind_of_fault_is_found(
    journal: list[dict[str, Any]], rows: list[dict[str, Any]], found: list[str]
) -> None:
    assert [fault.split(":")[0] for fault in faults_of(journal, rows, before=set())] == found


def test_a_count_shown_wrongly_is_found() -> None:
    rows = [row("a", 3, minute=9), row("b", 5, minute=1, after=["a"]), row("c", 4, minute=0)]
    assert counts(rows, {"7": 9}) == {"7": 5}
    assert wrongly_shown("Marit", {"7": 5}, rows, {"7": 9}) == []
    assert wrongly_shown("Marit", {"7": 3}, rows, {"7": 9}) == ["Marit shows 3 of line 7, the log says 5"]

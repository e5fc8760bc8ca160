"""Ticks of phones: each saved once, in any order, from any number of phones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime, timedelta
from typing import Final
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404
from django.utils import timezone

from events.loadout import returns, steps
from events.loadout.tick_merge import STEP_KINDS
from events.models import Event, LoadOutLine, Step, Tick, TickKind
from studio import tenancy
from studio.tenancy.access import require
from studio.tenancy.rights import Right

MOST_TICKS_AT_ONCE: Final = 500
MOST_PIECES: Final = 1_000_000
MOST_MINUTES: Final = 7 * 24 * 60
MOST_PEOPLE: Final = 200
LONGEST_TEXT: Final = 500
LONGEST_TASK: Final = 60
EARLIEST: Final = datetime(2000, 1, 1, tzinfo=UTC)
LATEST: Final = datetime(2100, 1, 1, tzinfo=UTC)
"""Outside these years a phone's clock is not set."""


@dataclass(frozen=True, slots=True)
class TickOp:
    """A tick as a phone sends it; :class:`events.models.Tick` explains the numbers of each kind."""

    uuid: UUID
    line_id: int | None
    count: int
    made_at: datetime
    phone: str = ""
    kind: TickKind = TickKind.LOADED
    mend: int = 0
    broken: int = 0
    lost: int = 0
    used: int = 0
    task: str = ""
    people: int = 1
    text: str = ""
    after: tuple[UUID, ...] | None = None


@dataclass(frozen=True, slots=True)
class Refused:
    """A tick that isn't saved, and why."""

    uuid: UUID
    why: str


@dataclass(frozen=True, slots=True)
class TickAnswer:
    """The ticks that are saved now, sent before or not, and those that were refused."""

    kept: tuple[UUID, ...]
    refused: tuple[Refused, ...]


def save_ticks(event_id: int, ops: Sequence[TickOp]) -> TickAnswer:
    """Save the ticks, each once however often it is sent, and take their steps.

    A tick for a line that isn't this event's is refused by itself; the others are saved. Raises ``Http404``
    where the studio has no such event.
    """
    require(Right.TICK_LOAD_OUT)
    if not Event.objects.filter(pk=event_id).exists():
        raise Http404
    mine = set(LoadOutLine.objects.filter(event_id=event_id).values_list("pk", flat=True))
    refused = [Refused(op.uuid, why) for op in ops if (why := _fault(op, mine))]
    wrong = {refusal.uuid for refusal in refused}
    taken = _by_server_clock([op for op in ops if op.uuid not in wrong])
    in_order = sorted((op for op in taken if op.kind in STEP_KINDS), key=lambda op: op.made_at)
    _write(event_id, [op for op in taken if op.kind not in STEP_KINDS])
    refused += [Refused(op.uuid, why) for op in in_order if (why := _take_step(event_id, op))]
    wrong = {refusal.uuid for refusal in refused}
    return TickAnswer(tuple(op.uuid for op in taken if op.uuid not in wrong), tuple(refused))


# --- Private ---


def _write(event_id: int, ops: Sequence[TickOp]) -> None:
    who = tenancy.current()
    Tick.objects.bulk_create(
        [
            Tick(event_id=event_id, person_id=who.person_id, crew_phone_id=who.phone_id, **_columns(op))
            for op in ops
        ],
        ignore_conflicts=True,
    )


def _columns(op: TickOp) -> dict[str, object]:
    """The tick by the names of its columns."""
    return {each.name: getattr(op, each.name) for each in fields(op)} | {
        "after": None if op.after is None else list(op.after)
    }


def _take_step(event_id: int, op: TickOp) -> str:
    """Mark or undo the step, once. Returns why it is refused: then nothing is saved of it."""
    if Tick.objects.filter(uuid=op.uuid).exists():
        return ""
    try:
        with transaction.atomic():
            if op.kind == TickKind.UNDONE:
                steps.undo(event_id, Step(op.task))
            elif op.task == Step.COUNTED_BACK:
                returns.count_back(event_id, at=op.made_at)
            else:
                steps.mark(event_id, Step(op.task), at=op.made_at)
            _write(event_id, [op])
    except ValidationError as refusal:
        return " ".join(refusal.messages)
    return ""


def _by_server_clock(ops: Sequence[TickOp]) -> list[TickOp]:
    """A phone's ticks, all moved back alike where its clock runs ahead: none lies in the future, their order stays."""
    ahead = max((op.made_at for op in ops), default=EARLIEST) - timezone.now()
    return [replace(op, made_at=op.made_at - ahead) for op in ops] if ahead > timedelta() else list(ops)


def _fault(op: TickOp, mine: set[int]) -> str:
    if not EARLIEST <= op.made_at < LATEST:
        return "This phone’s clock is years off. Set it, then tick again."
    if len(op.text) > LONGEST_TEXT:
        return f"This note has {len(op.text)} characters; at most {LONGEST_TEXT} fit."
    if op.line_id is not None and op.line_id not in mine:
        return "This line isn’t on the list any more."
    if op.kind in (TickKind.LOADED, TickKind.BACK):
        return _count_fault(op)
    if op.kind in STEP_KINDS:
        return "" if op.task in Step.values and op.line_id is None else "No event has this step."
    if op.kind == TickKind.HOURS:
        return _hours_fault(op)
    return "" if op.text else "Write a note first."


def _count_fault(op: TickOp) -> str:
    if op.line_id is None:
        return "This line isn’t on the list any more."
    gone = (op.mend, op.broken, op.lost, op.used)
    wrong = next((number for number in (op.count, *gone) if not 0 <= number <= MOST_PIECES), None)
    if wrong is not None:
        return f"{wrong} is not a possible count."
    if op.kind == TickKind.LOADED and any(gone):
        return "Only returned items can be broken, lost, used up or to be repaired."
    return ""


def _hours_fault(op: TickOp) -> str:
    if op.line_id is not None or not 0 < len(op.task) <= LONGEST_TASK:
        return "Choose the task that the time was spent on."
    if not 0 <= op.count <= MOST_MINUTES:
        return "Enter at most one week for a task."
    if not 1 <= op.people <= MOST_PEOPLE:
        return f"Enter 1 to {MOST_PEOPLE} people for a task."
    return ""

"""What phones and pages send without JSON: pressed buttons, counted returns and photos, as typed values."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Final

from django.utils import timezone

from events.loadout.hours import TaskHours
from events.loadout.line_states import Back, LineState
from events.loadout.ticks import TickOp
from events.models import TickKind
from studio.people.page_request import clean_text

NO_SCRIPT: Final = "no script"
"""Stands in place of the phone's name in ticks of buttons that were pressed without script."""
NUMBERS: Final = ("back", "mend", "broken", "lost", "used")
LONGEST_STEP: Final = 60

Posted = Mapping[str, str]


def read_step(posted: Posted) -> TickOp:
    """The step of the pressed button, with the person it was handed over to."""
    text = clean_text(posted.get("text", ""))
    return _op(kind=TickKind.STEP, task=posted.get("step", "")[:LONGEST_STEP], text=text)


def read_undo(posted: Posted) -> TickOp:
    """The step that the pressed button undoes."""
    return _op(kind=TickKind.UNDONE, task=posted["undo"][:LONGEST_STEP])


def read_note(posted: Posted) -> TickOp:
    """The note beside the pressed button ``line:uuid``; a note about the event has no line. Raises ``ValueError``."""
    line, _, name = posted["note"].partition(":")
    text = clean_text(posted.get(f"note-{line}", ""))
    return _op(int(line) if line else None, name=name, kind=TickKind.NOTE, text=text)


def read_count(posted: Posted) -> TickOp:
    """The count of the pressed button ``line:count:uuid``, or ``line::uuid`` with the number beside it.

    Raises ``ValueError``.
    """
    line, count, name = posted.get("tick", "").split(":")
    return _op(int(line), int(count or posted.get(f"some-{line}", "")), name=name)


def read_hours(posted: Posted, tasks: list[TaskHours]) -> TickOp:
    """The hours of the task in the pressed row. Raises ``ValueError``."""
    row = int(posted["hours"])
    if not 0 <= row < len(tasks):
        raise ValueError(row)
    minutes, people = (int(posted.get(f"{name}-{row}", "")) for name in ("minutes", "people"))
    return _op(count=minutes, kind=TickKind.HOURS, task=tasks[row].task, people=people)


def read_return(posted: Posted, state: LineState) -> TickOp | None:
    """The numbers of one line of the return list, where they are new. Raises ``ValueError``."""
    typed = [posted.get(f"{name}-{state.line.pk}", "").strip() for name in NUMBERS]
    if not any(typed):
        return None
    whole, mend, broken, lost, used = numbers = tuple(int(number or 0) for number in typed)
    if state.back and numbers == return_numbers(state.back):
        return None
    return _op(state.line.pk, whole, kind=TickKind.BACK, mend=mend, broken=broken, lost=lost, used=used)


def shown_return(posted: Posted, state: LineState) -> dict[str, str]:
    """The numbers of one line as they were typed, else as they are known."""
    known = return_numbers(state.back) if state.back else ("",) * len(NUMBERS)
    return {
        name: posted.get(f"{name}-{state.line.pk}", str(number))
        for name, number in zip(NUMBERS, known, strict=True)
    }


def return_numbers(back: Back) -> tuple[int, ...]:
    """The numbers of a return in the order of the form."""
    return back.whole, back.mend, back.broken, back.lost, back.used


def read_photo_name(posted: Posted) -> tuple[uuid.UUID, datetime]:
    """The uuid of a photo that the page's script sends, and when it was taken. Raises ``ValueError``."""
    try:
        return uuid.UUID(posted["uuid"]), datetime.fromisoformat(posted["made_at"]).astimezone(UTC)
    except (KeyError, OverflowError) as fault:
        raise ValueError("A photo needs a uuid and a time.") from fault


# --- Private ---


def _op(
    line_id: int | None = None,
    count: int = 0,
    *,
    name: str = "",
    kind: TickKind = TickKind.LOADED,
    mend: int = 0,
    broken: int = 0,
    lost: int = 0,
    used: int = 0,
    task: str = "",
    people: int = 1,
    text: str = "",
) -> TickOp:
    """A tick made now by a button without script; ``name`` is its uuid, where the page gave one."""
    return TickOp(
        uuid.UUID(name) if name else uuid.uuid4(),
        line_id,
        count,
        timezone.now(),
        NO_SCRIPT,
        kind=kind,
        mend=mend,
        broken=broken,
        lost=lost,
        used=used,
        task=task,
        people=people,
        text=text,
    )

"""The load-out list as JSON for phones, and the ticks that phones send.

Phones keep the list without signal: names of items, counts and first names of crew. It contains nothing of the
client, no telephone number and no price.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from datetime import UTC, datetime
from uuid import UUID

import msgspec
from django.utils import timezone

from events.loadout import steps
from events.loadout.line_states import Back, LineState, LoadOutList, Note, Rival
from events.loadout.ticks import MOST_TICKS_AT_ONCE, TickOp
from events.models import Event, TickKind
from studio.models import dates


class NotTicks(ValueError):
    """A body without ticks; the message says what is wrong with it."""


def write_list(the_list: LoadOutList) -> dict[str, object]:
    """The list in its present state."""
    event, last = the_list.event, steps.last_step(the_list.steps)
    return {
        "told_at": timezone.now().isoformat(),
        "revision": revision(the_list),
        "stage": event.stage,
        "lines": {str(state.line.pk): _line(state, event) for state in the_list.states},
        "hands": [f"{name} {count}" for name, count in the_list.loaders],
        "notes": [_note(note, event) for note in the_list.notes],
        "hours": {
            tick.task: {
                "minutes": tick.count,
                "hands": tick.people,
                "by": tick.by,
            }
            for tick in the_list.hours
        },
        "steps": {
            step: {
                "by": tick.by,
                "at": _clock(tick.made_at, event),
                "text": tick.text,
                "may_undo": step == last and steps.may_undo(tick),
            }
            for step, tick in the_list.steps.items()
        },
    }


def revision(the_list: LoadOutList) -> str:
    """Changes when the list's lines or the event's stage change, but not by ticks."""
    facts = [
        the_list.event.stage,
        the_list.event.status,
        *(
            (
                s.line.pk,
                s.line.label,
                s.line.quantity,
                s.line.place,
                s.line.shelf_place,
                s.short,
                *s.transfers.facts,
            )
            for s in the_list.states
        ),
    ]
    return hashlib.sha256(json.dumps(facts).encode()).hexdigest()[:12]


def read_ticks(body: bytes) -> list[TickOp]:
    """The ticks that a phone sends. Raises :class:`NotTicks`."""
    try:
        sent = msgspec.json.decode(body, type=_Sent)
        ops = [_op(tick) for tick in sent.ops]
    except (msgspec.MsgspecError, ValueError, OverflowError, RecursionError):
        raise NotTicks("Ticks have a uuid, a line, a count, and the time at which they were made.") from None
    if len(ops) > MOST_TICKS_AT_ONCE:
        raise NotTicks(f"Send at most {MOST_TICKS_AT_ONCE} ticks at once.")
    return ops


# --- Private ---


def _line(state: LineState, event: Event) -> dict[str, object]:
    return {
        "count": state.count,
        "by": state.by,
        "heads": _names(state.heads),
        "out": state.due_back,
        "rivals": [_rival(rival, event) for rival in state.rivals],
        "notes": [_note(note, event) for note in state.notes],
        "back": _back(state.back, event) if state.back else None,
    }


def _back(back: Back, event: Event) -> dict[str, object]:
    return {
        "count": back.whole,
        "mend": back.mend,
        "broken": back.broken,
        "lost": back.lost,
        "used": back.used,
        "by": back.by,
        "heads": _names(back.heads),
        "rivals": [_rival(rival, event) for rival in back.rivals],
    }


def _rival(rival: Rival, event: Event) -> dict[str, object]:
    return {"by": rival.by, "count": rival.count, "at": _clock(rival.at, event)}


def _note(note: Note, event: Event) -> dict[str, object]:
    return {"text": note.text, "by": note.by, "at": _clock(note.at, event)}


def _names(uuids: Sequence[UUID]) -> list[str]:
    return [str(each) for each in uuids]


def _clock(moment: datetime, event: Event) -> str:
    return dates.time_written(moment.astimezone(event.tz))


class _SentTick(msgspec.Struct, frozen=True):
    """One tick as a phone sends it. Older pages leave out the newer fields."""

    uuid: UUID
    made_at: str
    count: int = 0
    line: int | None = None
    kind: TickKind = TickKind.LOADED
    mend: int = 0
    broken: int = 0
    lost: int = 0
    used: int = 0
    people: int = msgspec.field(default=1, name="hands")
    task: str | int | float | None = ""
    text: str | int | float | None = ""
    phone: str | int | float | None = ""
    after: list[UUID] | None = None


class _Sent(msgspec.Struct, frozen=True):
    ops: list[_SentTick]


def _op(sent: _SentTick) -> TickOp:
    if sent.kind in (TickKind.LOADED, TickKind.BACK) and sent.line is None:
        raise ValueError("A count needs its line.")
    return TickOp(
        uuid=sent.uuid,
        line_id=sent.line,
        count=sent.count,
        made_at=datetime.fromisoformat(sent.made_at).astimezone(UTC),
        phone=_text(sent.phone)[:36],
        kind=sent.kind,
        mend=sent.mend,
        broken=sent.broken,
        lost=sent.lost,
        used=sent.used,
        task=_text(sent.task),
        people=sent.people,
        text=_text(sent.text),
        after=None if sent.after is None else tuple(sent.after[:100]),
    )


def _text(sent: object) -> str:
    return str(sent).replace("\x00", "").strip()

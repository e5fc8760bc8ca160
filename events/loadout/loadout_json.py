"""The load-out list as phones are told it, and ticks as phones say them: JSON on both ways.

Phones keep what they are told without signal: names of things, counts and first names of crew. Nothing of the
client, no telephone number and no price is among it.
"""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from django.utils import timezone

from events.loadout.load_list import Back, LineState, LoadOutList, Note, Rival
from events.loadout.ticks import MOST_TICKS_AT_ONCE, TickOp
from events.models import Event, TickKind


class NotTicks(ValueError):
    """A body that holds no ticks; the message says what is wrong with it."""


def told(the_list: LoadOutList) -> dict[str, Any]:
    """How the list stands now."""
    event = the_list.event
    return {
        "told_at": timezone.now().isoformat(),
        "revision": revision(the_list),
        "stage": event.stage,
        "lines": {str(state.line.pk): _line(state, event) for state in the_list.states},
        "hands": [f"{name} {count}" for name, count in the_list.hands],
        "notes": [_note(note, event) for note in the_list.notes],
        "hours": {
            tick.task: {
                "minutes": tick.count,
                "hands": tick.hands,
                "by": tick.by,
            }
            for tick in the_list.hours
        },
        "steps": {
            step: {
                "by": tick.by,
                "at": _clock(tick.made_at, event),
                "text": tick.text,
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
            (s.line.pk, s.line.label, s.line.quantity, s.line.place, s.line.shelf_place, *s.straight.words)
            for s in the_list.states
        ),
    ]
    return hashlib.sha256(json.dumps(facts).encode()).hexdigest()[:12]


def read(body: bytes) -> list[TickOp]:
    """The ticks that a phone sends. Raises :class:`NotTicks`."""
    try:
        sent = json.loads(body)
        ops = [_op(op) for op in sent["ops"]]
    except (ValueError, KeyError, TypeError, AttributeError, OverflowError, RecursionError):
        raise NotTicks("Ticks have a uuid, a line, a count, and the time at which they were made.") from None
    if len(ops) > MOST_TICKS_AT_ONCE:
        raise NotTicks(f"Send at most {MOST_TICKS_AT_ONCE} ticks at once.")
    return ops


# --- Private ---


def _line(state: LineState, event: Event) -> dict[str, Any]:
    return {
        "count": state.count,
        "by": state.by,
        "heads": _names(state.heads),
        "out": state.due_back,
        "rivals": [_rival(rival, event) for rival in state.rivals],
        "notes": [_note(note, event) for note in state.notes],
        "back": _back(state.back, event) if state.back else None,
    }


def _back(back: Back, event: Event) -> dict[str, Any]:
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


def _rival(rival: Rival, event: Event) -> dict[str, Any]:
    return {"by": rival.by, "count": rival.count, "at": _clock(rival.at, event)}


def _note(note: Note, event: Event) -> dict[str, Any]:
    return {"text": note.text, "by": note.by, "at": _clock(note.at, event)}


def _names(uuids: Sequence[uuid.UUID]) -> list[str]:
    return [str(each) for each in uuids]


def _clock(moment: datetime, event: Event) -> str:
    return moment.astimezone(event.tz).strftime("%H:%M")


def _op(sent: dict[str, Any]) -> TickOp:
    after = sent.get("after")
    return TickOp(
        uuid=uuid.UUID(str(sent["uuid"])),
        line_id=_line_of(sent),
        count=_number(sent, "count", 0),
        made_at=datetime.fromisoformat(sent["made_at"]).astimezone(UTC),
        phone=_text(sent, "phone")[:36],
        kind=TickKind(sent.get("kind", TickKind.LOADED)),
        mend=_number(sent, "mend", 0),
        broken=_number(sent, "broken", 0),
        lost=_number(sent, "lost", 0),
        used=_number(sent, "used", 0),
        task=_text(sent, "task"),
        hands=_number(sent, "hands", 1),
        text=_text(sent, "text"),
        after=None if after is None else tuple(uuid.UUID(str(each)) for each in after[:100]),
    )


def _line_of(sent: dict[str, Any]) -> int | None:
    kind = sent.get("kind", TickKind.LOADED)
    if kind in (TickKind.LOADED, TickKind.BACK) or sent.get("line") is not None:
        return _number(sent, "line")
    return None


def _number(sent: dict[str, Any], name: str, default: int | None = None) -> int:
    number = sent[name] if default is None else sent.get(name, default)
    if not isinstance(number, int) or isinstance(number, bool):
        raise TypeError
    return number


def _text(sent: dict[str, Any], name: str) -> str:
    return str(sent.get(name, "")).replace("\x00", "").strip()

"""Counting an event back: everything that went out is back, to be mended, broken, lost or used up.

Only this moves an event to *counted back*: its hold ends, what is gone is written to the ledger, and what is missing
is recorded for the owner, all in one transaction and once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from events.booking import event_lock, log
from events.loadout import load_list, spares, standard_kit
from events.loadout.line_states import LineState, LoadOutList
from events.models import Event, Stage, StageReached
from stock.catalogue.items import Material, find_by_code
from stock.holds import holds
from stock.models.hold import ACTIVE_STATES
from studio import tenancy
from studio.models import dates, entered_studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right

SHOWN_UNCOUNTED: Final = 5
MENDING: Final = timedelta(days=7)
"""How long mending takes until the shelf says otherwise (common practice, no source)."""


class CannotCountBack(ValidationError):
    """Lines are not accounted for, or the van was never loaded; nothing was written."""


@dataclass(frozen=True, slots=True)
class Loss:
    """How many of one item are to be mended, broken or missing."""

    label: str
    broken: int
    lost: int
    mend: int = 0


@dataclass(frozen=True, slots=True)
class ReturnLine:
    """A line to count back, and whether it comes back or is used up."""

    state: LineState
    comes_back: bool

    @property
    def may_be_mended(self) -> bool:
        """Whether it can be mended: balloons and other things that are used up can't."""
        return self.comes_back and not self.state.line.spare_of


@dataclass(frozen=True, slots=True)
class CountedBack:
    """The result of counting back."""

    event: Event
    losses: tuple[Loss, ...]


def count_back(event_id: int, *, at: datetime | None = None) -> CountedBack:
    """End the event's hold by what the phones counted. Counting back twice is once.

    Raises :class:`CannotCountBack` with a sentence for each line that isn't accounted for, ``Http404``.
    """
    require(Right.TICK_LOAD_OUT)
    with transaction.atomic():
        event = event_lock.lock_event(event_id)
        states = load_list.find_load_out_list(event_id).states
        if event.stage == Stage.COUNTED_BACK:
            return CountedBack(event, _losses(states))
        _refuse_impossible(event, states)
        _post(event, states)
        _reach_counted_back(event, min(at or timezone.now(), timezone.now()))
        losses = _losses(states)
        log.record(event, _words(losses))
    return CountedBack(event, losses)


def list_returns(the_list: LoadOutList) -> list[ReturnLine]:
    """The lines in the order of counting: what was loaded last lies at the van's door and is counted first.

    Unused spares are still flat and come back. One query.
    """
    items = find_by_code(state.line.item_code for state in the_list.states)
    comes_back = {code for code, item in items.items() if item.is_reusable}
    return [
        ReturnLine(
            state, bool(state.line.spare_of) or state.line.code in comes_back or _is_kit(state.line.code)
        )
        for state in reversed(the_list.states)
    ]


def find_uncounted(states: Iterable[LineState]) -> list[LineState]:
    """The lines that went out and are not accounted for in full."""
    return [state for state in states if not state.is_accounted_for]


# --- Private ---


def _is_kit(code: str) -> bool:
    """Whether it is of the standard kit though the shelf doesn't have it: that comes back as well."""
    return code.startswith(standard_kit.PREFIX)


def _refuse_impossible(event: Event, states: Sequence[LineState]) -> None:
    if not event.is_agreed:
        raise CannotCountBack("Only an agreed event can be counted back.")
    if event.stage == Stage.AGREED:
        raise CannotCountBack("Nothing has gone out yet: the van isn’t loaded.")
    faults = [
        f"{state.line.label}: {state.back_in_all} of {state.due_back} accounted for."
        for state in find_uncounted(states)
    ]
    if len(faults) > SHOWN_UNCOUNTED:
        faults[SHOWN_UNCOUNTED:] = [f"And {len(faults) - SHOWN_UNCOUNTED} lines more."]
    if faults:
        raise CannotCountBack(faults)


def _post(event: Event, states: Sequence[LineState]) -> None:
    """End the hold and write what is gone to the ledger, for all that the catalogue has."""
    if event.hold is None or event.hold.state not in ACTIVE_STATES:
        return
    known = find_by_code(state.line.item_code for state in states)
    counted = [
        (state.line.item_code, state.back) for state in states if state.back and state.line.item_code in known
    ]
    holds.count_back(
        event.hold.pk,
        used=[Material(code, back.used) for code, back in counted if back.used],
        broken=[Material(code, back.broken) for code, back in counted if back.broken],
        lost=[Material(code, back.lost) for code, back in counted if back.lost],
        mend=[Material(code, back.mend) for code, back in counted if back.mend and known[code].is_reusable],
        mended_by=timezone.now() + MENDING,
        key=f"event-{event.pk}-counted-back-{event.hold.pk}",
    )


def _reach_counted_back(event: Event, at: datetime) -> None:
    order = list(Stage)
    who = tenancy.current()
    for stage in order[order.index(Stage(event.stage)) + 1 :]:
        StageReached.objects.create(
            event=event, stage=stage, reached_at=at, person_id=who.person_id, crew_phone_id=who.phone_id
        )
    event.stage = Stage.COUNTED_BACK
    event_lock.save_event(event, "stage")


def _losses(states: Sequence[LineState]) -> tuple[Loss, ...]:
    """What is broken, missing or to be mended, an item and its spares in one."""
    found = []
    for members in spares.group_by_item(states):
        counted = [state.back for state in members if state.back]
        broken, lost, mend = (
            sum(getattr(back, what) for back in counted) for what in ("broken", "lost", "mend")
        )
        if broken or lost or mend:
            found.append(Loss(members[0].line.label, broken, lost, mend))
    return tuple(found)


def _words(losses: Sequence[Loss]) -> str:
    broken = [f"{loss.broken} × {loss.label}" for loss in losses if loss.broken]
    lost = [f"{loss.lost} × {loss.label}" for loss in losses if loss.lost]
    words = ["Counted back."]
    if broken:
        words.append(f"Broken: {', '.join(broken)}.")
    if mend := [f"{loss.mend} × {loss.label}" for loss in losses if loss.mend]:
        day = dates.day_written((timezone.now() + MENDING).astimezone(entered_studio().tz))
        words.append(f"To mend: {', '.join(mend)}; counted on again from {day}.")
    if lost:
        words.append(f"Missing: {', '.join(lost)}. Charge the client or write it off.")
    if not losses:
        words.append("Nothing broken, nothing missing.")
    return " ".join(words)

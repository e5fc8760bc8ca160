"""The load-out list and the strike and return list on paper: for a van without signal, and for whoever has no phone.

They say what the pages say, with room for a pencil. No prices.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.utils import timezone

from events.loadout import load_list, returns
from events.loadout.line_states import LoadOutList
from events.loadout.returns import Returning
from events.models import Answer, CrewCall, Event, LoadPlace, Shift, ShiftKind
from studio.models import Studio
from studio.paper import pdf

UNLOADED: Final = {
    LoadPlace.AT_HAND: "Spares, still flat",
    LoadPlace.LAST: "First: went in last",
    LoadPlace.MIDDLE: "Next",
    LoadPlace.FIRST: "Last: went in first",
}
"""What the places in the van are called when it is emptied, in that order."""


@dataclass(frozen=True, slots=True)
class OnTheRoad:
    """What drives on a stretch and who is at the wheel, as far as it is known."""

    van: str = ""
    drivers: tuple[str, ...] = ()
    with_event: str = ""
    """Where it is one round with another event, which comes first: that one's title."""
    round_starts_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class ReturnGroup:
    """What is counted back of one place in the van."""

    label: str
    rows: tuple[Returning, ...]


def load_out(event_id: int, studio: Studio) -> bytes:
    """The load-out list as a PDF. Two queries more than the list takes. Raises ``Http404``."""
    the_list = load_list.load_out_list(event_id)
    return _rendered("load_out", the_list, studio, ShiftKind.INSTALL)


def strike_and_return(event_id: int, studio: Studio) -> bytes:
    """The return list as a PDF. Three queries more than the list takes. Raises ``Http404``."""
    the_list = load_list.load_out_list(event_id)
    groups = return_groups(returns.to_come_home(the_list))
    return _rendered("return_list", the_list, studio, ShiftKind.STRIKE, groups=groups)


def return_groups(rows: Iterable[Returning]) -> list[ReturnGroup]:
    """What is counted back, place by place, in the order in which the van is emptied."""
    found: dict[int, list[Returning]] = {}
    for row in rows:
        found.setdefault(row.state.line.place, []).append(row)
    return [ReturnGroup(label, tuple(found[place])) for place, label in UNLOADED.items() if place in found]


def on_the_road(event: Event, kind: ShiftKind) -> OnTheRoad:
    """The van of a stretch and its drivers; whoever said no doesn't drive. Two queries, one where nothing is known."""
    shift = Shift.objects.select_related("van", "comes_from__event").filter(event=event, kind=kind).first()
    if shift is None:
        return OnTheRoad()
    calls = CrewCall.objects.select_related("member__person").filter(shift=shift, drives=True)
    first = shift.comes_from
    return OnTheRoad(
        van=shift.van.name if shift.van else "",
        drivers=tuple(str(call.member.person.name) for call in calls.exclude(answer=Answer.NO)),
        with_event=first.event.title if first else "",
        round_starts_at=first.starts_at if first else None,
    )


# --- Private ---


def _rendered(name: str, the_list: LoadOutList, studio: Studio, kind: ShiftKind, **more: Any) -> bytes:
    context = {
        "list": the_list,
        "event": the_list.event,
        "studio": studio,
        "road": on_the_road(the_list.event, kind),
        "printed_at": timezone.now(),
        "paper": pdf.paper(studio),
        **more,
    }
    return pdf.rendered(f"events/loadout/pdf/{name}.html", context)

"""The load-out list and the strike and return list on paper: for a van without signal, and for whoever has no phone.

They say what the pages say, with room to write. No prices.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from events.loadout import load_list, returns
from events.loadout.line_states import LoadOutList
from events.loadout.returns import ReturnLine
from events.models import Answer, CrewCall, Event, LoadPlace, Shift, ShiftKind
from studio.models import Studio
from studio.paper import pdf
from studio.paper.written_out import WrittenOut, write_out

UNLOADED: Final = {
    LoadPlace.AT_HAND: _("Spares, not inflated"),
    LoadPlace.LAST: _("Unload first (loaded last)"),
    LoadPlace.MIDDLE: _("Unload next"),
    LoadPlace.FIRST: _("Unload last (loaded first)"),
}
"""Labels of the places in the van while it is emptied, in that order."""


@dataclass(frozen=True, slots=True)
class ShiftVan:
    """The van of a shift and its drivers, as far as they are known."""

    van: str = ""
    drivers: tuple[str, ...] = ()
    with_event: str = ""
    """On a tour that begins at another event: that event's title."""
    tour_starts_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class ReturnGroup:
    """The lines of one place in the van."""

    label: str
    rows: tuple[ReturnLine, ...]


def write_load_out(event_id: int, studio: Studio) -> WrittenOut:
    """The load-out list to be printed. Two queries more than the list takes. Raises ``Http404``."""
    the_list = load_list.find_load_out_list(event_id)
    return _written("load_out", the_list, studio, ShiftKind.INSTALL)


def write_return_list(event_id: int, studio: Studio) -> WrittenOut:
    """The return list to be printed. Three queries more than the list takes. Raises ``Http404``."""
    the_list = load_list.find_load_out_list(event_id)
    groups = return_groups(returns.list_returns(the_list))
    return _written("return_list", the_list, studio, ShiftKind.STRIKE, groups)


def return_groups(rows: Iterable[ReturnLine]) -> list[ReturnGroup]:
    """The lines place by place, in the order in which the van is emptied."""
    found: dict[int, list[ReturnLine]] = {}
    for row in rows:
        found.setdefault(row.state.line.place, []).append(row)
    return [
        ReturnGroup(str(label), tuple(found[place])) for place, label in UNLOADED.items() if place in found
    ]


def find_shift_van(event: Event, kind: ShiftKind) -> ShiftVan:
    """The van of a shift and its drivers, without those who said no. Two queries, one where nothing is known."""
    shift = Shift.objects.select_related("van", "comes_from__event").filter(event=event, kind=kind).first()
    if shift is None:
        return ShiftVan()
    calls = CrewCall.objects.select_related("member__person").filter(shift=shift, drives=True)
    first = shift.comes_from
    return ShiftVan(
        van=shift.van.name if shift.van else "",
        drivers=tuple(str(call.member.person.name) for call in calls.exclude(answer=Answer.NO)),
        with_event=first.event.title if first else "",
        tour_starts_at=first.starts_at if first else None,
    )


# --- Private ---


def _written(
    name: str, the_list: LoadOutList, studio: Studio, kind: ShiftKind, groups: Sequence[ReturnGroup] = ()
) -> WrittenOut:
    context = {
        "list": the_list,
        "event": the_list.event,
        "studio": studio,
        "road": find_shift_van(the_list.event, kind),
        "printed_at": timezone.now(),
        "paper": pdf.paper(studio),
        "groups": groups,
    }
    about = f"{name.replace('_', '-')}-{the_list.event.pk}"
    return write_out(about, f"events/loadout/pdf/{name}.html", context)

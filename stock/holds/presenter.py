"""One hold: what it keeps, what it lacks, what could stand in for that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import Http404

from stock.catalogue.items import Material
from stock.holds import availability, substitutes
from stock.holds.availability import Available
from stock.holds.substitutes import Substitute
from stock.models import Hold
from stock.models.hold import STANDING
from studio.measures.times import Window
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True, slots=True)
class KeptLine:
    """One thing that a hold keeps, and what could stand in for it where it is short."""

    available: Available
    instead: tuple[Substitute, ...]


@dataclass(frozen=True, slots=True)
class HoldPage:
    """Everything that the page of a hold shows."""

    hold: Hold
    lines: tuple[KeptLine, ...]

    @property
    def is_standing(self) -> bool:
        """Whether it keeps anything."""
        return self.hold.state in STANDING


def hold_page(hold_id: int) -> HoldPage:
    """The hold's page; 404 for one that this studio hasn't."""
    require(Right.SEE_SHELF)
    found = Hold.objects.filter(pk=hold_id).first()
    if found is None:
        raise Http404("There is no such hold.")
    rows = found.lines.order_by("item__kind", "item__code").values_list("item__code", "quantity")
    # What comes straight or goes straight on has lines of its own: the quantities of a code are added up.
    window = Window(found.starts_at, found.ends_at)
    lines: Sequence[Available] = availability.availability(
        [Material(*row) for row in rows], window, besides=found.pk
    )
    short = [line for line in lines if line.short and line.item]
    instead = substitutes.substitutes(short, window, besides=found.pk) if short else {}
    return HoldPage(found, tuple(KeptLine(line, instead.get(line.code, ())) for line in lines))

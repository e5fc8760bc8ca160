"""What the page of a hold shows: its items, shortages and substitutes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import Http404

from stock.catalogue.items import Material
from stock.holds import availability, substitutes
from stock.holds.availability import Available
from stock.holds.substitutes import Substitute
from stock.models import Hold
from stock.models.hold import ACTIVE_STATES
from studio.measures.times import Window
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True, slots=True)
class HoldPageLine:
    """One item on a hold, and its substitutes if it is short."""

    available: Available
    substitutes: tuple[Substitute, ...]


@dataclass(frozen=True, slots=True)
class HoldPage:
    """Everything that the page of a hold shows."""

    hold: Hold
    lines: tuple[HoldPageLine, ...]

    @property
    def is_active(self) -> bool:
        """Whether it still reserves stock."""
        return self.hold.state in ACTIVE_STATES


def hold_page(hold_id: int) -> HoldPage:
    """The hold's page; 404 for a hold of another studio."""
    require(Right.SEE_SHELF)
    found = Hold.objects.filter(pk=hold_id).first()
    if found is None:
        raise Http404("There is no such hold.")
    rows = found.lines.order_by("item__kind", "item__code").values_list("item__code", "quantity")
    # Transfers have lines of their own, so the quantities of a code are added up.
    window = Window(found.starts_at, found.ends_at)
    lines: Sequence[Available] = availability.availability(
        [Material(*row) for row in rows], window, besides=found.pk
    )
    lines = availability.as_held(lines, [found.pk])
    short = [line for line in lines if line.short and line.item]
    found_substitutes = substitutes.find_substitutes(short, window, besides=found.pk) if short else {}
    return HoldPage(found, tuple(HoldPageLine(line, found_substitutes.get(line.code, ())) for line in lines))

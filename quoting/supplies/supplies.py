"""Supplies: what a quote needs and the stock list doesn't know is bought, hired or made by a day.

Latex that is to be bought gets its place in the stock list, so that Buy lists it with its latest day. Anything else is
a task with its day, on the event's page and in the week.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404
from django.utils import timezone

from quoting.craft.takeoff.doubles import every_colour
from quoting.models import Quote, Supply, SupplyKind
from quoting.quotes import sheet
from quoting.quotes.sheet import Sheet
from stock.catalogue import items
from stock.models import Colour, Item, Kind
from studio.models import entered_studio
from studio.models.spelling import spelled
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True, slots=True)
class Missing:
    """A code of the bill that the stock list doesn't know, and how it is supplied, if the owner has said so."""

    code: str
    label: str
    quantity: int
    supply: Supply | None = None

    @property
    def words(self) -> str:
        """How many of what: balloons are named as such."""
        if not self._is_latex:
            return f"{self.quantity} × {self.label}"
        return f"{self.quantity} balloon{'s' if self.quantity > 1 else ''}, {self.label}"

    @property
    def _is_latex(self) -> bool:
        return items.size_in_code(self.code) is not None


@dataclass(frozen=True, slots=True)
class Choice:
    """What the owner chose for one code."""

    kind: SupplyKind
    due_on: date
    cost: Decimal | None = None
    """What one costs the studio, where that is known."""


def find_missing(read: Sheet) -> list[Missing]:
    """What the stock list doesn't know of a quote's bill, in the bill's order. One query."""
    unknown = [code for code in read.needs if code not in read.items]
    if not unknown:
        return []
    known = {supply.code: supply for supply in read.quote.supplies.all()}
    return [Missing(code, read.labels.get(code, code), read.needs[code], known.get(code)) for code in unknown]


def find_on_site(read: Sheet) -> set[str]:
    """Codes of what stands at the venue. One query where the stock list lacks anything, else none."""
    return {one.code for one in find_missing(read) if one.supply and one.supply.kind == SupplyKind.SITE}


def find_unplanned(quote: Quote, labels: Mapping[str, str]) -> list[str]:
    """Labels of the codes that are neither in the stock list nor said to be bought, hired or made. Two queries."""
    unknown = set(labels) - set(items.find_by_code(labels))
    if not unknown:
        return []
    planned = set(quote.supplies.values_list("code", flat=True))
    return [label for code, label in labels.items() if code in unknown - planned]


def plan_supplies(quote_id: int, chosen: Mapping[str, Choice]) -> list[Missing]:
    """Save how codes are supplied; what is still missing afterwards is returned.

    Raises ``ValidationError`` with the code as field for a day that is past or too late; nothing is saved then.
    """
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        read = sheet.lock_sheet(quote_id, entered_studio())
        missing = {one.code: one for one in find_missing(read)}
        _refuse_days(read.quote, chosen)
        for code, choice in chosen.items():
            if code in missing:
                _plan(read, missing[code], choice)
        return find_missing(sheet.read_sheet(sheet.find_quote(quote_id), entered_studio(), pictures=False))


def mark_done(supply_id: int, *, done: bool) -> Supply:
    """Note that a thing is there, or that it isn't after all; twice changes nothing."""
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        found = Supply.objects.select_for_update().filter(pk=supply_id).first()
        if found is None:
            raise Http404
        if done != bool(found.done_at):
            found.done_at = timezone.now() if done else None
            found.save(update_fields=["done_at"])
    return found


def latest_day(quote: Quote) -> date:
    """The day on which the van is loaded."""
    return quote.event.load_out_at.astimezone(quote.event.tz).date()


# Private


def _refuse_days(quote: Quote, chosen: Mapping[str, Choice]) -> None:
    today = timezone.now().astimezone(entered_studio().tz).date()
    last = latest_day(quote)
    faults = {}
    for code, choice in chosen.items():
        if choice.due_on < today:
            faults[code] = "This day is past."
        elif choice.due_on > last:
            faults[code] = "The van is loaded before this day."
    if faults:
        raise ValidationError(dict(faults))


def _plan(read: Sheet, missing: Missing, choice: Choice) -> None:
    if choice.kind == SupplyKind.BUY and items.size_in_code(missing.code) is not None:
        _add_latex(read, missing, choice.cost)
        Supply.objects.filter(quote=read.quote, code=missing.code).delete()
        return
    Supply.objects.update_or_create(
        quote=read.quote,
        code=missing.code,
        defaults={
            "label": missing.label[:120],
            "kind": choice.kind,
            "due_on": choice.due_on,
            "cost": None if choice.kind == SupplyKind.SITE else choice.cost,
            "done_at": timezone.now() if choice.kind == SupplyKind.SITE else None,
        },
    )


def _add_latex(read: Sheet, missing: Missing, cost: Decimal | None) -> Item:
    """The latex in the stock list, with none on the shelf; its colour too, where that is new."""
    size = items.size_in_code(missing.code)
    colour_code = missing.code.split("-", 2)[2]
    colour = Colour.objects.filter(code=colour_code).first() or items.add_colour(
        code=colour_code, **_colour_facts(read, colour_code)
    )
    kind = Kind.TWISTING if size == items.TWISTING_IN else Kind.LATEX
    sized = {} if kind == Kind.TWISTING else {"size_in": size}
    return items.add_item(kind=kind, colour=colour, code=missing.code, unit_cost=cost, **sized)


def _colour_facts(read: Sheet, code: str) -> dict[str, str]:
    """Name and hex of a colour as the quote's own palettes have it."""
    for piece in read.pieces:
        for colour in every_colour(piece.read_design()):
            if colour.colour == code:
                return {"name": colour.name, "hex": colour.hex}
    raise ValidationError(
        {f"latex-{code}": spelled("No set piece has this color. Add it to the stock list first.")}
    )

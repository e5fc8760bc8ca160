"""Settling what is open before an offer goes out: costs, rates, a tax and days, saved where they belong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction

from quoting.models import Supply
from quoting.pricing import instalments
from quoting.pricing import rates as rating
from quoting.pricing.instalments import Instalment
from quoting.quotes import adjusting, sheet, steps
from quoting.quotes.sheet import Sheet
from quoting.variants import variants
from stock.catalogue import items
from stock.models import Item
from studio.models import entered_studio
from studio.people import taxes
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True, slots=True)
class Cost:
    """What a thing costs the studio: one of it, or a bag where it comes in bags; and how often it is used."""

    amount: Decimal
    uses: int | None = None


@dataclass(frozen=True, slots=True)
class NewTax:
    """The tax that lines carry by default."""

    name: str
    percent: Decimal


@dataclass(frozen=True)
class Settled:
    """What was filled in. Costs by code, rates by their field, days by the day that they replace."""

    costs: Mapping[str, Cost] = field(default_factory=dict)
    rates: Mapping[str, Decimal] = field(default_factory=dict)
    tax: NewTax | None = None
    days: Mapping[date, date] = field(default_factory=dict)


def settle(quote_id: int, said: Settled, *, version: int) -> None:
    """Save all of it, or nothing. The quote and its versions are priced anew; new days are a step of the sketch.

    Raises ``ValidationError`` for what can't be, :class:`~quoting.quotes.steps.StaleSketch` for a changed quote.
    """
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        rows = variants.offered_of(variants.lock_set(quote_id))
        read = steps.open_sheet(quote_id, version)
        for each in variants.read_set(read):
            _save_costs(each, said.costs)
        _save_rates(said.rates)
        if said.tax:
            taxes.add_tax(name=said.tax.name, percent=said.tax.percent, is_default=True)
        for row in rows:
            # Read anew: costs, rates and taxes aren't what they were.
            _price_anew(sheet.lock_sheet(row.pk, read.studio), said.days)


# Private


def _price_anew(read: Sheet, days: Mapping[date, date]) -> None:
    if days.keys() & {one.due_on for one in instalments.read(read.quote.instalments)}:
        _move_instalments(read, days)
    else:
        steps.reprice(read)


def _save_costs(read: Sheet, costs: Mapping[str, Cost]) -> None:
    if costs:
        require(Right.SEE_COSTS)
    for code, cost in costs.items():
        item = read.items.get(code)
        if item is None:
            Supply.objects.filter(quote=read.quote, code=code).update(cost=cost.amount)
        else:
            _save_item_cost(item, cost)


def _save_item_cost(item: Item, cost: Cost) -> None:
    facts: dict[str, object] = {items.cost_field(item): cost.amount}
    if cost.uses:
        facts["expected_uses"] = cost.uses
    items.change_item(item, **facts)


def _save_rates(said: Mapping[str, Decimal]) -> None:
    if not said:
        return
    rates = rating.rates_of(entered_studio())
    for name, amount in said.items():
        setattr(rates, name, amount)
    rating.keep_rates(rates)


def _move_instalments(read: Sheet, days: Mapping[date, date]) -> None:
    known = instalments.read(read.quote.instalments)
    moved = [Instalment(one.percent, days.get(one.due_on, one.due_on)) for one in known]
    if len({one.due_on for one in moved}) < len(moved):
        raise ValidationError({"days": "Two instalments would be due on one day."})
    quote = read.quote
    adjusting.set_payment(
        read, deposit_percent=quote.deposit_percent, deposit_amount=quote.deposit_amount,
        client_view=quote.client_view, instalments=moved, version=quote.version,
    )  # fmt: skip

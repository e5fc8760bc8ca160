"""What an event really cost: pay and materials as planned, beside what it took. For the owner's eyes only.

Pay is what somebody gets an hour, times the hours of the shifts they were called to. Where phones said what a task
took, the hours follow the minutes that it took to those that were planned. What is used up costs what a piece of a bag
costs; what comes back costs its share of the uses that it lasts; what is broken or lost costs a new one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from events.loadout import hours, line_states, load_list, spares, standard_kit
from events.loadout.hours import TaskHours
from events.loadout.line_states import LineState, LoadOutList
from events.models import Answer, CrewCall, Event
from stock.catalogue.items import find_by_code, uses_of
from stock.models import Item
from studio.models import Studio, entered_studio
from studio.money.amounts import rounded
from studio.tenancy.access import require
from studio.tenancy.rights import Right

NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class PersonPay:
    """Somebody's hours in the event's shifts and what they get for them; None where nobody noted their pay."""

    name: str
    hours: Decimal
    pay: Decimal | None


@dataclass(frozen=True, slots=True)
class MaterialCost:
    """One thing that went out, its spares with it: planned, and what became of it."""

    label: str
    planned: Decimal
    took: Decimal
    words: str
    """What was used, broken or lost."""


@dataclass(frozen=True, slots=True)
class RealCost:
    """An event's cost as planned and as it came, in the studio's currency."""

    event: Event
    tasks: tuple[TaskHours, ...]
    people: tuple[PersonPay, ...]
    materials: tuple[MaterialCost, ...]
    unknown: tuple[str, ...]
    """What no price is known of: counted with nothing."""
    pay_planned: Decimal
    pay_took: Decimal
    is_counted: bool
    """Whether anything was counted back: until then materials stand as planned."""

    @property
    def materials_planned(self) -> Decimal:
        """What the agreed bill costs."""
        return sum((line.planned for line in self.materials), NOTHING)

    @property
    def materials_took(self) -> Decimal:
        """What was used, worn, broken and lost."""
        return sum((line.took for line in self.materials), NOTHING)

    @property
    def planned(self) -> Decimal:
        """In all."""
        return self.pay_planned + self.materials_planned

    @property
    def took(self) -> Decimal:
        """In all."""
        return self.pay_took + self.materials_took

    @property
    def more(self) -> Decimal:
        """How much more it cost than planned; below zero where it cost less."""
        return self.took - self.planned


def find_real_cost(event_id: int) -> RealCost:
    """What the event cost, as far as that is known now. Raises ``Http404``; ``PermissionDenied`` but for the owner."""
    require(Right.SEE_MARGIN)
    the_list = load_list.find_load_out_list(event_id)
    studio = entered_studio()
    currency = studio.currency
    tasks = hours.task_hours(the_list)
    people = _people(the_list.event, currency)
    paid = sum((person.pay for person in people if person.pay is not None), NOTHING)
    materials, unpriced = _materials(the_list, studio)
    return RealCost(
        event=the_list.event,
        tasks=tuple(tasks),
        people=tuple(people),
        materials=tuple(materials),
        unknown=(*(f"the pay of {person.name}" for person in people if person.pay is None), *unpriced),
        pay_planned=paid,
        pay_took=rounded(paid * _share_taken(tasks), currency),
        is_counted=any(state.back for state in the_list.states),
    )


# --- Private ---


def _people(event: Event, currency: str) -> list[PersonPay]:
    """Everybody who was called and didn't say no, with the hours of their shifts."""
    calls = CrewCall.objects.select_related("shift", "member__person").filter(shift__event=event)
    found: dict[int, PersonPay] = {}
    for call in calls.exclude(answer=Answer.NO).order_by("member_id", "pk"):
        length = Decimal((call.shift.ends_at - call.shift.starts_at).total_seconds()) / 3600
        worked = length + (found[call.member_id].hours if call.member_id in found else 0)
        rate = call.member.pay_an_hour
        pay = None if rate is None else rounded(rate * worked, currency)
        found[call.member_id] = PersonPay(call.member.person.name, worked, pay)
    return list(found.values())


def _share_taken(tasks: Iterable[TaskHours]) -> Decimal:
    """Minutes of work that it took, for each that was planned; a task of which nobody said anything took what was
    planned."""
    planned = sum((task.planned_minutes or NOTHING for task in tasks), NOTHING)
    took = sum(
        (
            Decimal(task.spent_minutes) if task.spent_minutes is not None else task.planned_minutes or NOTHING
            for task in tasks
        ),
        NOTHING,
    )
    return took / planned if planned else Decimal(1)


def _materials(the_list: LoadOutList, studio: Studio) -> tuple[list[MaterialCost], list[str]]:
    items = find_by_code(state.line.item_code for state in the_list.states)
    rows, unknown = [], []
    for members in spares.group_by_item(the_list.states):
        line = members[0].line
        if line.code.startswith(standard_kit.PREFIX):
            continue
        item = items.get(line.item_code)
        each = _price_of_one(item)
        if item is None or each is None:
            unknown.append(line.label)
            continue
        use = _price_of_use(item, each, studio)
        planned = use * sum(state.line.quantity for state in members)
        took = sum((_took(state, item, each, use) for state in members), Fraction(0))
        rows.append(
            MaterialCost(
                line.label,
                rounded(_decimal(planned), studio.currency),
                rounded(_decimal(took), studio.currency),
                line_states.counted_words([state.back for state in members if state.back]),
            )
        )
    return rows, unknown


def _price_of_one(item: Item | None) -> Fraction | None:
    if item is None:
        return None
    if item.unit_cost is not None:
        return Fraction(item.unit_cost)
    if item.bag_price is not None and item.bag_size:
        return Fraction(item.bag_price) / item.bag_size
    return None


def _price_of_use(item: Item, each: Fraction, studio: Studio) -> Fraction:
    """What one use of one piece costs: all of what is used up, a share of what comes back."""
    return each / uses_of(item, studio) if item.is_reusable else each


def _took(state: LineState, item: Item, each: Fraction, use: Fraction) -> Fraction:
    """What a line took; as planned while nobody counted it."""
    if state.back is None:
        return use * state.line.quantity
    gone = state.back.broken + state.back.lost
    if item.is_reusable:
        return use * (state.back.whole + state.back.mend + state.back.used) + each * gone
    return each * (state.back.used + gone)


def _decimal(amount: Fraction) -> Decimal:
    return Decimal(amount.numerator) / Decimal(amount.denominator)

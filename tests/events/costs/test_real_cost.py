"""What an event really cost: pay and materials as planned and as they came, for the owner alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from events.costs import real_cost
from events.crew import assigning, people
from events.loadout import ticks
from events.loadout.ticks import TickOp
from events.models import CrewCall, Event, LoadOutLine, Shift, ShiftKind, TickKind
from stock.models import Item
from studio.models import Membership
from tests.events.conftest import said
from tests.events.test_pages import counted
from tests.people import House


def hours_said(task: str, minutes: int, people: int) -> TickOp:
    line = LoadOutLine(pk=0)
    return replace(said(line, minutes, TickKind.HOURS), line_id=None, task=task, people=people)


@pytest.fixture
def crewed(wickerlark: House, agreed: Event) -> Event:
    """Two on the install for two hours each, one of them with pay; prices on the shelf."""
    with wickerlark.enter():
        for role, pay in (("crew", Decimal("24.50")), ("staff", None)):
            number = Membership.objects.get(person=wickerlark.person(role)).pk
            people.change_person(people.find_person(number), is_called=True, pay_an_hour=pay)
            assigning.assign_person(agreed.pk, ShiftKind.INSTALL, number)
        shift = Shift.objects.get()
        Shift.objects.update(ends_at=shift.starts_at + timedelta(hours=2))
        Item.objects.filter(code="latex-11-oat").update(bag_price=Decimal("16.40"), bag_size=100)
        Item.objects.filter(code="ring-6ft").update(unit_cost=Decimal(149), expected_uses=60)
        Item.objects.filter(code="greenery").update(unit_cost=Decimal("14.50"), expected_uses=None)
    return agreed


def test_as_planned_until_somebody_counts(wickerlark: House, crewed: Event) -> None:
    with wickerlark.enter():
        found = real_cost.find_real_cost(crewed.pk)
    assert not found.is_counted
    assert (found.pay_planned, found.pay_took) == (Decimal("49.00"), Decimal("49.00"))
    # 120 of a bag of 100 at 16.40, a sixtieth of a ring of 149, and of 12 pieces of greenery at 14.50 a twenty-fifth
    # each: nobody said how often it is used, so that the studio's usual number holds.
    assert (
        found.materials_planned
        == found.materials_took
        == Decimal("19.68") + Decimal("2.48") + Decimal("6.96")
    )
    assert found.more == 0
    assert set(found.unknown) == {f"the pay of {wickerlark.staff.name}", "Oat 5 in", "Ring cover oat"}


def test_what_was_used_broken_and_worked_counts(wickerlark: House, crewed: Event) -> None:
    with wickerlark.enter():
        lines = {line.code: line for line in LoadOutLine.objects.filter(event=crewed)}
        ticks.save_ticks(
            crewed.pk,
            [
                said(lines["latex-11-oat"], 10, TickKind.BACK, used=110),
                said(lines["ring-6ft"], 0, TickKind.BACK, broken=1),
                # Planned were 186 + 130.5 + 40 minutes; the install took 80 by the clock with two at it.
                hours_said("install", 80, 2),
            ],
        )
        found = real_cost.find_real_cost(crewed.pk)
    took = {line.label: line.took for line in found.materials}
    assert (took["Oat 11 in"], took["Ring 6 ft"]) == (Decimal("18.04"), Decimal("149.00"))
    # 49 times (186 + 160 + 40) / 356.5
    assert found.pay_took == Decimal("53.05")
    assert found.more == found.took - found.planned > Decimal(140)


def test_who_said_no_is_not_paid(wickerlark: House, crewed: Event) -> None:
    with wickerlark.enter():
        CrewCall.objects.update(answer="no", asked_at=timezone.now())
        assert real_cost.find_real_cost(crewed.pk).people == ()


@pytest.mark.parametrize(("role", "status"), [("owner", 200), ("staff", 403), ("crew", 403)])
def test_only_the_owner_sees_it(wickerlark: House, crewed: Event, role: str, status: int) -> None:
    browser = wickerlark.client(role)
    page = browser.get(wickerlark.url("events:real-cost", crewed.pk))
    assert page.status_code == status
    assert ("$49.00" in page.content.decode()) is (role == "owner")
    event_page = browser.get(wickerlark.url("events:event", crewed.pk)).content.decode()
    assert ("Actual cost" in event_page) is (role == "owner")
    if role != "owner":
        with (
            wickerlark.enter(role),
            pytest.raises(PermissionDenied, match="doesn't allow you to see cost, margin"),
        ):
            real_cost.find_real_cost(crewed.pk)


def test_it_takes_few_queries(wickerlark: House, crewed: Event) -> None:
    assert counted(wickerlark.client(), wickerlark.url("events:real-cost", crewed.pk)) <= 19

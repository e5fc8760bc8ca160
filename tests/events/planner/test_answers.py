"""What crew answered outlives a plan: a no stays a no, a yes stays as long as the shift stays near its hours."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from events.crew import assigning, calls, people, rules, shifts
from events.models import Answer, CrewCall, Event, Shift, ShiftKind, Van
from events.planner import proposal
from events.planner.accepting import Accepted, accept_proposal
from events.planner.plan_cost import cost
from events.planner.problem import Assigned, Job, Problem, Worker
from events.planner.proposal import CannotPlan, Proposal
from events.planner.solver import solve
from studio.models import Membership
from tests.people import House

INSTALL = ShiftKind.INSTALL
HALF_AN_HOUR = timedelta(minutes=30)


@dataclass
class Planned:
    """An agreed event whose install has somebody who was asked."""

    house: House
    event: Event
    day: date
    call: CrewCall

    def propose(self) -> Proposal:
        return proposal.make_proposal(self.day, self.day, self.house.studio, seconds=2)

    def accept(self, made: Proposal | None = None) -> Accepted:
        made = made or self.propose()
        return accept_proposal(made.sealed, [line.key for line in made.lines])

    def answer(self, answer: Answer) -> None:
        CrewCall.objects.filter(pk=self.call.pk).update(
            answer=answer, asked_at=timezone.now(), answered_at=timezone.now()
        )

    def now(self) -> Answer:
        return Answer(CrewCall.objects.get(pk=self.call.pk).answer)

    def move(self, by: timedelta) -> None:
        shift = Shift.objects.get(pk=self.call.shift_id)
        assigning.set_times(self.event.pk, INSTALL, shift.starts_at + by, shift.ends_at + by)


@pytest.fixture
def planned(wickerlark: House, agreed: Event) -> Planned:
    """Three people who can do everything; one of them is on the install, but nobody assigned them by hand."""
    with wickerlark.enter():
        for role in ("crew", "staff", "owner"):
            who = Membership.objects.get(person=wickerlark.person(role)).pk
            people.change_person(people.find_person(who), is_called=True, lead=True, driver=True)
        people.save_van(Van(), name="Van 1", seats=3)
        rules.change_rules(daily_rest_hours=Decimal(8))
        number = Membership.objects.get(person=wickerlark.person("crew")).pk
        call = assigning.assign_person(agreed.pk, INSTALL, number)
        CrewCall.objects.filter(pk=call.pk).update(fixed=False)
    day = agreed.ready_by.astimezone(wickerlark.studio.tz).date()
    return Planned(wickerlark, agreed, day, call)


@pytest.mark.parametrize("answer", [Answer.YES, Answer.NO])
def test_accepting_a_plan_keeps_what_was_answered(planned: Planned, answer: Answer) -> None:
    """The install's hours are no whole quarters of an hour: the plan's are up to sixteen minutes beside them."""
    with planned.house.enter():
        Shift.objects.filter(pk=planned.call.shift_id).update(
            starts_at=planned.call.shift.starts_at + timedelta(minutes=14)
        )
        planned.answer(answer)
        planned.accept()
        assert planned.now() == answer
        on = CrewCall.objects.filter(shift=planned.call.shift_id).exclude(answer=Answer.NO)
        assert (planned.call.pk in [call.pk for call in on]) == (answer == Answer.YES)
        assert on.count() == 2


def test_accepting_changes_who_drives(planned: Planned) -> None:
    with planned.house.enter():
        name = planned.house.person("crew").name
        made = planned.propose()
        (install,) = (line for line in made.lines if line.key.endswith("install"))
        drives = install.driver == name
        CrewCall.objects.filter(pk=planned.call.pk).update(drives=not drives)
        made = planned.propose()
        (install,) = (line for line in made.lines if line.key.endswith("install"))
        planned.accept(made)
        by_call = {
            call.member.person.name: call.drives
            for call in CrewCall.objects.filter(shift=planned.call.shift_id).select_related("member__person")
        }
        assert by_call == {each: each == install.driver for each in install.people}
        assert any(by_call.values())


def test_a_plan_that_is_saved_already_is_nothing_new_until_its_van_is_taken_off(planned: Planned) -> None:
    with planned.house.enter():
        planned.accept()
        assert [line.is_new for line in planned.propose().lines] == [False] * 3
        install = Shift.objects.filter(pk=planned.call.shift_id)
        assert install.get().van
        install.update(van=None)
        again = planned.propose()
        assert [line.key.partition("-")[2] for line in again.lines if line.is_new] == ["install"]


def test_a_plan_keeps_who_said_yes_though_others_have_worked_less(planned: Planned) -> None:
    with planned.house.enter():
        planned.answer(Answer.YES)
        name = planned.house.person("crew").name
        made = planned.propose()
        (install,) = (line for line in made.lines if line.key.endswith("install"))
        assert name in install.people
    yes = Problem(
        (
            Job("a", "a", 0, 0, 8, 1, before_people=frozenset({"v"}), fixed_people=frozenset({"w"})),
            Job("b", "b", 20, 20, 8, 1, before_people=frozenset({"w"})),
        ),
        (Worker("v", "V"), Worker("w", "W")),
        (),
        rest=44,
        week=192,
    )
    assert solve(yes, seconds=10, workers=1).jobs["a"].people == ("w",)


def test_a_no_that_comes_after_the_proposal_is_not_planned_over(planned: Planned) -> None:
    with planned.house.enter():
        made = planned.propose()
        on_install = next(line for line in made.lines if line.key.endswith("install")).people
        assert planned.house.person("crew").name in on_install
        planned.answer(Answer.NO)
        with pytest.raises(CannotPlan, match="has said no to Library centenary meanwhile"):
            planned.accept(made)
        assert planned.now() == Answer.NO
        assert CrewCall.objects.count() == 1, "nothing of it is saved"


def test_a_yes_that_comes_after_the_proposal_stays_though_others_were_planned(planned: Planned) -> None:
    with planned.house.enter():
        planned.answer(Answer.NO)
        made = planned.propose()
        planned.answer(Answer.YES)
        planned.accept(made)
        assert planned.now() == Answer.YES


@pytest.mark.parametrize(("minutes", "kept"), [(16, True), (30, True), (31, False)])
def test_a_moved_shift_asks_again_only_beyond_the_tolerance(
    planned: Planned, minutes: int, kept: bool
) -> None:
    with planned.house.enter():
        planned.answer(Answer.YES)
        planned.move(timedelta(minutes=minutes))
        assert planned.now() == (Answer.YES if kept else Answer.NOT_ASKED)


def test_small_moves_add_up(planned: Planned) -> None:
    with planned.house.enter():
        planned.answer(Answer.YES)
        planned.move(timedelta(minutes=20))
        assert planned.now() == Answer.YES
        planned.move(timedelta(minutes=20))
        assert planned.now() == Answer.NOT_ASKED


def test_there_and_back_again_asks_nobody(planned: Planned) -> None:
    with planned.house.enter():
        planned.answer(Answer.YES)
        for minutes in (20, -20, -20, 20, 20):
            planned.move(timedelta(minutes=minutes))
        assert planned.now() == Answer.YES


def test_the_studio_sets_the_tolerance(planned: Planned) -> None:
    with planned.house.enter():
        rules.change_rules(ask_again_minutes=0)
        planned.answer(Answer.YES)
        planned.move(timedelta(minutes=1))
        assert planned.now() == Answer.NOT_ASKED
        rules.change_rules(ask_again_minutes=120)
        calls.ask(planned.event.pk)
        assert planned.now() == Answer.ASKED
        planned.move(timedelta(minutes=100))
        assert planned.now() == Answer.ASKED
        planned.move(timedelta(minutes=100))
        assert planned.now() == Answer.NOT_ASKED


def test_an_answer_by_its_link_is_for_the_hours_that_were_shown(planned: Planned) -> None:
    """Asked for one time, moved a little, answered: from then on the move counts from what was answered."""
    with planned.house.enter():
        calls.ask(planned.event.pk)
        planned.move(timedelta(minutes=25))
    with planned.house.enter("crew"):
        calls.answer(planned.call.pk, yes=True)
    with planned.house.enter():
        planned.move(timedelta(minutes=25))
        assert planned.now() == Answer.YES


@pytest.mark.parametrize(("start", "moved"), [(9, True), (10, False), (12, False), (13, True)])
def test_a_start_at_the_edge_of_what_was_answered_keeps_the_answer(start: int, moved: bool) -> None:
    answered = Job("a", "a", start, start, 4, 1, before_start=11, answers=1, tolerance=1)
    what = Problem((answered,), (Worker("w", "W"),), (), rest=44, week=192)
    plan = solve(what, seconds=10, workers=1)
    assert plan.is_optimal
    assert (
        plan.cost - solve(replace(what, jobs=(replace(answered, answers=0),)), seconds=10, workers=1).cost > 0
    ) == (moved)


def test_moving_what_was_promised_costs_more_than_moving_what_was_not() -> None:
    job = Job("a", "a", 0, 8, 8, 1, before_start=2, answers=2, tolerance=2)
    what = Problem((job,), (Worker("w", "W"),), (), rest=44, week=192)
    prices = [cost(what, {"a": Assigned(start, ("w",), None)}) - start for start in range(9)]
    moved, asked = prices[4], prices[5]
    assert (prices[0], prices[2], moved - prices[2], asked - moved) == (moved, moved - 10, 10, 80)
    assert solve(what, seconds=10, workers=1).jobs["a"].start in (0, 2)
    far = replace(what, jobs=(replace(job, earliest=5, before_start=8),))
    assert solve(far, seconds=10, workers=1).jobs["a"].start >= 6, "not where both are asked again"


def test_after_accepting_the_week_that_was_planned_is_shown(planned: Planned) -> None:
    with planned.house.enter():
        made = planned.propose()
    sent = planned.house.client("staff").post(
        planned.house.url("events:plan-accept"),
        {"sealed": made.sealed, "line": [line.key for line in made.lines]},
    )
    assert sent["Location"].endswith(f"?by=crew&day={planned.day.isoformat()}")
    page = planned.house.client("staff").get(sent["Location"]).content.decode()
    assert "Library centenary" in page


def test_a_moved_event_moves_its_shifts_and_asks_beyond_the_tolerance(planned: Planned) -> None:
    with planned.house.enter():
        planned.answer(Answer.NO)
        before = planned.call.shift.window()
        shift = Shift.objects.get(pk=planned.call.shift_id)
        shift.starts_at += timedelta(days=1)
        shift.ends_at += timedelta(days=1)
        shift.save()
        shifts.ask_again([(shift, before)], except_no=True)
        assert planned.now() == Answer.NO
        shifts.ask_again([(shift, before)])
        assert planned.now() == Answer.NOT_ASKED, "a no to one day is no answer to another"

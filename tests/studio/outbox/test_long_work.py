"""Long work: one of a kind a person, shown while it goes on, stopped in its middle, never shown as done too early."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.core.cache.backends.redis import RedisCache
from django.core.exceptions import ValidationError
from django.test import TestCase, override_settings
from django.utils import timezone
from redis.exceptions import ConnectionError as RedisAway

from studio import tenancy
from studio.models import OutboxEntry, Studio
from studio.outbox.long_work import FAILED, PATIENCE, Away, LongWork, Progress
from studio.tenancy import fair_share
from studio.tenancy.counters import Limit
from studio.tenancy.fair_share import Share, TooMuch
from tests.people import House

SUMS: LongWork[int, int] = LongWork("studio.add_up", Share("sums", (), (), studio_at_once=2), seconds=10)


@pytest.fixture(autouse=True)
def _a_machine_of_the_usual_size() -> Iterator[None]:
    with override_settings(WEB_CAPACITY=1.0):
        yield


def ask(house: House, number: int = 3, role: str = "owner") -> str:
    with house.enter(role), fair_share.of_page(many_at_once=True):
        return SUMS.ask(number)


def found(house: House, name: str) -> Any:
    with house.enter():
        return SUMS.find(name)


def work_out(house: House, name: str, doing: Callable[[int, Progress], int]) -> None:
    """As the worker does, up to the end of its transaction."""
    with TestCase.captureOnCommitCallbacks(execute=True), tenancy.entered(house.studio.pk):
        SUMS.work_out(name, doing)


def twice(number: int, _: Progress) -> int:
    return 2 * number


def test_a_result_is_there_once_the_worker_has_committed(wickerlark: House) -> None:
    name = ask(wickerlark)
    assert found(wickerlark, name).is_waiting
    with TestCase.captureOnCommitCallbacks() as kept, tenancy.entered(wickerlark.studio.pk):
        SUMS.work_out(name, twice)
    assert found(wickerlark, name).is_waiting, "a rollback would leave no result behind"
    for each in kept:
        each()
    done = found(wickerlark, name)
    assert (done.result, done.is_waiting, done.is_lost) == (6, False, False)


def test_it_acts_in_the_name_of_whoever_asked(wickerlark: House) -> None:
    name = ask(wickerlark, role="staff")
    acted: list[tenancy.Tenant] = []

    def look(number: int, _: Progress) -> int:
        acted.append(tenancy.current())
        return number

    work_out(wickerlark, name, look)
    assert [(each.role, each.person_id) for each in acted] == [("staff", wickerlark.staff.pk)]


def test_it_is_worked_out_once_however_often_the_task_comes(wickerlark: House) -> None:
    name, seen = ask(wickerlark), []

    def count(number: int, _: Progress) -> int:
        seen.append(number)
        return number

    work_out(wickerlark, name, count)
    work_out(wickerlark, name, count)
    assert seen == [3]


def test_progress_is_what_was_reported_and_else_the_time_that_has_gone(wickerlark: House) -> None:
    name = ask(wickerlark)
    with time_machine.travel(timezone.now() + timedelta(seconds=5), tick=False):
        assert found(wickerlark, name).percent == 50
    shown: list[int] = []

    def slowly(number: int, progress: Progress) -> int:
        progress(0.8)
        shown.append(found(wickerlark, name).percent)
        return number

    work_out(wickerlark, name, slowly)
    assert shown == [80]


def test_work_that_is_stopped_in_its_middle_leaves_off_and_keeps_nothing(wickerlark: House) -> None:
    name = ask(wickerlark)
    reached: list[float] = []

    def slowly(number: int, progress: Progress) -> int:
        for share in (0.2, 0.4, 0.6):
            progress(share)
            reached.append(share)
            SUMS.stop(name)
        return number

    work_out(wickerlark, name, slowly)
    assert reached == [0.2]
    assert (found(wickerlark, name).is_stopped, found(wickerlark, name).result) == (True, None)


def test_work_that_was_stopped_while_it_ended_keeps_nothing_of_what_it_wrote(wickerlark: House) -> None:
    name = ask(wickerlark)

    def write(number: int, _: Progress) -> int:
        Studio.objects.update(phone="written")
        SUMS.stop(name)
        return number

    work_out(wickerlark, name, write)
    assert found(wickerlark, name).is_stopped
    with wickerlark.enter():
        assert Studio.objects.get().phone != "written"


def test_work_that_has_ended_cannot_be_stopped_any_more(wickerlark: House) -> None:
    name = ask(wickerlark)
    with TestCase.captureOnCommitCallbacks(execute=True), tenancy.entered(wickerlark.studio.pk):
        SUMS.work_out(name, twice)
        SUMS.stop(name)
        assert not found(wickerlark, name).is_stopped, "it is about to be committed"
    assert found(wickerlark, name).result == 6


def test_a_worker_that_died_before_it_committed_does_it_again(wickerlark: House) -> None:
    name = ask(wickerlark)
    with TestCase.captureOnCommitCallbacks(), tenancy.entered(wickerlark.studio.pk):
        SUMS.work_out(name, twice)
    work_out(wickerlark, name, twice)
    assert found(wickerlark, name).result == 6


def test_who_is_refused_keeps_the_work_before_and_takes_no_place_from_the_studio(wickerlark: House) -> None:
    once = LongWork[int, int](
        "studio.add_once", Share("once", (Limit(1, 600),), (), studio_at_once=2), seconds=10
    )

    def asked() -> str:
        with wickerlark.enter(), fair_share.of_page(many_at_once=True):
            return once.ask(3)

    first = asked()
    for _ in range(3):
        with pytest.raises(TooMuch, match="too many once"):
            asked()
    with wickerlark.enter("staff"), fair_share.of_page(many_at_once=True):
        before = once.find(first)
        assert before is not None
        assert before.is_waiting
        once.ask(4)


def test_asking_again_stops_ones_own_one_before_and_nobody_elses(wickerlark: House) -> None:
    first, other = ask(wickerlark), ask(wickerlark, role="staff")
    second = ask(wickerlark)
    states = [found(wickerlark, name).is_stopped for name in (first, other, second)]
    assert states == [True, False, False]


def test_a_studio_waits_for_its_own_places_only_and_each_is_given_back_once(
    wickerlark: House, federkorn: House
) -> None:
    first, _ = ask(wickerlark), ask(wickerlark, role="staff")
    with pytest.raises(TooMuch, match="Others of your studio"):
        ask(wickerlark, role="crew")
    ask(federkorn)
    work_out(wickerlark, first, twice)
    third = ask(wickerlark, role="crew")
    with wickerlark.enter():
        SUMS.stop(first)
    with pytest.raises(TooMuch):
        ask(wickerlark, role="owner")
    assert found(wickerlark, third).is_waiting


def test_what_is_refused_says_why_and_a_fault_is_no_wait_without_end(
    wickerlark: House, caplog: pytest.LogCaptureFixture
) -> None:
    def refuse(_: int, __: Progress) -> int:
        raise ValidationError(["Too wide.", "Too high."])

    def fail(_: int, __: Progress) -> int:
        raise ZeroDivisionError

    name = ask(wickerlark)
    work_out(wickerlark, name, refuse)
    assert found(wickerlark, name).refusal == "Too wide. Too high."
    name = ask(wickerlark)
    work_out(wickerlark, name, fail)
    assert found(wickerlark, name).refusal == FAILED
    assert "studio.add_up" in caplog.text


def test_work_that_the_worker_died_with_is_told_as_lost_and_not_begun_again(wickerlark: House) -> None:
    name = ask(wickerlark)
    with time_machine.travel(timezone.now() + PATIENCE + timedelta(seconds=1)):
        assert found(wickerlark, name).is_lost
        work_out(wickerlark, name, twice)
        assert found(wickerlark, name).result is None


def test_another_studio_finds_nothing_by_the_name(wickerlark: House, federkorn: House) -> None:
    name = ask(wickerlark)
    assert found(federkorn, name) is None
    with federkorn.enter():
        SUMS.stop(name)
    assert found(wickerlark, name).is_waiting


def test_without_redis_it_is_refused_in_words_and_nothing_is_asked(
    wickerlark: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_: object, **__: object) -> None:
        raise RedisAway("away")

    with monkeypatch.context() as without:
        without.setattr(RedisCache, "set", away)
        with pytest.raises(Away, match="Try again in a minute"):
            ask(wickerlark)
    with wickerlark.enter():
        assert not OutboxEntry.objects.filter(task="studio.add_up").exists()

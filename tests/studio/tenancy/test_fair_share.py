"""One person and one studio get their share, and no more; whoever waits is told so, and loses nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

import pytest
from django.core.cache import cache
from django.test import override_settings
from redis import Connection, UnixDomainSocketConnection
from redis.exceptions import ConnectionError as RedisAway

from studio import tenancy
from studio.models import OutboxEntry
from studio.outbox import entries
from studio.people import membership
from studio.tenancy import counters, fair_share
from studio.tenancy.counters import Limit
from studio.tenancy.fair_share import Share, TooMuch
from studio.tenancy.rights import Role
from studio.tenancy.shared_redis import shared_redis
from tests.people import House

FEW = Share("letters", person=(Limit(3, 600), Limit(5, 3600)), studio=(Limit(4, 600),))
ALONE = Share("sums", person=(), studio=(), person_at_once=1, studio_at_once=2)

pytestmark = pytest.mark.usefixtures("within_one_window")


@pytest.fixture(autouse=True)
def _a_machine_of_the_usual_size() -> Iterator[None]:
    with override_settings(WEB_CAPACITY=1.0):
        yield


@contextmanager
def on_page_of(house: House, role: str = "owner") -> Iterator[None]:
    """As that member, on a page whose own turn isn't counted."""
    with house.enter(role), fair_share.of_page(many_at_once=True):
        yield


def refused(asked: Callable[[], Any]) -> TooMuch:
    with pytest.raises(TooMuch) as refusal:
        asked()
    return refusal.value


def test_one_person_has_so_many_and_then_waits(wickerlark: House, federkorn: House) -> None:
    with on_page_of(wickerlark):
        for _ in range(3):
            fair_share.ask(FEW)
        words = refused(lambda: fair_share.ask(FEW))
    # The window of the test began at a round moment: 1,800,000,000 is a multiple of 600.
    assert words.messages == [
        "You asked for too many letters in a short time. Nothing was changed. Try again in 10 minutes."
    ]
    assert words.retry_seconds == 600
    with on_page_of(wickerlark, "staff"):
        fair_share.ask(FEW)
    with on_page_of(federkorn):
        fair_share.ask(FEW)


def test_a_studio_has_so_many_whoever_of_it_asks(wickerlark: House, federkorn: House) -> None:
    for role in ("owner", "staff", "crew", "crew"):
        with on_page_of(wickerlark, role):
            fair_share.ask(FEW)
    with on_page_of(wickerlark, "staff"):
        assert (
            refused(lambda: fair_share.ask(FEW))
            .messages[0]
            .startswith("Your studio asked for too many letters")
        )
    with on_page_of(federkorn):
        fair_share.ask(FEW)


def test_a_share_comes_back_with_the_next_window_and_longer_windows_hold_on(
    wickerlark: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    with on_page_of(wickerlark):
        for _ in range(3):
            fair_share.ask(FEW)
        monkeypatch.setattr("studio.tenancy.counters.time", lambda: 1_800_000_600.0)
        fair_share.ask(FEW)
        fair_share.ask(FEW)
        assert refused(lambda: fair_share.ask(FEW)).retry_seconds == 3000


def test_a_person_takes_their_share_along_to_their_other_studio(wickerlark: House, federkorn: House) -> None:
    for house in (wickerlark, federkorn, wickerlark):
        with (
            tenancy.entered(house.studio.pk, role=Role.OWNER, person_id=wickerlark.owner.pk),
            fair_share.of_page(),
        ):
            fair_share.ask(FEW)
    with (
        tenancy.entered(federkorn.studio.pk, role=Role.OWNER, person_id=wickerlark.owner.pk),
        fair_share.of_page(),
    ):
        refused(lambda: fair_share.ask(FEW))


def test_the_worker_and_the_commands_have_no_share(wickerlark: House) -> None:
    for role in (Role.SYSTEM, Role.CLIENT, Role.OWNER):
        with tenancy.entered(wickerlark.studio.pk, role=role):
            for _ in range(20):
                fair_share.ask(FEW)


def test_one_thing_at_a_time_and_the_next_when_it_is_done(wickerlark: House, federkorn: House) -> None:
    with on_page_of(wickerlark):
        with fair_share.turn(ALONE):
            refusal = refused(lambda: fair_share.turn(ALONE).__enter__())
            assert refusal.retry_seconds == 3
            assert "still being worked on" in refusal.messages[0]
        with fair_share.turn(ALONE):
            pass


def test_a_studio_has_so_many_turns_at_once(wickerlark: House, federkorn: House) -> None:
    with ExitStack() as turns:
        for role in ("owner", "staff"):
            with on_page_of(wickerlark, role):
                turns.enter_context(fair_share.turn(ALONE))
        with on_page_of(wickerlark, "crew"):
            words = refused(lambda: fair_share.turn(ALONE).__enter__()).messages[0]
            assert words.startswith("Others of your studio")
        with on_page_of(federkorn):
            turns.enter_context(fair_share.turn(ALONE))
    with on_page_of(wickerlark, "crew"), fair_share.turn(ALONE):
        pass


def test_a_turn_ends_when_what_was_done_in_it_fails(wickerlark: House) -> None:
    with on_page_of(wickerlark):
        with pytest.raises(ZeroDivisionError), fair_share.turn(ALONE):
            raise ZeroDivisionError
        with fair_share.turn(ALONE):
            pass


def test_who_took_too_much_of_the_processors_time_waits(
    wickerlark: House, federkorn: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = iter(range(0, 10_000, 31))
    monkeypatch.setattr("studio.tenancy.fair_share.thread_time", lambda: next(clock))
    page = wickerlark.url("stock:shelf")
    owner = wickerlark.client("owner")
    assert owner.get(page).status_code == 200
    answer = owner.get(page)
    assert answer.status_code == 429
    assert answer["Retry-After"] == "60"
    assert "You asked for too much in a short time. Nothing was changed." in answer.content.decode()
    assert wickerlark.client("staff").get(page).status_code == 200
    assert wickerlark.client("crew").get(page).status_code == 200
    spent = wickerlark.client("staff").get(page)
    assert spent.status_code == 429
    assert federkorn.client().get(federkorn.url("stock:shelf")).status_code == 200


def test_more_pages_at_once_than_ones_share_wait_and_load_themselves_again(wickerlark: House) -> None:
    at_once = fair_share.PAGES_AT_ONCE
    with ExitStack() as turns, on_page_of(wickerlark):
        for _ in range(at_once.person_at_once):
            turns.enter_context(fair_share.turn(at_once))
        shelf, logo = (wickerlark.url(name) for name in ("stock:shelf", "studio:logo"))
        looked, sent = (
            wickerlark.client().get(shelf),
            wickerlark.client().post(wickerlark.url("studio:people")),
        )
        assert (looked.status_code, looked["Refresh"], looked["Retry-After"]) == (429, "3", "3")
        assert (sent.status_code, "Refresh" in sent) == (429, False)
        assert wickerlark.client().get(logo).status_code == 404, "pictures are not counted: a page loads many"
    assert wickerlark.client().get(shelf).status_code == 200


def test_a_larger_machine_gives_more_at_once(wickerlark: House) -> None:
    with override_settings(WEB_CAPACITY=3.0), ExitStack() as turns, on_page_of(wickerlark):
        for _ in range(3):
            turns.enter_context(fair_share.turn(ALONE))
        refused(lambda: fair_share.turn(ALONE).__enter__())


def test_what_the_worker_shall_do_counts_and_what_is_too_much_is_not_written(wickerlark: House) -> None:
    with on_page_of(wickerlark):
        for number in range(3):
            entries.write("studio.canary", share=FEW, key=f"k{number}")
        entries.write("studio.canary", share=FEW, key="k0")
        before = OutboxEntry.objects.count()
    with on_page_of(wickerlark), pytest.raises(TooMuch, match="too many letters in a short time"):
        entries.write("studio.canary", share=FEW, key="one more")
    with on_page_of(wickerlark):
        assert OutboxEntry.objects.count() == before == 3


def test_sixty_invitations_in_five_seconds_send_twenty_mails(wickerlark: House) -> None:
    browser, page = wickerlark.client(), wickerlark.url("studio:people")
    answers = [browser.post(page, {"email": f"x{n}@example.test", "role": "crew"}) for n in range(60)]
    assert [answer.status_code for answer in answers[:20]] == [302] * 20
    assert {answer.status_code for answer in answers[20:]} == {422}
    refusal = answers[20].content.decode()
    assert "You asked for too many invitations in a short time. Nothing was changed." in refusal
    assert 'value="x20@example.test"' in refusal, "what was typed is still there"
    with on_page_of(wickerlark):
        assert OutboxEntry.objects.filter(task="studio.mail_invitation").count() == 20


def test_without_redis_nothing_is_counted_and_everything_goes_on(
    wickerlark: House, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def away(*_args: Any, **_more: Any) -> None:
        raise RedisAway("gone")

    monkeypatch.setattr("redis.ConnectionPool.get_connection", away)
    assert wickerlark.client().get(wickerlark.url("stock:shelf")).status_code == 200
    assert "Redis away" in caplog.text


def test_a_page_asks_redis_twice(wickerlark: House, monkeypatch: pytest.MonkeyPatch) -> None:
    sent: list[int] = []
    send = Connection.send_packed_command

    def noted(connection: Connection, command: Any, *more: Any, **kinds: Any) -> None:
        sent.append(len(command))
        send(connection, command, *more, **kinds)  # type: ignore[no-untyped-call]

    browser = wickerlark.client()
    browser.get(wickerlark.url("stock:shelf"))
    monkeypatch.setattr(Connection, "send_packed_command", noted)
    monkeypatch.setattr(UnixDomainSocketConnection, "send_packed_command", noted)
    assert browser.get(wickerlark.url("stock:shelf")).status_code == 200
    assert len(sent) == 2


def test_whoever_is_refused_a_turn_keeps_none_and_pays_no_time(
    wickerlark: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    with ExitStack() as turns:
        for role in ("owner", "staff"):
            with on_page_of(wickerlark, role):
                turns.enter_context(fair_share.turn(ALONE))
        with on_page_of(wickerlark, "crew"):
            refused(lambda: fair_share.turn(ALONE).__enter__())
    for role in ("crew", "owner"):
        with on_page_of(wickerlark, role):
            turns.enter_context(fair_share.turn(ALONE))


def turn_of_three() -> str | None:
    ((name,), _had) = counters.take_turns([counters.Turns("sums", "person:1", 3)])
    return name


def test_turns_are_given_out_singly_and_come_back() -> None:
    taken = [turn_of_three() for _ in range(4)]
    assert len(set(taken)) == 4
    assert taken[3] is None
    counters.end_turns([name for name in taken[1:3] if name])
    assert turn_of_three() in taken[1:3]


def test_a_turn_whose_process_was_killed_ends_by_itself(wickerlark: House) -> None:
    ((name,), _had) = counters.take_turns([counters.Turns("sums", "person:1", 1)])
    assert name is not None
    left = shared_redis().ttl(cache.make_key(name))
    assert 0 < left <= counters.LONGEST_TURN_SECONDS


def test_an_invitation_that_is_too_much_leaves_the_one_before_open(wickerlark: House) -> None:
    with on_page_of(wickerlark):
        for number in range(20):
            membership.invite(email=f"x{number}@example.test", role=Role.CREW, by=wickerlark.owner)
    with on_page_of(wickerlark), pytest.raises(TooMuch, match="too many invitations in a short time"):
        membership.invite(email="x3@example.test", role=Role.CREW, by=wickerlark.owner)
    with on_page_of(wickerlark):
        from studio.models import Invitation

        assert Invitation.objects.filter(withdrawn_at=None).count() == 20

"""Work that must happen is written with its cause, run at least once, and counted once."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import celery
import pytest
import time_machine
from django.core import mail as sent_mail
from django.utils import timezone

from studio import tasks
from studio.models import OutboxEntry
from studio.outbox import entries, mail
from tests.people import House


def post(house: House, key: str = "one") -> OutboxEntry:
    with house.enter():
        mail.post(
            "invitation",
            to="noor@example.test",
            key=key,
            context={"studio": "Wickerlark", "by": "Ines", "role": "crew", "address": "http://x/join/t"},
        )
        return OutboxEntry.objects.get(key=f"mail-{key}")


def run(entry: OutboxEntry) -> None:
    tasks.send_mail(studio_id=entry.studio_id, entry_id=entry.pk)


@pytest.fixture
def sent(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, int]]:
    """What was handed to the broker."""
    calls: list[tuple[str, int]] = []
    monkeypatch.setattr(entries, "send", lambda task, *, studio_id, entry_id: calls.append((task, entry_id)))
    return calls


def test_an_entry_is_sent_when_its_transaction_commits(
    wickerlark: House, sent: list[Any], django_capture_on_commit_callbacks: Any
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        entry = post(wickerlark)
        assert sent == []
    assert sent == [("studio.send_mail", entry.pk)]


def test_the_same_key_is_one_entry(wickerlark: House) -> None:
    assert post(wickerlark).pk == post(wickerlark).pk


def test_a_task_run_twice_works_once(wickerlark: House) -> None:
    entry = post(wickerlark)
    run(entry)
    run(entry)
    assert [message.to for message in sent_mail.outbox] == [["noor@example.test"]]
    assert sent_mail.outbox[0].subject == "Wickerlark invited you to join"
    assert "http://x/join/t" in sent_mail.outbox[0].body


def test_the_sweep_sends_what_was_lost_on_the_way_and_nothing_else(
    wickerlark: House, federkorn: House, sent: list[Any]
) -> None:
    lost, done, theirs = post(wickerlark), post(wickerlark, "two"), post(federkorn)
    run(done)
    assert entries.sweep() == 0, "nothing is overdue yet"
    with time_machine.travel(timezone.now() + entries.GRACE + timedelta(seconds=1)):
        assert entries.sweep() == 2
        assert sorted(entry for _, entry in sent) == sorted([lost.pk, theirs.pk])
        assert entries.sweep() == 0, "what was just sent has time to arrive"


def test_a_failure_is_noted_and_tried_again_later(
    wickerlark: House, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(**_: Any) -> None:
        raise ConnectionRefusedError("mail server away")

    entry = post(wickerlark)
    monkeypatch.setattr(mail, "send", broken)
    run(entry)
    with wickerlark.enter():
        entry.refresh_from_db()
        assert (entry.attempts, entry.done_at, entry.failed_at) == (1, None, None)
        assert "mail server away" in entry.error
    for _ in range(entries.MOST_ATTEMPTS - 1):
        run(entry)
    with wickerlark.enter():
        entry.refresh_from_db()
        assert entry.failed_at is not None
    assert "outbox entry" in caplog.text


def test_a_broker_that_is_away_loses_nothing(
    wickerlark: House, monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
) -> None:
    def away(*_: Any, **__: Any) -> None:
        raise ConnectionError("no broker")

    monkeypatch.setattr(celery.current_app, "send_task", away)
    with django_capture_on_commit_callbacks(execute=True):
        entry = post(wickerlark)
    with wickerlark.enter():
        entry.refresh_from_db()
        assert entry.done_at is None

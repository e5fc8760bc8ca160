"""No log keeps what opens something by itself: not the web server's, not Django's, not the worker's."""

from __future__ import annotations

import http.client
import io
import logging
import logging.config
import re
import time
from collections.abc import Iterator
from contextlib import closing
from typing import Any

import pytest
from django.conf import settings
from django.core import mail as sent_mail
from django.test import Client

from events.crew import assigning, calls
from events.crew import feed as calendar_feed
from events.crew import people as crew
from events.crew_phones import phone_links as crew_phones
from events.models import CrewCall, ShiftKind
from studio import logs
from studio.models import LinkPurpose, Membership
from studio.people import membership, public_links
from studio.tenancy.rights import Role
from tests.events.conftest import agree, stock_up, take
from tests.people import House, wickerlark
from tests.served import Served, served
from tests.studio.test_addresses import patterns

SECRET_PARTS = {"token", "key", "uidb36"}


def test_every_secret_address_of_the_site_is_masked() -> None:
    secret = [
        pattern for pattern, _ in patterns() if SECRET_PARTS & set(re.findall(r"<(?:\w+:)?(\w+)>", pattern))
    ]
    secret += ["account/password/reset/key/<str:uidb36>-<str:key>/"]
    assert len(secret) >= 7
    for pattern in secret:
        address = "/" + re.sub(r"\(\?P<(\w+)>.*\)", r"<\1>", pattern.replace("^", "").replace("$", ""))
        filled = re.sub(r"<(?:\w+:)?\w+>", "Tok-en_12:3", address).rstrip("\\Z")
        assert "Tok-en_12:3" in filled
        for line in (
            f'"GET {filled} HTTP/1.1" 200',
            f"Not Found: {filled}",
            f"see https://x.example{filled}?a=b.",
        ):
            assert "Tok-en_12" not in logs.masked(line), pattern
            assert logs.MASK in logs.masked(line)


@pytest.mark.parametrize(
    "line", ["GET /s/wickerlark/offers/12/ 200", "GET /static/o.css", "/o/", "no path at all"]
)
def test_other_lines_stay_as_they_are(line: str) -> None:
    assert logs.masked(line) == line


def test_arguments_and_tracebacks_are_masked_as_well() -> None:
    written = io.StringIO()
    handler = logging.StreamHandler(written)
    handler.addFilter(logs.MaskSecrets())
    log = logging.getLogger("a log of its own")
    log.addHandler(handler)
    log.warning("Not Found: %s", "/o/abcdef")
    try:
        raise ValueError("no such page: /join/ghijkl")
    except ValueError:
        log.exception("failed for %(path)s", {"path": "/c/mnopqr/"})
    assert "Not Found: /o/***" in written.getvalue()
    assert "ValueError: no such page: /join/***" in written.getvalue()
    assert "failed for /c/***/" in written.getvalue()
    assert not re.search("abcdef|ghijkl|mnopqr", written.getvalue())


def test_the_worker_logs_through_the_same_filter() -> None:
    from celery.app.log import Logging

    from studio.celery import app

    root = logging.getLogger()
    before, level = list(root.handlers), root.level
    try:
        Logging(app).setup(loglevel=logging.INFO)
        consoles = [each for each in root.handlers if each not in before]
        assert consoles
        assert all(any(isinstance(f, logs.MaskSecrets) for f in each.filters) for each in consoles)
    finally:
        root.handlers[:] = before
        root.setLevel(level)
    handlers = settings.LOGGING["handlers"]
    assert isinstance(handlers, dict)
    assert handlers["console"]["filters"] == ["mask secrets"]


@pytest.fixture
def web(transactional_db: None) -> Iterator[Served]:
    with served() as running:
        yield running


def secret_addresses(house: House) -> list[str]:
    """One address of each kind that opens something by itself, as they are given out."""
    with house.enter():
        stock_up()
        event = take()
        agree(event)
        addresses = [
            membership.invite(email="new@example.test", role=Role.CREW, by=house.owner).address,
            crew_phones.give(event.pk, whose="Rosa").address,
            calendar_feed.open_feed(None),
        ]
        number = Membership.objects.get(person=house.crew).pk
        crew.change_person(crew.find_person(number), is_called=True)
        assigning.assign_person(event.pk, ShiftKind.INSTALL, number)
        calls.ask(event.pk)
        call = CrewCall.objects.get()
        later = event.back_at
        for purpose, prefix in (
            (LinkPurpose.OFFER, "o"),
            (LinkPurpose.LOOK_ALONG, "l"),
            (LinkPurpose.CALL, "c"),
        ):
            made = public_links.make(purpose, subject_id=call.pk, expires_at=later)
            addresses.append(f"http://testserver/{prefix}/{made.token}")
    Client().post("/account/password/reset/", {"email": house.owner.email})
    addresses += re.findall(r"https?://\S+", str(sent_mail.outbox[-1].body))
    return [address.split("/", 3)[3] for address in addresses]


def test_a_runs_logs_name_no_token(web: Served) -> None:
    house = wickerlark()
    addresses = secret_addresses(house)
    tokens = [re.sub(r"\.ics$", "", each.strip("/")).rsplit("/", 1)[1] for each in addresses]
    assert len(tokens) >= 7
    assert all(len(token) > 20 for token in tokens)
    for address in addresses:
        for path in (f"/{address}", f"/{address[:-1]}~"):
            asked(web, path)
    asked(web, "/health/", {"Referer": f"http://localhost/{addresses[0]}"})
    said = log_with(web, "/health/")
    assert said.count("/join/***") >= 3
    assert said.count("/calendar/***.ics") >= 1
    assert "Not Found: /o/***" in said
    assert [token for token in tokens if token[:16] in said] == []


def log_with(web: Served, words: str, patience_s: float = 10.0) -> str:
    """The log once it has these words: the server writes a line after it has answered."""
    deadline = time.monotonic() + patience_s
    while words not in web.log and time.monotonic() < deadline:
        time.sleep(0.05)
    return web.log


def asked(web: Served, path: str, headers: dict[str, str] | None = None) -> int:
    with closing(http.client.HTTPConnection("127.0.0.1", web.port, timeout=30)) as client:
        client.request("GET", path, headers={"Host": f"localhost:{web.port}", **(headers or {})})
        answer: Any = client.getresponse()
        answer.read()
        return int(answer.status)

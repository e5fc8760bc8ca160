"""Many owners editing quotes at once, against the real web server: ``python -m tests.bench.load_quotes``.

Starts the product as production runs it (gunicorn, PostgreSQL, Redis, worker), gives every owner a quote of about 300
balloons and a session, and lets each change it again and again, with the pulse that an open page sends beside it.
Prints how long edits took as the browser sees them, and what went wrong. Asking and answering share the cores.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import statistics
import sys
import threading
import time
from dataclasses import dataclass, field, replace
from decimal import Decimal
from http.client import HTTPConnection
from typing import Any
from urllib.parse import urlencode, urlsplit

from studio.local.services import passing_services
from tests.browser import product

STUDIO, OWNER = "wickerlark", "ines@wickerlark.example"
WIDTH_M, HEIGHT_M = Decimal("7.3"), Decimal("3.28")
STARTER = "ceiling-swags.json"


@dataclass
class Figures:
    """What was measured, by all owners together."""

    edits: list[float] = field(default_factory=list)
    pulses: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    size: int = 0
    lock: threading.Lock = field(default_factory=threading.Lock)


def main() -> int:
    """Run it; 1 where anything went wrong."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--owners", type=int, default=50)
    asked.add_argument("--seconds", type=float, default=30)
    asked.add_argument("--pause", type=float, default=4, help="seconds between an answer and the next edit")
    given = asked.parse_args()
    with passing_services() as addresses:
        product.adopt(addresses)
        # All of them are one person of one studio here, which in earnest would be more than their share.
        with product.running(capacity=given.owners) as running:
            os.environ.update({**running.environment, "DJANGO_SETTINGS_MODULE": "studio.settings"})
            desks = _desks(given.owners)
            figures = Figures()
            owners = [
                threading.Thread(target=_edit, args=(running.site, desk, given.seconds, given.pause, figures))
                for desk in desks
            ]
            for owner in owners:
                owner.start()
            for owner in owners:
                owner.join()
    return _tell(figures, given)


# Private


@dataclass(frozen=True)
class Desk:
    """One owner's quote and session."""

    quote_id: int
    cookie: str


def _desks(count: int) -> list[Desk]:
    """As many quotes and sessions, made in the database as the pages would."""
    import django

    django.setup()
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore

    from events.models import Event
    from quoting.craft.design.design_file import load_design
    from quoting.design_library import library
    from quoting.quotes import sketch
    from studio import tenancy
    from studio.models import Person, Studio
    from studio.tenancy.rights import Role

    person = Person.objects.get(email=OWNER)
    known = {slug: pk for pk, slug in tenancy.each_studio()}
    desks = []
    with tenancy.entered(known[STUDIO], slug=STUDIO, role=Role.OWNER, person_id=person.pk):
        studio = Studio.objects.get(pk=known[STUDIO])
        event = Event.objects.filter(status="TENTATIVE").first()
        assert event is not None
        design = load_design(library.STARTERS / STARTER)
        template = library.keep_design(replace(design, name="Load"), studio)
        first = sketch.start_quote(event, template)
        piece = first.pieces.get()
        sketch.alter_piece(first.pk, piece.pk, {}, version=1, width_m=WIDTH_M, height_m=HEIGHT_M)
        piece.refresh_from_db()
        sys.stdout.write(f"{piece.takeoff.balloons} balloons a quote\n")
        for _ in range(count):
            quote = sketch.start_quote(event, template)
            facts = {"design": piece.design, "takeoff": piece.takeoff, "picture": piece.picture}
            quote.pieces.update(width_m=piece.width_m, height_m=piece.height_m, **facts)
            session = SessionStore()
            session[SESSION_KEY] = str(person.pk)
            session[BACKEND_SESSION_KEY] = "allauth.account.auth_backends.AuthenticationBackend"
            session[HASH_SESSION_KEY] = person.get_session_auth_hash()
            session.save()
            desks.append(Desk(quote.pk, f"sessionid={session.session_key}"))
    return desks


def _edit(site: str, desk: Desk, seconds: float, pause: float, figures: Figures) -> None:
    """One owner: open the page, then change something, wait, change something else."""
    chance = random.Random(desk.quote_id)  # noqa: S311 # No secret: the same edits at every run.
    browser = _Browser(site, desk)
    until = time.monotonic() + seconds
    time.sleep(chance.random() * max(pause, 0.5))
    try:
        html = browser.get(f"/s/{STUDIO}/quotes/{desk.quote_id}/")
        while time.monotonic() < until:
            sent = _fields(html) | _change(chance)
            began = time.monotonic()
            html = browser.post(f"/s/{STUDIO}/quotes/{desk.quote_id}/alter/", sent)
            with figures.lock:
                figures.edits.append(time.monotonic() - began)
                figures.size = max(figures.size, browser.last_size)
            rest = time.monotonic() + pause * chance.uniform(0.7, 1.3)
            while (left := rest - time.monotonic()) > 0:
                time.sleep(min(2.0, left))
                began = time.monotonic()
                browser.get(f"/s/{STUDIO}/quotes/{desk.quote_id}/pulse/?version={sent['version']}")
                with figures.lock:
                    figures.pulses.append(time.monotonic() - began)
    except Exception as fault:  # noqa: BLE001 # Whatever it is, it is what this script looks for.
        with figures.lock:
            figures.errors.append(f"{type(fault).__name__}: {fault}")


def _change(chance: random.Random) -> dict[str, str]:
    kind = chance.randrange(4)
    if kind == 0:
        return {"fullness": str(chance.randint(80, 95))}
    if kind == 1:
        return {"share.pearl": str(chance.randint(25, 55))}
    if kind == 2:
        return {"loss": str(chance.randint(4, 12))}
    return {"width_m": f"{chance.uniform(7.0, 7.6):.2f} m"}


def _fields(html: str) -> dict[str, Any]:
    """What a browser would send from the form of the set piece."""
    form = re.search(r'<form class="sketch".*?</form>', html, re.DOTALL)
    if form is None:
        raise ValueError(f"no sketch on the page: {html[:200]}")
    sent: dict[str, Any] = {}
    for tag in re.findall(r"<input[^>]*>", form[0]):
        facts = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if facts.get("type") != "checkbox":
            sent[facts["name"]] = facts.get("value", "")
        elif " checked" in tag:
            sent.setdefault(facts["name"], []).append(facts["value"])
    for name, options in re.findall(r'<select name="([^"]*)"[^>]*>(.*?)</select>', form[0], re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', options) or re.search(r'value="([^"]*)"', options)
        sent[name] = chosen[1] if chosen else ""
    return sent


class _Browser:
    """One connection kept open, with its cookies; asks for compressed answers as browsers do."""

    def __init__(self, site: str, desk: Desk) -> None:
        self.place = urlsplit(site).netloc
        self.site, self.cookies = site, desk.cookie
        self.last_size = 0

    def get(self, path: str) -> str:
        return self._ask("GET", path, None)

    def post(self, path: str, sent: dict[str, Any]) -> str:
        return self._ask("POST", path, urlencode(sent, doseq=True))

    def _ask(self, method: str, path: str, body: str | None) -> str:
        import gzip

        headers = {"Cookie": self.cookies, "Accept-Encoding": "gzip", "Origin": self.site, "Host": self.place}
        if body is not None:
            headers |= {"HX-Request": "true", "Content-Type": "application/x-www-form-urlencoded"}
        connection = HTTPConnection(self.place, timeout=60)
        try:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            raw = answer.read()
        finally:
            connection.close()
        for cookie in answer.headers.get_all("Set-Cookie") or []:
            if cookie.startswith("csrftoken="):
                self.cookies = f"{self.cookies.split('; csrftoken')[0]}; {cookie.split(';')[0]}"
        self.last_size = len(raw)
        if answer.status != 200:
            raise ValueError(f"{method} {path} answered {answer.status}")
        return (gzip.decompress(raw) if answer.headers.get("Content-Encoding") == "gzip" else raw).decode()


def _tell(figures: Figures, given: argparse.Namespace) -> int:
    def spread(times: list[float]) -> str:
        if len(times) < 2:
            return "too few to say"
        cuts = statistics.quantiles(sorted(times), n=20)
        return (
            f"{len(times)}, median {1000 * cuts[9]:.0f} ms, p95 {1000 * cuts[18]:.0f} ms, "
            f"longest {1000 * max(times):.0f} ms"
        )

    sys.stdout.write(
        f"{given.owners} owners, {given.seconds:g} s, {given.pause:g} s between edits\n"
        f"edits: {spread(figures.edits)}; {len(figures.edits) / given.seconds:.1f} a second\n"
        f"pulses: {spread(figures.pulses)}\n"
        f"largest answer {figures.size / 1000:.1f} kB compressed\n"
        f"errors: {len(figures.errors)}\n"
    )
    for error in sorted(set(figures.errors)):
        sys.stdout.write(f"  {error}\n")
    return 1 if figures.errors else 0


if __name__ == "__main__":
    sys.exit(main())

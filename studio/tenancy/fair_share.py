"""How much one person and one studio may ask for at a time, so that nobody keeps the others waiting.

Whoever is over their share gets :class:`TooMuch`, which says when to try again; nothing is changed. It is counted
while a page is answered (:func:`of_page`): the worker and the commands have no share, clients are limited by their
address.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from time import thread_time
from typing import Final

from django.conf import settings
from django.core.exceptions import ValidationError

from studio import tenancy
from studio.tenancy import counters
from studio.tenancy.counters import Counter, Limit, Turns

_on_a_page: ContextVar[bool] = ContextVar("billowbook_on_a_page", default=False)

MINUTE: Final = 60
HOUR: Final = 3600
DAY: Final = 86400
WAIT_FOR_A_TURN_SECONDS: Final = 3


class TooMuch(ValidationError):
    """More than one's share; the message says what and when to try again."""

    def __init__(self, words: str, retry_seconds: int) -> None:
        super().__init__(f"{words} Nothing was changed. Try again in {_duration(retry_seconds)}.")
        self.retry_seconds = retry_seconds


@dataclass(frozen=True)
class Share:
    """What may be asked for: so much in a time, and so much at once (0: any number)."""

    things: str
    """What they are called in the answer."""
    person: tuple[Limit, ...]
    studio: tuple[Limit, ...]
    person_at_once: int = 0
    studio_at_once: int = 0


@dataclass(frozen=True)
class _Party:
    """Who is counted, and how the answer begins."""

    key: str
    asked: str
    busy: str


# A day at a busy studio stays far below these; they are our choice, no source.
MAILS: Final = Share(
    "e-mails",
    person=(Limit(60, 10 * MINUTE), Limit(400, DAY)),
    studio=(Limit(180, 10 * MINUTE), Limit(1000, DAY)),
)
INVITATIONS: Final = Share("invitations", person=(Limit(20, HOUR),), studio=(Limit(40, DAY),))
PAPERS: Final = Share("PDFs", person=(Limit(30, MINUTE),), studio=(Limit(90, MINUTE),))
PLANS: Final = Share(
    "plans", person=(Limit(6, 5 * MINUTE),), studio=(Limit(12, 5 * MINUTE),), studio_at_once=2
)
FITS: Final = Share("fittings", person=(Limit(20, MINUTE),), studio=(Limit(40, MINUTE),), studio_at_once=2)
DESIGN_FILES: Final = Share(
    "design files",
    person=(Limit(20, MINUTE),),
    studio=(Limit(40, MINUTE),),
    person_at_once=1,
    studio_at_once=2,
)
PICTURES: Final = Share(
    "pictures", person=(Limit(20, MINUTE),), studio=(Limit(40, MINUTE),), person_at_once=1, studio_at_once=2
)
STILLS: Final = Share(
    "lifelike pictures", person=(Limit(12, 10 * MINUTE),), studio=(Limit(30, 10 * MINUTE), Limit(300, DAY))
)
TABLE_ROWS: Final = Share(
    "rows of tables",
    person=(Limit(12_000, 10 * MINUTE),),
    studio=(Limit(20_000, 10 * MINUTE),),
    studio_at_once=1,
)
"""Twice the longest table: looked at once, taken once."""
PAGES_AT_ONCE: Final = Share("pages", person=(), studio=(), person_at_once=4, studio_at_once=6)
"""Of eight threads, so that two are left for other studios."""
PERSON_SECONDS: Final = 30
STUDIO_SECONDS: Final = 75
"""Seconds of a processor that pages may take in a minute, on two cores."""


def ask(share: Share, amount: int = 1) -> None:
    """Count so much of a share for whoever acts. Raises :class:`TooMuch`."""
    for party, limits in zip(_parties(), (share.person, share.studio), strict=False):
        for limit in limits:
            if counters.count(share.things, party.key, limit.window_seconds, amount) > limit.tries:
                words = f"{party.asked} too many {share.things} in a short time."
                raise TooMuch(words, counters.seconds_left(limit.window_seconds))


@contextmanager
def turn(share: Share, amount: int = 1) -> Iterator[None]:
    """Have one's turn at something costly, and count it. Raises :class:`TooMuch` while too many others run."""
    with _turns(_wanted(share)):
        ask(share, amount)
        yield


def take_place(share: Share) -> tuple[str, ...]:
    """One of the studio's places for work that goes on after the page; :func:`leave_place` ends it.

    Raises :class:`TooMuch` while all of them are taken.
    """
    wanted = _wanted(replace(share, person_at_once=0))
    taken, _ = counters.take_turns([turns for _, turns in wanted])
    for (party, _), name in zip(wanted, taken, strict=True):
        if name is None:
            raise TooMuch(party.busy, WAIT_FOR_A_TURN_SECONDS)
    return tuple(name for name in taken if name is not None)


def leave_place(names: Sequence[str]) -> None:
    """Let others have these places."""
    if names:
        counters.end_turns(names)


@contextmanager
def of_page(*, many_at_once: bool = False) -> Iterator[None]:
    """Answer a page to whoever acts: what it asks for is counted. Raises :class:`TooMuch`."""
    token = _on_a_page.set(True)
    try:
        with _turns([] if many_at_once else _wanted(PAGES_AT_ONCE), count_time=True):
            yield
    finally:
        _on_a_page.reset(token)


@contextmanager
def _turns(wanted: Sequence[tuple[_Party, Turns]], *, count_time: bool = False) -> Iterator[None]:
    """Have these turns, and count the processor's time meanwhile. Raises :class:`TooMuch`."""
    parties = _parties() if count_time else ()
    timed = [Counter("milliseconds", party.key, MINUTE) for party in parties]
    taken, spent_before = counters.take_turns([turns for _, turns in wanted], beside=timed)
    began = thread_time()
    refused = True
    try:
        for (party, _), name in zip(wanted, taken, strict=True):
            if name is None:
                raise TooMuch(party.busy, WAIT_FOR_A_TURN_SECONDS)
        _refuse_overtime(parties, spent_before)
        refused = False
        yield
    finally:
        spent = round(1000 * (thread_time() - began))
        names = [name for name in taken if name is not None]
        counters.end_turns(names, beside=() if refused else timed, amount=spent)


def _wanted(share: Share) -> list[tuple[_Party, Turns]]:
    """The turns that a share needs, of person and studio."""
    at_once = (share.person_at_once, share.studio_at_once)
    return [
        (party, Turns(share.things, party.key, round(limit * settings.WEB_CAPACITY)))
        for party, limit in zip(_parties(), at_once, strict=False)
        if limit
    ]


def _refuse_overtime(parties: Sequence[_Party], spent: Sequence[int]) -> None:
    """Raise :class:`TooMuch` where the last minute took too much of the processor's time."""
    for party, milliseconds, seconds in zip(parties, spent, (PERSON_SECONDS, STUDIO_SECONDS), strict=False):
        if milliseconds > seconds * 1000 * settings.WEB_CAPACITY:
            words = f"{party.asked} too much in a short time."
            raise TooMuch(words, counters.seconds_left(MINUTE))


def _parties() -> tuple[_Party, ...]:
    """Whoever acts on a page, and their studio."""
    if not _on_a_page.get():
        return ()
    tenant = tenancy.current()
    person = f"person:{tenant.person_id}" if tenant.person_id else f"phone:{tenant.phone_id}"
    return (
        _Party(person, "You asked for", "You have asked for this already, and it is still being worked on."),
        _Party(
            f"studio:{tenant.studio_id}",
            "Your studio asked for",
            "Others of your studio have asked for this, and it is still being worked on.",
        ),
    )


def _duration(seconds: int) -> str:
    if seconds < MINUTE:
        return f"{seconds} seconds"
    minutes = -(-seconds // MINUTE)
    return "a minute" if minutes == 1 else f"{minutes} minutes" if minutes < 120 else f"{minutes // 60} hours"

"""Counting in Redis, for all web processes together; every function asks it in one round trip.

A counter that can't be reached counts nothing: what it guards goes on without it, and the log says so.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from time import time
from typing import Final, TypeVar

from django.core.cache import cache
from redis import Redis
from redis.client import Pipeline
from redis.exceptions import RedisError

from studio.tenancy.shared_redis import shared_redis

log = logging.getLogger(__name__)

T = TypeVar("T")
LONGEST_TURN_SECONDS: Final = 150
"""After so long a turn ends by itself: the process that had it was killed."""


@dataclass(frozen=True)
class Limit:
    """At most ``tries`` within each ``window_seconds``."""

    tries: int
    window_seconds: int


@dataclass(frozen=True)
class Counter:
    """What ``who`` has had of something in the window that runs now."""

    what: str
    who: str
    window_seconds: int

    def key(self) -> str:
        """The key in Redis."""
        return _window_key(self.what, self.who, self.window_seconds)


@dataclass(frozen=True)
class Turns:
    """At most ``at_once`` turns of ``who`` at something."""

    what: str
    who: str
    at_once: int

    def name(self, number: int) -> str:
        """One of the turns, by its number from 0."""
        return f"{_key('turn', self.what, self.who)}:{number}"


def count(what: str, who: str, window_seconds: int, amount: int = 1) -> int:
    """Add to what ``who`` has had of it in this window; how much that is now."""

    def counted() -> int:
        with shared_redis().pipeline(transaction=False) as asked:
            _add_count(asked, _window_key(what, who, window_seconds), window_seconds, amount)
            return int(asked.execute()[-1])

    return _reached(counted, amount)


def take_turns(
    turns: Sequence[Turns], *, beside: Sequence[Counter] = ()
) -> tuple[list[str | None], list[int]]:
    """One of each of these turns, and how much was had of the counters ``beside``; mostly one round trip.

    Each turn has a name with which to end it; nothing where all of them are taken.
    """

    def taken() -> tuple[list[str | None], list[int]]:
        with shared_redis().pipeline(transaction=False) as asked:
            for turn in turns:
                _take(asked, turn.name(0))
            for counter in beside:
                asked.get(counter.key())
            answers = asked.execute()
        first, had = answers[: len(turns)], answers[len(turns) :]
        names = [turn.name(0) if free else _further(turn) for turn, free in zip(turns, first, strict=True)]
        return names, [int(each or 0) for each in had]

    uncounted: list[str | None] = [turn.name(0) for turn in turns]
    return _reached(taken, (uncounted, [0] * len(beside)))


def end_turns(names: Sequence[str], *, beside: Sequence[Counter] = (), amount: int = 0) -> None:
    """Let others have these turns, and add ``amount`` to the counters ``beside``, in one round trip."""

    def ended() -> None:
        with shared_redis().pipeline(transaction=False) as asked:
            if names:
                asked.delete(*(_stored(name) for name in names))
            for counter in beside:
                _add_count(asked, counter.key(), counter.window_seconds, amount)
            asked.execute()

    _reached(ended, None)


def seconds_left(window_seconds: int) -> int:
    """How long this window still lasts."""
    return window_seconds - int(time()) % window_seconds


def _add_count(asked: Pipeline, key: str, window_seconds: int, amount: int) -> None:
    asked.set(key, 0, ex=window_seconds + 1, nx=True)
    asked.incrby(key, amount)


def _take(asked: Redis, name: str) -> object:
    return asked.set(_stored(name), 1, ex=LONGEST_TURN_SECONDS, nx=True)


def _further(turns: Turns) -> str | None:
    """A free one of the turns after the first."""
    names = (turns.name(number) for number in range(1, turns.at_once))
    return next((name for name in names if _take(shared_redis(), name)), None)


def _window_key(what: str, who: str, window_seconds: int) -> str:
    return _stored(_key("rate", what, who, str(int(time()) // window_seconds)))


def _stored(name: str) -> str:
    return cache.make_key(name)


def _key(kind: str, *parts: str) -> str:
    return f"{kind}:{hashlib.sha256(chr(0).join(parts).encode()).hexdigest()}"


def _reached(asked: Callable[[], T], otherwise: T) -> T:
    try:
        return asked()
    except (RedisError, OSError):
        log.warning("Redis away: limits are not counted.")
        return otherwise

"""Counting in Redis (Django's cache), for all web processes together.

A counter that can't be reached counts nothing: what it guards goes on without it, and the log says so.
"""

from __future__ import annotations

import hashlib
import logging
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from time import time
from typing import Final, TypeVar

from django.core.cache import cache
from redis.exceptions import RedisError

log = logging.getLogger(__name__)

T = TypeVar("T")
LONGEST_TURN_SECONDS: Final = 150
"""After so long a turn ends by itself: the process that had it was killed."""


@dataclass(frozen=True)
class Limit:
    """At most ``tries`` within each ``window_seconds``."""

    tries: int
    window_seconds: int


def count(what: str, who: str, window_seconds: int, amount: int = 1) -> int:
    """Add to what ``who`` has had of it in this window; how much that is now."""
    key = _window_key(what, who, window_seconds)

    def counted() -> int:
        cache.add(key, 0, timeout=window_seconds + 1)
        try:
            return int(cache.incr(key, amount))
        except ValueError:  # The window ended between the two calls.
            return amount

    return _reached(counted, amount)


def counted(what: str, who: str, window_seconds: int) -> int:
    """How much ``who`` has had of it in this window."""
    return _reached(lambda: int(cache.get(_window_key(what, who, window_seconds), 0)), 0)


def take_turn(what: str, who: str, at_once: int) -> str | None:
    """One of ``at_once`` turns, by a name with which to end it; nothing where all are taken."""
    stem = _key("turn", what, who)
    mine = secrets.token_hex(8)

    def taken() -> str | None:
        names = (f"{stem}:{number}" for number in range(at_once))
        return next((name for name in names if cache.add(name, mine, LONGEST_TURN_SECONDS)), None)

    uncounted: str | None = stem
    return _reached(taken, uncounted)


def end_turn(name: str) -> None:
    """Let others have it."""
    _reached(lambda: cache.delete(name), False)


def seconds_left(window_seconds: int) -> int:
    """How long this window still lasts."""
    return window_seconds - int(time()) % window_seconds


def _window_key(what: str, who: str, window_seconds: int) -> str:
    return _key("rate", what, who, str(int(time()) // window_seconds))


def _key(kind: str, *parts: str) -> str:
    return f"{kind}:{hashlib.sha256(chr(0).join(parts).encode()).hexdigest()}"


def _reached(asked: Callable[[], T], otherwise: T) -> T:
    try:
        return asked()
    except (RedisError, OSError):
        log.warning("Redis away: limits are not counted.")
        return otherwise

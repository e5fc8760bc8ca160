"""Ctrl-C and its kin, noticed at safe points only: a process that was just started is never lost sight of."""

from __future__ import annotations

import signal
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

SIGNALS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)


class Interrupted(BaseException):
    """The person at the terminal, or the system, asked us to stop."""


class _Request:
    """Whether a stop was asked for since the handlers were set."""

    received = False


def note(_number: int, _frame: FrameType | None) -> None:
    """Remember the wish; a second one while we are stopping changes nothing."""
    _Request.received = True


@contextmanager
def interruptible() -> Iterator[None]:
    """Within it the signals that ask for an end only leave a note, which `check` and `wait` heed."""
    _Request.received = False
    before = {number: signal.signal(number, note) for number in SIGNALS}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def check() -> None:
    """Raise Interrupted once a stop was asked for. Call it only where nothing can be lost."""
    if _Request.received:
        _Request.received = False
        raise Interrupted


def wait(seconds: float | None = None) -> None:
    """Do nothing for so long, or for ever, until a stop is asked for."""
    deadline = None if seconds is None else time.monotonic() + seconds
    while deadline is None or time.monotonic() < deadline:
        check()
        time.sleep(0.1)

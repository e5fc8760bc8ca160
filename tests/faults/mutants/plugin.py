"""A pytest plugin: the tests that were collected, run against each planted change in a fork of this process.

``-p tests.faults.mutants.plugin`` with the changes to try in the file that ``BILLOWBOOK_MUTANTS`` names; what became of
them is written beside it. The first fork runs every test with all changes off and writes down which changes each test
reaches and how long it takes. A change meets only tests that reach it, quickest first, until one fails.
"""

from __future__ import annotations

import functools
import json
import os
import signal
import sys
import time
import warnings
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import hypothesis
import pytest
from hypothesis import Phase

from tests.faults.mutants import loading
from tests.faults.mutants.switch import Switch

KILLED, SURVIVED, SLOW, NOT_REACHED = "killed", "survived", "killed by time", "not reached"
TIMES_LONGER, SECONDS_MORE = 6, 20
ROOMS = ("studio", "stock", "events", "quoting", "tests")

_job = Path(os.environ["BILLOWBOOK_MUTANTS"])
_task: dict[str, Any] = json.loads(_job.read_text("utf-8"))
loading.plant(
    {
        name: {int(place): number for place, number in there.items()}
        for name, there in _task["chosen"].items()
    },
    set(_task["figures"]),
)


@dataclass
class Failures:
    """What went wrong since it was emptied."""

    names: list[str] = field(default_factory=list)


_failures = Failures()


@dataclass(frozen=True)
class Course:
    """A test, how long it took and which changes it asked for."""

    item: pytest.Item
    seconds: float
    reached: frozenset[int]


class _Nothing:
    """Stands for the next test where everything but the session is to be put away."""

    def __init__(self, session: pytest.Session) -> None:
        self.session = session

    def listchain(self) -> list[pytest.Session]:
        return [self.session]


@pytest.hookimpl(tryfirst=True)
def pytest_collection() -> None:
    """Generated inputs are the same for every change, and a failing one isn't made smaller."""
    hypothesis.settings.register_profile(
        "mutants", deadline=None, derandomize=True, database=None, phases=(Phase.explicit, Phase.generate)
    )
    hypothesis.settings.load_profile("mutants")


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    if report.failed:
        _failures.names.append(report.nodeid)


@pytest.hookimpl(tryfirst=True)
def pytest_runtestloop(session: pytest.Session) -> bool:
    """Try every change in place of running the tests once."""
    _make_database(session)
    courses = _courses(session)
    outcomes: dict[int, list[str]] = {}
    for number in _task["numbers"]:
        outcomes[number] = _tried(session, number, courses)
        _job.with_suffix(".out").write_text(json.dumps(outcomes), "utf-8")
    return True


# Private


def _make_database(session: pytest.Session) -> None:
    """One database for all forks, made here; the tests' own fixture finds it there."""
    if not any("db" in getattr(item, "fixturenames", ()) for item in session.items):
        return
    from pytest_django.plugin import blocking_manager_key

    from tests import database

    with session.config.stash[blocking_manager_key].unblock():
        database.make("billowbook_test_main")
        _close_connections()
    database.make = _use_database
    database.drop = _use_database


def _use_database(name: str) -> None:
    from django.db import connection

    connection.settings_dict["NAME"] = name


def _close_connections() -> None:
    from django.db import connections

    connections.close_all()


def _courses(session: pytest.Session) -> list[Course]:
    """Run every test once with no change on, in a fork; all of them have to pass."""
    notes = _job.with_suffix(".base")
    code, _ = _forked(session, lambda: _write_courses(session, notes), seconds=3600)
    assert code == 0, f"the tests fail without any change: {notes.read_text() if notes.exists() else code}"
    rows = json.loads(notes.read_text("utf-8"))
    return [
        Course(item, seconds, frozenset(reached))
        for item, (seconds, reached) in zip(session.items, rows, strict=True)
    ]


def _write_courses(session: pytest.Session, notes: Path) -> int:
    caches, rows = _caches(), []
    for item in session.items:
        # What an earlier test worked out and kept would hide what this one needs.
        for cache in caches:
            cache.cache_clear()
        Switch.asked = set()
        begun = time.monotonic()
        _run(session, [item])
        rows.append((time.monotonic() - begun, sorted(Switch.asked)))
    notes.write_text(json.dumps(_failures.names or rows), "utf-8")
    return 1 if _failures.names else 0


def _caches() -> list[Any]:
    kind = type(functools.cache(lambda: None))
    return [
        value
        for name, module in list(sys.modules.items())
        if name.partition(".")[0] in ROOMS
        for value in list(vars(module).values())
        if isinstance(value, kind)
    ]


def _tried(session: pytest.Session, number: int, courses: Sequence[Course]) -> list[str]:
    """What became of one change, and by which test."""
    near = sorted((one for one in courses if number in one.reached), key=lambda one: one.seconds)
    chosen: list[pytest.Item] = []
    expected = 0.0
    for one in near:
        expected += one.seconds
        if expected > _task["seconds"] and chosen:
            break
        chosen.append(one.item)
    if not chosen:
        return [NOT_REACHED, ""]
    note = _job.with_suffix(".note")
    note.unlink(missing_ok=True)
    limit = TIMES_LONGER * min(expected, _task["seconds"]) + SECONDS_MORE
    code, in_time = _forked(session, lambda: _run_changed(session, number, chosen, note), seconds=limit)
    if not in_time:
        return [SLOW, ""]
    by = note.read_text("utf-8") if note.exists() else ""
    return [KILLED, by] if code else [SURVIVED, f"{len(chosen)} of {len(near)} tests"]


def _run_changed(session: pytest.Session, number: int, items: Sequence[pytest.Item], note: Path) -> int:
    Switch.on = number
    for item in items:
        _run(session, [item])
        if _failures.names:
            note.write_text(_failures.names[0], "utf-8")
            return 1
    return 0


def _run(session: pytest.Session, items: Sequence[pytest.Item]) -> None:
    for item in items:
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=_Nothing(session))


def _forked(session: pytest.Session, work: Callable[[], int], *, seconds: float) -> tuple[int, bool]:
    """Do the work in a fork of this process; its exit code, and whether it ended in time."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        pid = os.fork()
    if pid == 0:
        os._exit(_quietly(work))
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        ended, status = os.waitpid(pid, os.WNOHANG)
        if ended:
            return os.waitstatus_to_exitcode(status), True
        time.sleep(0.01)
    with suppress(ProcessLookupError):
        os.killpg(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    _empty_database()
    return 1, False


def _quietly(work: Callable[[], int]) -> int:
    os.setsid()
    silence = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silence, 1)
    os.dup2(silence, 2)
    try:
        return work()
    except BaseException:  # noqa: BLE001 - whatever it is, the fork ends here
        return 2


def _empty_database() -> None:
    """A test that was broken off may have left rows behind."""
    from tests import database

    if database.make is _use_database:
        database.empty()

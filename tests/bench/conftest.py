"""Pages are timed as the web server runs them; what was measured ends as one table, and as rows of a history."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator

import pytest
from django.template.base import Template
from django.test.utils import _TestState

from tests.bench.figures import Figures, present_commit, read_history, write_history

FIGURES = pytest.StashKey[Figures]()


@pytest.fixture(autouse=True)
def _as_the_web_server(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """No template's context is copied, as Django's tests do; what is loaded by now is left out of every later
    collection, as in studio/wsgi.py.
    """
    monkeypatch.setattr(Template, "_render", _TestState.saved_data.template_render)  # type: ignore[attr-defined]
    gc.collect()
    gc.freeze()
    yield
    gc.unfreeze()


@pytest.fixture
def figures(pytestconfig: pytest.Config) -> Figures:
    """Where a bench notes what it measured."""
    return pytestconfig.stash.setdefault(FIGURES, Figures())


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """One table of all figures; ``BENCH_HISTORY=1`` keeps them as well, to be committed."""
    figures = config.stash.get(FIGURES, Figures())
    if not figures.found:
        return
    terminalreporter.section("What was measured")
    for line in figures.table(read_history()):
        terminalreporter.write_line(line)
    if os.environ.get("BENCH_HISTORY"):
        write_history(figures.found, present_commit())

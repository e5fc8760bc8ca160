"""A pytest plugin: which tests of a parallel run stay in one process, because they share what is costly to set up.

pytest-xdist's own groups (``--dist loadgroup``) are told by rewriting a test's name, which pytest 9.2 no longer heeds.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest
from xdist.scheduler import LoadScopeScheduling

JOURNEYS: Final = [
    f"tests/browser/{path.name}" for path in sorted(Path(__file__).parent.glob("browser/test_*.py"))
]
HALVES: Final = 2
"""Two processes share the journeys, each with a product and a browser of its own."""
TOGETHER: Final = {
    "tests/studio/test_addresses.py": "the season of the demo",
    "tests/studio/local/test_services.py": "services that have run",
    "tests/studio/people/test_body_limits_served.py": "a web server",
}


class InGroups(LoadScopeScheduling):  # type: ignore[misc] # pytest-xdist has no types
    """Hands out tests one by one, and groups whole: the largest first."""

    def _split_scope(self, nodeid: str) -> str:
        return group_of(nodeid)


def group_of(nodeid: str) -> str:
    """The name of the group that a test belongs to; most are alone in theirs."""
    module = nodeid.partition("::")[0]
    if module in JOURNEYS:
        return f"journeys {JOURNEYS.index(module) % HALVES}"
    return TOGETHER.get(module, nodeid)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: object) -> InGroups:
    """Asked by pytest-xdist whatever ``--dist`` says."""
    return InGroups(config, log)

"""How far random tests go: a few cases with every run of the tests, many with `make bench`."""

from __future__ import annotations

from typing import Final

import pytest
from _pytest.mark import ParameterSet
from hypothesis import HealthCheck, settings

UNHURRIED: Final = settings(
    deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)
"""For sequences on a real database."""


def seeds(few: int, many: int) -> list[ParameterSet]:
    """Seeds from 0, of which the first few are tried with every run of the tests."""
    return [pytest.param(seed, marks=[] if seed < few else [pytest.mark.bench]) for seed in range(many)]


def examples(few: int, many: int) -> list[ParameterSet]:
    """Two numbers of examples: the smaller one for every run of the tests."""
    return [pytest.param(few, id="few"), pytest.param(many, id="many", marks=[pytest.mark.bench])]

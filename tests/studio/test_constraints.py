"""A row's check constraints are asked about together; what breaks one of them is told by that one's name."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from events.models import Van
from tests.people import House


def van(**facts: object) -> Van:
    return Van(**{"name": "Blue van", "seats": 3, "load_m3": None, "longest_m": Decimal(2)} | facts)


def test_that_all_of_a_row_holds_takes_one_question(wickerlark: House) -> None:
    with wickerlark.enter():
        row = van()
        with CaptureQueriesContext(connection) as asked:
            row.validate_constraints()
        checks = [each["sql"] for each in asked if "_check" in each["sql"]]
    assert len(checks) == 1
    assert all(field in checks[0] for field in ("'Blue van'", "COALESCE"))


@pytest.mark.parametrize(
    ("facts", "broken"),
    [
        ({"seats": 0}, ["seats"]),
        ({"load_m3": Decimal(900)}, ["load"]),
        ({"seats": 61, "load_m3": Decimal(-1)}, ["load", "seats"]),
        ({}, []),
    ],
)
def test_every_check_that_is_broken_is_told_by_name(
    wickerlark: House, facts: dict[str, object], broken: list[str]
) -> None:
    found: list[str] = []
    with wickerlark.enter():
        try:
            van(**facts).validate_constraints()
        except ValidationError as fault:
            found = [
                name for name in ("load", "longest", "seats") if f"events_van_{name}_range" in str(fault)
            ]
    assert found == broken


def test_what_speaks_of_an_excluded_field_is_left_out(wickerlark: House) -> None:
    with wickerlark.enter():
        van(seats=0).validate_constraints(exclude={"seats"})
        with pytest.raises(ValidationError, match="events_van_load_range"):
            van(seats=0, load_m3=Decimal(900)).validate_constraints(exclude={"seats"})

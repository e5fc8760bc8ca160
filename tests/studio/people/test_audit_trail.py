"""Who did what to which record when."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, connection

from studio.models import Membership, TaxRate
from studio.people import audit_trail, taxes
from tests.people import House


def test_a_change_names_person_role_record_and_what_changed(wickerlark: House) -> None:
    with wickerlark.enter():
        tax = taxes.add_tax(name="Sales tax", percent=Decimal(6), is_default=True)
        TaxRate.objects.filter(pk=tax.pk).update(percent=7)
        changed, made = audit_trail.recent_entries(limit=2)
    assert (made.did, made.kind, made.record) == ("added", "tax rate", "Sales tax")
    assert (changed.did, changed.person, changed.role) == ("changed", "Wickerlark Decor Owner", "owner")
    assert changed.changes == (("percent", "6.000", "7.000"),)


def test_changes_by_raw_sql_are_caught_too(wickerlark: House) -> None:
    with wickerlark.enter():
        taxes.add_tax(name="Sales tax", percent=Decimal(6), is_default=True)
        with connection.cursor() as cursor:
            cursor.execute("DELETE FROM studio_taxrate")
        assert audit_trail.recent_entries(limit=1)[0].did == "removed"


def test_the_trail_of_another_studio_stays_unseen(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        taxes.add_tax(name="Sales tax", percent=Decimal(6), is_default=True)
    with federkorn.enter():
        assert "Sales tax" not in {deed.record for deed in audit_trail.recent_entries(limit=100)}


@pytest.mark.parametrize(
    "statement", ["UPDATE studio_taxrateevent SET name = 'x'", "DELETE FROM studio_taxrateevent"]
)
def test_the_database_refuses_to_change_the_trail(wickerlark: House, statement: str) -> None:
    with pytest.raises(DatabaseError, match="append_only"), wickerlark.enter():
        taxes.add_tax(name="Sales tax", percent=Decimal(6), is_default=True)
        with connection.cursor() as cursor:
            cursor.execute(statement)


@pytest.mark.parametrize("role", ["staff", "crew"])
def test_only_an_owner_reads_the_trail(wickerlark: House, role: str) -> None:
    with (
        wickerlark.enter(role),
        pytest.raises(PermissionDenied, match="doesn't allow you to read the audit trail"),
    ):
        audit_trail.recent_entries(limit=1)


def test_the_trail_takes_as_many_queries_for_many_deeds_as_for_few(
    wickerlark: House, django_assert_max_num_queries: Any
) -> None:
    kinds = len(audit_trail.kinds())
    with wickerlark.enter():
        for number in range(30):
            taxes.add_tax(name=f"Tax {number}", percent=Decimal(number), is_default=True)
        with django_assert_max_num_queries(kinds * 2 + 1):
            assert len(audit_trail.recent_entries(limit=60)) == 60


def test_values_are_written_as_people_read_them(federkorn: House) -> None:
    with federkorn.enter():
        member = Membership.objects.get(person=federkorn.crew)
        Membership.objects.filter(pk=member.pk).update(role="staff")
        TaxRate.objects.create(name="Levy", percent=1)
        TaxRate.objects.filter(name="Levy").update(
            retired_at=datetime(2026, 11, 12, 20, 4, 59, 123456, tzinfo=UTC)
        )
        retired, _, promoted = audit_trail.recent_entries(limit=3)
    assert promoted.changes == (("role", "crew", "staff"),)
    ((field, before, after),) = retired.changes
    assert (field, before) == ("retired at", "—")
    assert "12" in after
    assert "21:04" in after, "the studio's own clock, to the minute"
    assert "123456" not in after

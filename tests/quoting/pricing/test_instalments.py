"""Deposit, instalments and the rest add up to the total, and no part is more than what is left."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from quoting.pricing.instalments import Instalment, kept, parts, read

D = Decimal
FIRST, SECOND = date(2030, 4, 1), date(2030, 5, 1)


def test_each_instalment_is_its_share_of_the_total_and_the_rest_is_left() -> None:
    """By hand: of 999.99, 300.00 down; a third of a hundred is 333.30 (333.2967 rounded), a quarter 250.00."""
    found, rest = parts(
        D("999.99"), D("300.00"), [Instalment(D("33.33"), FIRST), Instalment(D(25), SECOND)], "EUR"
    )
    assert [(part.percent, part.due_on, part.amount) for part in found] == [
        (D("33.33"), FIRST, D("333.30")),
        (D(25), SECOND, D("250.00")),
    ]
    assert rest == D("116.69")


def test_an_instalment_takes_no_more_than_what_is_left() -> None:
    found, rest = parts(D("100.00"), D("60.00"), [Instalment(D(30), FIRST), Instalment(D(30), SECOND)], "EUR")
    assert [part.amount for part in found] == [D("30.00"), D("10.00")]
    assert rest == 0


@given(
    st.integers(0, 10**7),
    st.integers(0, 100),
    st.lists(st.integers(1, 10_000).map(lambda share: D(share) / 100), max_size=4),
)
def test_deposit_instalments_and_rest_add_up(cents: int, deposit: int, shares: list[Decimal]) -> None:
    total = D(cents) / 100
    down = D(cents * deposit // 100) / 100
    found, rest = parts(total, down, [Instalment(share, FIRST) for share in shares], "EUR")
    assert down + sum(part.amount for part in found) + rest == total
    assert all(part.amount >= 0 for part in found)
    assert rest >= 0


def test_instalments_are_read_as_they_were_kept() -> None:
    planned = [Instalment(D("12.50"), FIRST), Instalment(D(100), SECOND)]
    assert kept(planned) == [
        {"percent": "12.5", "due_on": "2030-04-01"},
        {"percent": "100", "due_on": "2030-05-01"},
    ]
    assert read(kept(planned)) == planned

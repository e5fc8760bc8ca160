"""Margin, mark-up and break-even against textbooks of business arithmetic.

Miller, Salzman and Clendenen, Business Mathematics Brief, 12th edition, markup on cost (worked examples as quoted by a
collection of its exercises); Slater and Wittry, Practical Business Math Procedures, 12th edition, chapter 8, and the
mathematics guide of Centennial College's libraries (S = C + E + P, M = E + P, the two rates of markup): definitions
read in secondary texts, the products recomputed.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from quoting.pricing.inputs import Work
from quoting.pricing.tape import Tape, margin_percent, price, priced
from tests.quoting.pricing.test_tape import EURO, PLAIN

D = Decimal


def test_boots_bought_for_60_and_sold_for_81_are_marked_up_by_35_percent_of_cost() -> None:
    assert priced(D(60), markup_percent=D(35), margin_percent=None) == D(81)


def test_a_barbell_set_with_16_on_it_at_half_its_cost_is_sold_for_48() -> None:
    sold = priced(D(32), markup_percent=D(50), margin_percent=None)
    assert (sold, sold - D(32)) == (D(48), D(16))


@pytest.mark.parametrize(("cost", "sold"), [(60, 81), (32, 48), (40, 60), (100, 125)])
def test_markup_on_cost_becomes_markup_on_the_price_as_the_textbook_converts_it(cost: int, sold: int) -> None:
    """On the selling price = on cost / (100 % + on cost); the price = cost / (100 % - on the selling price)."""
    on_cost = D(sold - cost) / cost
    on_price = margin_percent(D(sold), D(cost)) / 100
    assert abs(on_price - on_cost / (1 + on_cost)) < D("0.000001")
    again = priced(D(cost), markup_percent=D(0), margin_percent=on_price * 100)
    assert abs(again - sold) < D("0.0001")


def _tape(*, cost: int, overhead: int, markup: int) -> Tape:
    rates = replace(PLAIN, prep_hour=D(cost), overhead_percent=D(overhead), markup_percent=D(markup))
    return price(work=Work(prep=D(60)), rates=rates, terms=EURO)


def test_the_selling_price_is_cost_and_expenses_and_profit_and_breaks_even_without_the_last() -> None:
    """S = C + E + P; markup M = E + P = S - C; the price that breaks even is C + E."""
    tape = _tape(cost=200, overhead=15, markup=60)
    assert tape.inside is not None
    inside = tape.inside
    assert tape.net == inside.cost + inside.overhead + inside.margin
    assert inside.break_even == inside.cost + inside.overhead == D(230)
    assert tape.net - inside.cost == inside.overhead + inside.margin

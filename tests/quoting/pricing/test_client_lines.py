"""What a client reads of a price: put together in other ways, to the same cent, and never rounded down."""

from __future__ import annotations

import random
from collections import defaultdict
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from quoting.models import ClientView
from quoting.pricing.client_lines import ClientLine, Shown, client_lines, rounded_up
from quoting.pricing.inputs import Band, Extra, Goods, PriceRates, PriceTerms, Share, Tax, Way, Work
from quoting.pricing.tape import Tape, price
from tests.quoting.pricing.exact_prices import CURRENCIES, random_quote

D = Decimal
VAT, REDUCED = Tax("VAT", D(20)), Tax("Reduced", D(7))
EURO = PriceTerms("EUR", default_tax=VAT, deposit_percent=D(40))
RATES = PriceRates(
    prep_hour=D(20), install_hour=D(25), strike_hour=D(25), van_distance=D("0.70"), markup_percent=D(60)
)
NAMES = ("Entrance arch", "Table garland")
BOTH = Shown(ClientView.PIECE, names=NAMES)


def goods(cost: str, tax: Tax | None = None) -> tuple[Goods, ...]:
    return (Goods("one", 1, D(cost), tax=tax),)


SHARES = (
    Share("garland", "Entrance arch: garland, 187 balloons", "5 in × 60, 11 in × 127", goods("61.13"), 0),
    Share("frames", "Entrance arch: two arches, two covers", "", goods("24.40"), 0),
    Share("garland", "Table garland: garland, 90 balloons", "5 in × 90", goods("30.07"), 1),
    Share("florals", "Table garland: florals", "eucalyptus × 4", goods("12.20", REDUCED), 1),
)
WORK = Work(prep=D(180), install=D(90), strike=D(45), crew=2)
WAY = Way(distance_m=12_000, drive_minutes=20, trips=2)


def tape_shown(shown: Shown | None, step: str = "0", **more: object) -> Tape:
    rates = replace(RATES, rounding_step=D(step))
    given: dict[str, object] = {"shares": SHARES, "work": WORK, "way": WAY, "extras": (), **more}
    return price(rates=rates, terms=EURO, shown=shown, **given)  # type: ignore[arg-type] # what a test leaves out


def total(lines: object) -> Decimal:
    return sum((line.amount for line in lines), D(0))  # type: ignore[attr-defined] # lines of either kind


def test_one_price_per_piece_and_delivery_is_all_that_the_client_reads() -> None:
    tape = tape_shown(BOTH)
    assert [line.label for line in tape.shown] == ["Entrance arch", "Table garland", "Delivery"]
    assert not any(line.detail for line in tape.shown)
    assert total(tape.shown) == total(tape.lines) == tape.net


def test_labor_goes_into_the_pieces_in_proportion_to_their_goods() -> None:
    """In exact fractions: each piece takes hands x its goods / all goods, to the cent."""
    tape = tape_shown(BOTH)
    by_part: dict[str, Decimal] = defaultdict(Decimal)
    for line in tape.lines:
        by_part[f"{line.part}{line.piece}"] += line.amount
    first = Fraction(by_part["garland0"] + by_part["frames0"])
    second = Fraction(by_part["garland1"] + by_part["florals1"])
    hands = Fraction(by_part["hands0"])
    exact = [first + hands * first / (first + second), second + hands * second / (first + second)]
    for read, wanted in zip(tape.shown, exact, strict=False):
        assert abs(Fraction(read.amount) - wanted) < Fraction(1, 100)


def test_by_group_says_materials_florals_frames_labor_and_delivery() -> None:
    tape = tape_shown(Shown(ClientView.GROUP, names=NAMES))
    assert [line.label for line in tape.shown] == [
        "Materials", "Frames and covers", "Florals", "Labor", "Delivery",
    ]  # fmt: skip
    assert total(tape.shown) == tape.net


@pytest.mark.parametrize("view", ClientView)
def test_neither_hours_nor_counts_of_balloons_are_told_unless_chosen(view: ClientView) -> None:
    words = " ".join(f"{line.label} {line.detail}" for line in tape_shown(Shown(view, names=NAMES)).shown)
    assert " h" not in words.replace(" half", "")
    assert "balloons" not in words
    assert " × 60" not in words


def test_in_full_with_counts_and_hours_is_the_tape_as_the_studio_reads_it() -> None:
    tape = tape_shown(Shown(ClientView.FULL, counts=True, hours=True, names=NAMES))
    read = [(line.label, line.detail) for line in tape.shown]
    written = [(line.label, line.detail) for line in tape.lines]
    assert read == [("Delivery", detail) if label == "Van" else (label, detail) for label, detail in written]


def test_a_free_line_and_a_discount_are_read_however_little_is_shown() -> None:
    extras = (Extra("Number 6, gold", D(1), D("38.50"), REDUCED), Extra("Friends", D(1), D("-10.00")))
    tape = tape_shown(BOTH, extras=extras)
    assert [(line.label, line.amount) for line in tape.shown][-2:] == [
        ("Number 6, gold", D("38.50")), ("Friends", D("-10.00")),
    ]  # fmt: skip


def test_what_belongs_to_no_piece_is_told_where_there_is_none() -> None:
    tape = tape_shown(Shown(ClientView.PIECE), shares=(), extras=(Extra("Plinth", D(1), D(20)),))
    assert [line.label for line in tape.shown] == ["Delivery", "Plinth", "Labor"]
    assert total(tape.shown) == tape.net


@pytest.mark.parametrize("step", ["1", "5", "10"])
@pytest.mark.parametrize("view", ClientView)
def test_each_price_goes_up_to_the_step_and_the_difference_is_a_line_inside(
    view: ClientView, step: str
) -> None:
    shown = Shown(view, names=NAMES)
    before, after = tape_shown(shown), tape_shown(shown, step)
    for was, now in zip(before.shown, after.shown, strict=True):
        assert now.amount % D(step) == 0
        assert was.amount <= now.amount < was.amount + D(step), "up, and no further than the next"
    added = sum((line.amount for line in after.lines if line.part == "rounding"), D(0))
    assert added == total(after.shown) - total(before.shown) > 0
    assert after.net == total(after.lines) == total(after.shown)
    assert sum((tax.base for tax in after.taxes), D(0)) == after.net, "the rounding is taxed as well"


def test_what_somebody_set_is_not_rounded() -> None:
    lines = [ClientLine("Plinth", "", D("38.50"), is_set=True), ClientLine("Arch", "", D("481.20"))]
    assert [line.amount for line in rounded_up(lines, D(10))] == [D("38.50"), D("490.00")]


def test_a_discount_is_not_made_smaller_and_nothing_is_not_rounded_up() -> None:
    lines = [ClientLine("Arch", "", D("481.20")), ClientLine("Discount", "", D("-48.12"))]
    assert rounded_up(lines, D(10))[1].amount == D("-48.12")
    free = [lines[0], ClientLine("Discount", "", D("-481.20"))]
    assert list(rounded_up(free, D(10))) == free


def test_a_step_of_nothing_or_less_changes_no_price() -> None:
    lines = (ClientLine("Arch", "", D("481.20")),)
    assert rounded_up(lines, D(0)) == rounded_up(lines, D(-5)) == lines


def test_four_hundred_quotes_at_random_add_up_to_the_cent_in_every_view() -> None:
    """Against whole minor units, counted without the product's decimal arithmetic."""
    dice = random.Random(29)  # noqa: S311 -- quotes to try, no secrets
    for _ in range(400):
        quote = random_quote(dice)
        digits = CURRENCIES[quote.terms.currency]
        for view in ClientView:
            tape = price(
                shares=quote.shares, work=quote.work, way=quote.way, extras=quote.extras, rates=quote.rates,
                terms=quote.terms, adjustments=quote.adjustments, shown=Shown(view, names=("The piece",)),
            )  # fmt: skip
            coins = [int(Fraction(line.amount) * 10**digits) for line in tape.shown]
            assert all(Fraction(line.amount) * 10**digits % 1 == 0 for line in tape.shown)
            wanted = tape.total if quote.terms.inclusive else tape.net
            assert sum(coins) == int(Fraction(wanted) * 10**digits), (view, quote)
            assert tape.net + sum((tax.amount for tax in tape.taxes), D(0)) == tape.total


@pytest.mark.parametrize(("asked", "deposit"), [("150", "150.00"), ("0", "0.00"), ("99999", None)])
def test_a_deposit_may_be_an_amount_and_is_never_more_than_the_total(asked: str, deposit: str | None) -> None:
    tape = price(shares=SHARES, rates=RATES, terms=replace(EURO, deposit_amount=D(asked)))
    assert tape.deposit == (tape.total if deposit is None else D(deposit))
    assert tape.deposit_percent == 0


BANDS = (Band(D(10), D(40)), Band(D(25), D("62.50")))


@pytest.mark.parametrize(
    ("metres", "amount", "words"),
    [(1, "40.00", "up to 10 km"), (10_000, "40.00", "up to 10 km"), (10_001, "62.50", "up to 25 km")],
)
def test_a_delivery_band_sets_the_price_and_leaves_the_cost(metres: int, amount: str, words: str) -> None:
    way = Way(metres, 20, 2)
    reckoned = price(way=way, rates=RATES, terms=EURO).lines[0]
    line = price(way=way, rates=replace(RATES, bands=BANDS), terms=EURO).lines[0]
    assert (line.label, line.detail, line.amount, line.key) == ("Delivery", words, D(amount), "van")
    assert line.cost == reckoned.cost, "for the margin it costs what it costs"


@pytest.mark.parametrize("way", [Way(0, 20, 2), Way(25_001, 20, 2), Way(5000, 20, 0)])
def test_no_distance_one_beyond_the_bands_or_no_trip_has_no_delivery_line(way: Way) -> None:
    assert price(way=way, rates=replace(RATES, bands=BANDS), terms=EURO).lines == ()


def test_a_mile_that_was_kept_in_whole_metres_is_still_a_mile() -> None:
    """10 miles are 16,093.44 m (international mile, 1959), kept as 16,093; 25 are 40,233.6 m, kept as 40,234."""
    rates = replace(RATES, bands=BANDS, distance_unit="mile")
    far = price(way=Way(40_234, 60, 2), rates=rates, terms=EURO)
    assert [line.detail for line in far.lines] == ["up to 25 miles"]


def test_the_lines_are_put_together_and_not_priced_anew() -> None:
    tape = price(shares=SHARES, rates=RATES, terms=EURO)
    assert total(client_lines(tape.lines, BOTH, "EUR")) == total(tape.lines)

"""What a printed cover costs: its sheet at the studio's rate, and it is planned like whatever is made to order."""

from __future__ import annotations

from decimal import Decimal

import pytest

from quoting.models import Rates, SupplyKind
from quoting.pricing import rates as rating
from quoting.quotes import sheet
from quoting.supplies import supplies
from tests.people import House
from tests.quoting.prints.pictures import kept, quote_with


def test_a_printed_cover_costs_its_sheet_at_the_studio_s_rate(wickerlark: House) -> None:
    """By hand: two arches 1.07 m by 1.83 m and 1.22 m by 2.13 m, 5 cm more on every side:
    1.17 x 1.93 + 1.32 x 2.23 = 5.2017 m2, of which a square meter more costs 10."""
    with wickerlark.enter():
        quote = quote_with(wickerlark, kept())
        (piece,) = quote.pieces.all()
        assert sum(line.area_m2 or 0 for line in piece.takeoff.bill) == pytest.approx(5.2017, abs=1e-3)
        costs = []
        for rate in (Decimal(45), Decimal(55)):
            rates = rating.rates_of(wickerlark.studio)
            rates.print_m2 = rate
            rating.keep_rates(rates)
            lines = sheet.read_sheet(quote, wickerlark.studio).whole_tape.lines
            costs.append(next(line.cost for line in lines if line.part == "frames"))
        assert costs[0] is not None
        assert costs[1] is not None
        assert float(costs[1] - costs[0]) == pytest.approx(52.017, abs=0.01)


def test_a_printed_cover_is_priced_unless_the_rate_is_nothing(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = quote_with(wickerlark, kept())
        rates = rating.rates_of(wickerlark.studio)
        for rate, count in ((Decimal(45), 0), (Decimal(0), 2)):
            rates.print_m2 = rate
            rating.keep_rates(rates)
            unpriced = sheet.read_sheet(quote, wickerlark.studio).unpriced
            assert sum(label.startswith("Printed cover") for label in unpriced) == count


def test_a_printed_cover_is_a_thing_to_be_made_by_its_day(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = quote_with(wickerlark, kept())
        missing = supplies.find_missing(sheet.read_sheet(quote, wickerlark.studio))
        printed = [one for one in missing if one.code.startswith("cover-printed-")]
        assert [one.quantity for one in printed] == [1, 1]
        choice = supplies.Choice(SupplyKind.MAKE, supplies.latest_day(quote))
        planned = supplies.plan_supplies(quote.pk, {one.code: choice for one in printed})
        words = [str(one.supply) for one in planned if one.code.startswith("cover-printed-")]
        assert words[0].startswith("Make Printed cover, 1.")
        assert words[0].endswith("with 5 cm bleed, to be made")


def test_the_rate_has_a_place_among_the_rates_and_is_never_less_than_nothing(wickerlark: House) -> None:
    client, address = wickerlark.client(), wickerlark.url("quoting:rates")
    html = client.get(address).content.decode()
    assert "Printed cover, a square" in html
    with wickerlark.enter():
        shown = rating.rates_of(wickerlark.studio)
        sent = {name: str(getattr(shown, name)) for name in ("latex_by", "price_by", "distance_unit")}
    answer = client.post(address, {**sent, "print_m2": "-1"})
    assert answer.status_code == 422
    assert "At least" in answer.content.decode()
    with wickerlark.enter():
        assert not Rates.objects.filter(print_m2__lt=0).exists()

"""Lengths as people type and read them."""

from __future__ import annotations

from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.measures import lengths

# The international yard and pound agreement of 1959 fixes 1 in = 25.4 mm; metres follow by arithmetic.
TYPED = [
    ("7'6\"", "feet", "2.2860"),
    ("7' 6", "feet", "2.2860"),
    ("7 ft 6 in", "feet", "2.2860"),
    ("7ft6in", "feet", "2.2860"),
    ("7 feet", "metric", "2.1336"),
    ("7 1/2 ft", "feet", "2.2860"),
    ("7½ ft", "feet", "2.2860"),
    ("6' 2 1/2\"", "feet", "1.8923"),
    ("90 in", "feet", "2.2860"),
    ("90″", "metric", "2.2860"),
    ("8", "feet", "2.4384"),
    ("8", "metric", "8.0000"),
    ("2.3 m", "feet", "2.3000"),
    ("2,3 m", "metric", "2.3000"),
    ("2.3", "metric", "2.3000"),
    ("230 cm", "feet", "2.3000"),
    ("2300mm", "metric", "2.3000"),
    ("2 m 30 cm", "metric", "2.3000"),
    (" 3 yd ", "feet", "2.7432"),
]


@pytest.mark.parametrize(("text", "units", "metres"), TYPED)
def test_what_people_type_becomes_metres(text: str, units: str, metres: str) -> None:
    assert lengths.parsed(text, units) == Decimal(metres)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "Write a length"),
        ("wide", "is no length"),
        ("7 furlong", "no unit known here"),
        ("-3 ft", "is no length"),
        ("0", "more than nothing"),
        ("0 ft 0 in", "more than nothing"),
        ("6 in 7 ft", "out of order"),
        ("7 ft 6 ft", "out of order"),
        ("1000 m", "longer than"),
        ("1/0 ft", "divides by nothing"),
        ("7 ft 6 in extra", "is no length"),
        ("nan", "is no length"),
        ("1e9 m", "no unit known"),
    ],
)
def test_what_is_no_length_is_refused_with_what_would_be_right(text: str, said: str) -> None:
    with pytest.raises(lengths.NotALength, match=said):
        lengths.parsed(text, "feet")


@pytest.mark.parametrize(
    ("metres", "units", "written"),
    [
        ("2.2860", "feet", "7 ft 6 in"),
        ("2.4384", "feet", "8 ft"),
        ("0.2794", "feet", "11 in"),
        ("0.0064", "feet", "¼ in"),
        ("1.8923", "feet", "6 ft 2½ in"),
        ("2.2860", "metric", "2.29 m"),
        ("2.3000", "metric", "2.30 m"),
    ],
)
def test_metres_are_written_in_the_studios_units(metres: str, units: str, written: str) -> None:
    assert lengths.written(Decimal(metres), units) == written


@given(quarters=st.integers(min_value=1, max_value=4 * 12 * 600))
def test_what_is_written_in_feet_is_read_back_as_the_same_length(quarters: int) -> None:
    metres = (lengths.INCH * quarters / 4).quantize(Decimal("0.0001"))
    again = lengths.parsed(lengths.written(metres, "feet"), "feet")
    assert abs(again - metres) <= Decimal("0.0001")


UNITS: pint.UnitRegistry[float] = pint.UnitRegistry()


@given(feet=st.integers(1, 600), inches=st.integers(0, 11))
def test_feet_and_inches_agree_with_an_independent_reader_of_units(feet: int, inches: int) -> None:
    # pint is a general-purpose unit library that we did not write.
    theirs = (feet * UNITS.foot + inches * UNITS.inch).to("metre").magnitude
    assert float(lengths.parsed(f"{feet} ft {inches} in", "feet")) == pytest.approx(theirs, abs=6e-5)


@given(st.text(max_size=12))
def test_no_text_breaks_the_reader(text: str) -> None:
    try:
        assert lengths.parsed(text, "feet") > 0
    except lengths.NotALength as refusal:
        assert str(refusal)

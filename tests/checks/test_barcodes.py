"""Check digits of numbers under bars, against GS1's own examples and a second reader."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean

from stock.catalogue.barcodes import LENGTHS, check_digit, parse_gtin


@pytest.mark.parametrize(
    ("digits", "check"),
    [
        ("629104150021", 3),  # GS1, check digit calculator page (sum 57, 60 − 57)
        ("730001100001", 7),  # GS1 Sweden, Beräkna kontrollsiffra (sum 23, 30 − 23)
    ],
)
def test_published_check_digits(digits: str, check: int) -> None:
    assert check_digit(digits) == check


@pytest.mark.parametrize("code", ["4006381333931", "5901234123457", "73513537"])
def test_commonly_printed_examples_are_taken(code: str) -> None:
    assert parse_gtin(code) == code
    assert parse_gtin(f" {code[:4]}-{code[4:]} ") == code


def test_a_wrong_digit_is_named_with_what_would_be_right() -> None:
    with pytest.raises(ValidationError, match="is 1, not 2"):
        parse_gtin("4006381333932")


@pytest.mark.parametrize("text", ["123", "4006381333931a", "４００６３８１３３３９３１", "-1", "0" * 15])
def test_what_is_no_such_number_is_refused(text: str) -> None:
    with pytest.raises(ValidationError, match="8, 12, 13 or 14 digits"):
        parse_gtin(text)


@given(st.sampled_from(LENGTHS).flatmap(lambda n: st.text("0123456789", min_size=n, max_size=n)))
def test_python_stdnum_agrees(digits: str) -> None:
    # python-stdnum 2.2, an independent reader of EAN-8, EAN-13, UPC-12 and EAN-14.
    try:
        mine = parse_gtin(digits)
    except ValidationError:
        mine = ""
    assert bool(mine) == ean.is_valid(digits)

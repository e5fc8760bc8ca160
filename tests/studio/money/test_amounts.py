"""Money as people type and read it, in whole minor units."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.money import amounts


@pytest.mark.parametrize(
    ("text", "currency", "locale", "amount"),
    [
        ("1250.50", "USD", "en_US", "1250.50"),
        ("1,250.50", "USD", "en_US", "1250.50"),
        ("$40", "USD", "en_US", "40.00"),
        ("40 USD", "USD", "en_US", "40.00"),
        ("12,50", "USD", "en_US", "12.50"),
        ("1.250,50 €", "EUR", "de_DE", "1250.50"),
        ("1250,5", "EUR", "de_DE", "1250.50"),
        ("12.50", "EUR", "de_DE", "12.50"),
        ("-3", "EUR", "de_DE", "-3.00"),
        ("¥1,250", "JPY", "en_US", "1250"),
        ("1.250", "KWD", "en_US", "1.250"),
        ("1'250.50", "CHF", "de_CH", "1250.50"),
    ],
)
def test_what_people_type_becomes_an_amount(text: str, currency: str, locale: str, amount: str) -> None:
    assert amounts.parsed(text, currency, locale) == Decimal(amount)


@pytest.mark.parametrize(
    ("text", "currency", "said"),
    [
        ("forty", "USD", "is no amount"),
        ("", "USD", "is no amount"),
        ("1,2,3", "USD", "is no amount"),
        ("12.505", "USD", "USD has 2 decimals"),
        ("12.5", "JPY", "JPY has no decimals"),
        ("9999999999", "USD", "more than any price"),
        ("inf", "USD", "is no amount"),
        ("NaN", "USD", "is no amount"),
    ],
)
def test_what_is_no_amount_is_refused_with_an_example(text: str, currency: str, said: str) -> None:
    with pytest.raises(amounts.NotMoney, match=said):
        amounts.parsed(text, currency, "en_US")


def test_halves_round_up_as_the_official_example_does() -> None:
    # 1460.50 NOK at 25 % is exactly 365.125: official EN 16931 example ubl-tc434-example2.xml gives 365.13.
    assert amounts.rounded(Decimal("1460.50") * Decimal("0.25"), "NOK") == Decimal("365.13")


def test_amounts_are_written_as_the_locale_writes_them() -> None:
    # Unicode CLDR through Babel.
    assert amounts.written(Decimal("655.78"), "USD", "en_US") == "$655.78"
    assert amounts.written(Decimal("655.78"), "EUR", "de_DE") == "655,78\u00a0€"
    assert amounts.written(Decimal("1250"), "JPY", "en_US") == "¥1,250"
    assert amounts.written(Decimal("1.25"), "KWD", "en_US") == "KWD\u00a01.250"


@given(
    amount=st.decimals(-99999, 9999999, places=2),
    locale=st.sampled_from(["en_US", "de_DE", "fr_FR", "de_CH", "pt_BR", "sv_SE"]),
)
def test_what_is_written_is_read_back_as_the_same_amount(amount: Decimal, locale: str) -> None:
    assert amounts.parsed(amounts.written(amount, "EUR", locale), "EUR", locale) == amount


@given(st.text(max_size=14), st.sampled_from(["en_US", "de_DE", "fr_FR"]))
def test_no_text_breaks_the_reader(text: str, locale: str) -> None:
    try:
        assert amounts.parsed(text, "EUR", locale).is_finite()
    except amounts.NotMoney as refusal:
        assert str(refusal)

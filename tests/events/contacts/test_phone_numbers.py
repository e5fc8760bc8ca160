"""Telephone numbers, against what the ITU and the numbering authorities publish."""

from __future__ import annotations

import pytest

from events.contacts import phone_numbers
from studio.models import Studio


@pytest.mark.parametrize(
    ("typed", "region", "kept"),
    [
        # ITU-T E.123 (2001), clause 2.2 and 2.3: national (0607) 123 4567 is international +22 607 123 4567 by its
        # form; numbers below are of ranges that authorities set aside for examples.
        # NANPA: 555-0100 to 555-0199 are for fictional use.
        ("(617) 555-0123", "US", "+16175550123"),
        ("617.555.0123", "US", "+16175550123"),
        ("+1 617 555 0123", "DE", "+16175550123"),
        # Ofcom, numbers for drama: 020 7946 0000 to 0999.
        ("020 7946 0018", "GB", "+442079460018"),
        # Bundesnetzagentur, Rufnummern für Film und Fernsehen: (0)30 23125 000 to 999.
        ("030 23125 123", "DE", "+493023125123"),
        ("0049 30 23125 123", "DE", "+493023125123"),
        ("", "US", ""),
    ],
)
def test_numbers_are_kept_as_e164(typed: str, region: str, kept: str) -> None:
    assert phone_numbers.e164(typed, region=region) == kept


@pytest.mark.parametrize("typed", ["ring me", "12", "+", "1" * 30, "555-0123; drop table", "٣"])
def test_what_is_no_number_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(
        phone_numbers.NotAPhoneNumber, match=r"is no telephone number; write it like \+1 201-555-0123"
    ):
        phone_numbers.e164(typed, region="US")


def test_a_number_without_a_country_needs_a_region() -> None:
    with pytest.raises(phone_numbers.NotAPhoneNumber, match="no telephone number"):
        phone_numbers.e164("617 555 0123", region="")


@pytest.mark.parametrize(
    ("number", "region", "written"),
    [
        ("+16175550123", "US", "(617) 555-0123"),
        ("+16175550123", "DE", "+1 617-555-0123"),
        ("+442079460018", "GB", "020 7946 0018"),
        ("", "US", ""),
    ],
)
def test_numbers_are_shown_as_the_region_writes_them(number: str, region: str, written: str) -> None:
    assert phone_numbers.shown(number, region=region) == written


@pytest.mark.parametrize(
    ("locale", "region"), [("en_US", "US"), ("de-DE", "DE"), ("en", ""), ("zh_Hant", "")]
)
def test_the_region_comes_out_of_the_locale(locale: str, region: str) -> None:
    assert phone_numbers.region_of(locale) == region


def test_a_studios_country_says_how_its_numbers_are_read_else_its_locale_does() -> None:
    assert phone_numbers.region_of_studio(Studio(country="DE", locale="en_US")) == "DE"
    assert phone_numbers.region_of_studio(Studio(locale="en_US")) == "US"

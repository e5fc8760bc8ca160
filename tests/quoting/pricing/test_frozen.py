"""A document that was frozen once keeps its digest: it is the proof of what a client saw."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import msgspec
import pytest

from quoting.pricing.frozen import (
    FrozenLine,
    FrozenTax,
    canonical,
    day,
    digest_of,
    language_of,
    paragraphs,
    percent,
    plain_percent,
)


class Paper(msgspec.Struct, frozen=True):
    """A document with a value of each kind."""

    title: str
    lines: tuple[FrozenLine, ...]
    taxes: tuple[FrozenTax, ...]
    at: datetime
    on: date
    count: int
    nothing: None = None


def test_a_record_has_the_text_and_digest_that_its_plain_values_had_when_the_form_was_laid_down() -> None:
    paper = Paper(
        title="Brücke · 花",
        lines=(FrozenLine(label="Latex", amount=Decimal("12.50")),),
        taxes=(FrozenTax("USt", Decimal(19), Decimal("12.50"), Decimal("2.38")),),
        at=datetime(2026, 3, 1, 9, 0, tzinfo=UTC),
        on=date(2026, 3, 2),
        count=7,
    )
    text = canonical(paper)
    assert text == (
        '{"at":"2026-03-01T09:00:00+00:00","count":7,"lines":[{"amount":"12.50","detail":"","label":"Latex"}],'
        '"nothing":null,"on":"2026-03-02","taxes":[{"amount":"2.38","base":"12.50","name":"USt","percent":"19"}],'
        '"title":"Brücke · 花"}'
    )
    assert msgspec.json.decode(text, type=Paper) == paper
    assert canonical(msgspec.json.decode(text, type=Paper)) == text
    assert digest_of("Brücke") == "a63bff5162ca2137821d9226a4ddc60828cc6c82d4e954adee61dfa33fe28e29"


@pytest.mark.parametrize(
    ("percent", "written"),
    [("30.0000", "30"), ("6.2500", "6.25"), ("0.00", "0"), ("100", "100"), ("1E+2", "100")],
)
def test_a_rate_is_kept_without_trailing_zeros_and_never_as_a_power_of_ten(
    percent: str, written: str
) -> None:
    assert str(plain_percent(Decimal(percent))) == written


def test_what_is_no_number_is_never_frozen() -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        canonical({"share": float("nan")})


def test_percentages_are_written_as_the_locale_writes_them() -> None:
    assert percent(Decimal("6.2500"), "en_US") == "6.25%"
    assert percent(Decimal(19), "de_DE") == "19\N{NO-BREAK SPACE}%"


@pytest.mark.parametrize(
    ("locale", "written"),
    [
        ("en_US", "Wed, Nov 11, 2026"),  # Unicode CLDR 47, en, yMMMEd
        ("en_GB", "Wed 11 Nov 2026"),
        ("de_DE", "Wed 11 Nov 2026"),
    ],
)
def test_days_on_paper_stand_in_the_order_of_the_locale(locale: str, written: str) -> None:
    assert day(date(2026, 11, 11), locale) == written


@pytest.mark.parametrize(("locale", "language"), [("en_GB", "en"), ("en_US_POSIX", "en"), ("de_DE", "en")])
def test_documents_are_in_english(locale: str, language: str) -> None:
    assert language_of(locale) == language


def test_lines_that_say_nothing_are_no_paragraphs() -> None:
    assert paragraphs("  One \n\n \t\nTwo") == ("One", "Two")

"""What follows from a country, against published lists."""

from __future__ import annotations

from importlib.resources import files

import pytest
from babel import Locale

from studio.measures import times
from studio.measures.countries import EUROPEAN_RULES, countries, is_country, usual_ways
from studio.models.studio import check_currency


def test_countries_are_those_of_iso_3166_as_the_time_zone_database_lists_them() -> None:
    # Source: iso3166.tab of the IANA time-zone database.
    table = files("tzdata").joinpath("zoneinfo", "iso3166.tab").read_text(encoding="utf-8")
    listed = {line.split("\t")[0] for line in table.splitlines() if not line.startswith("#")}
    ours = {code for code, _ in countries()}
    unlisted_by_iso = {"AC", "CP", "CQ", "DG", "EA", "IC", "TA", "XK"}
    assert ours - listed <= unlisted_by_iso
    assert listed - ours <= {"AQ", "BV", "GS", "HM", "TF", "UM"}, "nobody lives there"
    assert ours >= EUROPEAN_RULES


def test_every_country_has_a_locale_a_currency_and_clocks_that_exist() -> None:
    for code, _ in countries():
        ways = usual_ways(code)
        assert Locale.parse(ways.locale).language == ways.locale.partition("_")[0]
        check_currency(ways.currency)
        assert set(ways.zones) <= times.zone_names()


@pytest.mark.parametrize(
    ("code", "locale", "currency", "units", "zone"),
    [
        # From memory: what these countries are known to use.
        ("US", "en_US", "USD", "feet", "America/New_York"),
        ("DE", "de_DE", "EUR", "metric", "Europe/Berlin"),
        ("GB", "en_GB", "GBP", "metric", "Europe/London"),
        ("CH", "de_CH", "CHF", "metric", "Europe/Zurich"),
        ("SE", "sv_SE", "SEK", "metric", "Europe/Stockholm"),
        ("JP", "ja_JP", "JPY", "metric", "Asia/Tokyo"),
    ],
)
def test_known_countries_have_their_ways(
    code: str, locale: str, currency: str, units: str, zone: str
) -> None:
    ways = usual_ways(code)
    assert (ways.locale, ways.currency, ways.units, ways.zones[0]) == (locale, currency, units, zone)


@pytest.mark.parametrize("code", ["", "XX", "EU", "ZZ", "de", "USA"])
def test_what_is_no_country_has_no_ways(code: str) -> None:
    assert not is_country(code)
    with pytest.raises(ValueError, match="no country"):
        usual_ways(code)

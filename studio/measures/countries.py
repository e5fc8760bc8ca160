"""What follows from a country: its money, language, units and clocks, as published data have them.

Money, languages and territories come from the Unicode Common Locale Data Repository (through Babel), time zones from
the IANA time-zone database. Each is a proposal: whoever lives there knows better.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Final

from babel import Locale, UnknownLocaleError
from babel.core import get_global
from babel.numbers import get_territory_currencies

MEASURE_IN_FEET: Final = frozenset({"US", "LR", "MM"})
"""CLDR supplemental data, measurementData, from memory; metric elsewhere."""

EUROPEAN_RULES: Final = frozenset(
    [
        "AT", "BE", "BG", "CH", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GB", "GR", "HR", "HU",
        "IE", "IS", "IT", "LI", "LT", "LU", "LV", "MT", "NL", "NO", "PL", "PT", "RO", "SE", "SI", "SK",
    ]
)  # fmt: skip
"""Where the wordings on toys (EN 71-1) and the weekly rest of European law hold: the 27 member states, the further
states of the European Economic Area, and the United Kingdom and Switzerland, whose own rules follow them. From memory.
"""

UNKNOWN_LANGUAGE: Final = "und"
"""What CLDR says of territories where nobody lives (BCP 47: undetermined)."""

_NO_COUNTRY: Final = frozenset({"EU", "EZ", "QO", "UN", "XA", "XB", "ZZ"})
"""Codes of two letters in CLDR that stand for groups, tests and the unknown."""


@dataclass(frozen=True, slots=True)
class Ways:
    """How a country counts, speaks, measures and tells the time."""

    locale: str
    currency: str
    units: str
    """``feet`` or ``metric``."""
    zones: tuple[str, ...]
    """Its IANA zones, the most populous first where the database orders them so."""


@cache
def countries(locale: str = "en") -> tuple[tuple[str, str], ...]:
    """ISO 3166-1 codes and names in the language of ``locale``, by name.

    >>> dict(countries())["DE"], dict(countries("de_DE"))["US"]
    ('Germany', 'Vereinigte Staaten')
    """
    names = Locale.parse(locale).territories
    return tuple(
        sorted(
            ((code, name) for code, name in names.items() if is_country(code)),
            key=lambda pair: pair[1].casefold(),
        )
    )


@cache
def is_country(code: str) -> bool:
    """Whether it is a country's code that CLDR knows a language and money of."""
    return (
        len(code) == 2
        and code.isalpha()
        and code not in _NO_COUNTRY
        and code in get_global("territory_languages")
        and bool(get_territory_currencies(code))
    )


@cache
def usual_ways(code: str) -> Ways:
    """What is usual in the country; raises ``ValueError`` for what is none.

    >>> usual_ways("US")
    ... # doctest: +ELLIPSIS
    Ways(locale='en_US', currency='USD', units='feet', zones=('America/New_York', ...))
    >>> usual_ways("CH").locale, usual_ways("CH").currency, usual_ways("DE").zones
    ('de_CH', 'CHF', ('Europe/Berlin', 'Europe/Busingen'))
    """
    if not is_country(code):
        raise ValueError(f"“{code}” is no country.")
    return Ways(
        _locale_of(code),
        get_territory_currencies(code)[0],
        "feet" if code in MEASURE_IN_FEET else "metric",
        _zones_of(code),
    )


# --- Private ---


def _locale_of(code: str) -> str:
    """The language that most people of the country share among its official ones."""
    listed = get_global("territory_languages")[code]
    spoken = {name: facts for name, facts in listed.items() if name != UNKNOWN_LANGUAGE}
    official = [name for name, facts in spoken.items() if facts["official_status"]] or list(spoken)
    by_people = sorted(official, key=lambda name: -spoken[name]["population_percent"])
    known = [f"{name}_{code}" for name in by_people] + by_people
    return next((name for name in known if _is_locale(name)), "en")


def _is_locale(name: str) -> bool:
    try:
        Locale.parse(name)
    except (UnknownLocaleError, ValueError):
        return False
    return True


@cache
def _zone_table() -> tuple[tuple[str, str], ...]:
    table = files("tzdata").joinpath("zoneinfo", "zone.tab").read_text(encoding="utf-8")
    rows = (line.split("\t") for line in table.splitlines() if line and not line.startswith("#"))
    return tuple((row[0], row[2]) for row in rows)


def _zones_of(code: str) -> tuple[str, ...]:
    return tuple(zone for country, zone in _zone_table() if country == code) or ("UTC",)

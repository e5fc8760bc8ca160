"""Amounts, lengths, days and times as a studio writes them.

``{{ amount|money:studio }}``, ``{{ metres|measure:studio }}``, ``{{ moment|day:zone }}``, ``{{ moment|clock:zone }}``;
``studio`` is a Studio or anything with its currency, locale and units; ``zone`` a ZoneInfo, its name, or a Studio.
"""

from __future__ import annotations

import math
from datetime import date, datetime, time
from decimal import Decimal
from typing import Protocol
from zoneinfo import ZoneInfo

from django import template
from django.utils.translation import gettext as _

from studio.measures import air, lengths
from studio.models import Studio, dates
from studio.models.spelling import spelled
from studio.money import amounts

register = template.Library()


class Currency(Protocol):
    """Whatever has a currency and writes amounts: a studio, an offer."""

    currency: str
    locale: str


class Units(Protocol):
    """Whatever measures in feet or metres."""

    units: str


class Zoned(Protocol):
    """Whatever keeps a time zone: a studio, an event."""

    @property
    def tz(self) -> ZoneInfo:
        """Its zone."""


Zone = ZoneInfo | str | Zoned | None


@register.filter(name="money")
def money_filter(amount: Decimal | str | None, studio: Currency) -> str:
    """The amount with its currency; nothing for no amount."""
    return (
        ""
        if amount is None or amount == ""
        else amounts.written(Decimal(amount), studio.currency, studio.locale)
    )


@register.filter
def whole(number: float) -> str:
    """A figure without decimals, halves rounded up."""
    return str(math.floor(number + 0.5))


@register.filter
def measure(metres: Decimal | float | str | None, studio: Units) -> str:
    """The length in the studio's units; nothing for no length."""
    return "" if metres is None or metres == "" else lengths.written(Decimal(str(metres)), studio.units)


@register.filter
def elevation(metres: Decimal, studio: Studio) -> str:
    """A height above the sea in the studio's units."""
    return f"{air.in_rise(float(metres), studio.units):,.0f} {air.rise_unit(studio.units)}"


@register.filter
def temperature(celsius: Decimal, studio: Studio) -> str:
    """A temperature in the studio's units."""
    return air.warmth(float(celsius), studio.units)


@register.filter
def day(moment: datetime | date | None, zone: Zone = None) -> str:
    """``Sat Dec 12`` or ``Sat 12 Dec`` in that zone, or in the moment's own where none is given."""
    there = _there(moment, zone) if isinstance(moment, datetime) else moment
    return dates.day_written(there) if there else ""


@register.filter
def clock(moment: datetime | time | None, zone: Zone = None) -> str:
    """``4:00 pm`` or ``16:00`` in that zone."""
    there = _there(moment, zone) if isinstance(moment, datetime) else moment
    return dates.time_written(there) if isinstance(there, datetime | time) else ""


@register.filter
def day_and_clock(moment: datetime | None, zone: Zone = None) -> str:
    """``Sat Dec 12, 4:00 pm`` in that zone."""
    return dates.moment_written(_there(moment, zone)) if moment else ""


@register.filter
def weekday(moment: datetime | date) -> str:
    """``Sat``."""
    return dates.weekday_written(moment)


@register.filter
def date_only(moment: datetime | date) -> str:
    """``Dec 12``, without its weekday."""
    return dates.date_written(moment)


@register.filter
def month(moment: datetime | date) -> str:
    """``December``."""
    return dates.month_written(moment, year=False)


@register.filter
def month_and_year(moment: datetime | date) -> str:
    """``December 2026``."""
    return dates.month_written(moment)


@register.filter(name="spelled")
def spelled_filter(words: str) -> str:
    """Our own American words as the studio spells them: ``{{ "Colors"|spelled }}``."""
    return spelled(words)


@register.simple_block_tag
def spell(content: str) -> str:
    """Our own American sentences as the studio spells them: ``{% spell %}No colors yet.{% endspell %}``."""
    return spelled(content)


@register.filter
def zone_time(zone: str) -> str:
    """``New York time`` for ``America/New_York``."""
    return _("%(place)s time") % {"place": zone.rpartition("/")[2].replace("_", " ")}


def _there(moment: datetime, zone: Zone) -> datetime:
    if zone is None:
        return moment
    if isinstance(zone, str):
        zone = ZoneInfo(zone)
    return moment.astimezone(zone if isinstance(zone, ZoneInfo) else zone.tz)

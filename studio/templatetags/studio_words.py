"""Amounts, lengths, days and times as a studio writes them.

``{{ amount|money:studio }}``, ``{{ metres|measure:studio }}``, ``{{ moment|day:zone }}``, ``{{ moment|clock:zone }}``;
``studio`` is a Studio or anything with its currency, locale and units; ``zone`` a ZoneInfo, its name, or a Studio.
"""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django import template

from studio.measures import lengths, times
from studio.money import amounts

register = template.Library()


@register.filter(name="money")
def money_filter(amount: Decimal | str | None, studio: Any) -> str:
    """The amount with its currency; nothing for no amount."""
    return (
        ""
        if amount is None or amount == ""
        else amounts.written(Decimal(amount), studio.currency, studio.locale)
    )


@register.filter
def measure(metres: Decimal | float | None, studio: Any) -> str:
    """The length in the studio's units; nothing for no length."""
    return "" if metres is None or metres == "" else lengths.written(Decimal(str(metres)), studio.units)


@register.filter
def day(moment: datetime | date | None, zone: Any = None) -> str:
    """``Sat 14 Nov`` in that zone, or in the moment's own where none is given."""
    return times.day_written(_there(moment, zone)) if moment else ""


@register.filter
def clock(moment: datetime | None, zone: Any = None) -> str:
    """``16:00`` in that zone."""
    there = _there(moment, zone)
    return times.time_written(there) if isinstance(there, datetime) else ""


@register.filter
def day_and_clock(moment: datetime | None, zone: Any = None) -> str:
    """``Sat 14 Nov, 16:00`` in that zone."""
    return f"{day(moment, zone)}, {clock(moment, zone)}" if moment else ""


@register.filter
def zone_time(zone: str) -> str:
    """``New York time`` for ``America/New_York``."""
    return f"{zone.rpartition('/')[2].replace('_', ' ')} time"


def _there(moment: Any, zone: Any) -> Any:
    if not isinstance(moment, datetime) or zone is None:
        return moment
    if isinstance(zone, str):
        zone = ZoneInfo(zone)
    return moment.astimezone(zone if isinstance(zone, ZoneInfo) else zone.tz)

"""The small print of the price tape, in the language of whoever reads it."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from django.utils.translation import gettext as _

from studio.measures.languages import with_decimal_sign


def hours(phase: str, taken: Fraction) -> str:
    """``install 2.5 h``."""
    named = {"prep": _("prep"), "install": _("install"), "strike": _("strike"), "washing": _("washing")}
    figure = with_decimal_sign(f"{Decimal(taken.numerator) / Decimal(taken.denominator):.1f}")
    return _("%(phase)s %(hours)s h") % {"phase": named[phase], "hours": figure}


def distance(figure: str, unit: str) -> str:
    """``12 miles``, ``1 mile``, ``7.5 km``."""
    shown = with_decimal_sign(figure)
    if unit == "km":
        return f"{shown} km"
    return (_("%(figure)s mile") if figure == "1" else _("%(figure)s miles")) % {"figure": shown}


def up_to(figure: str, unit: str) -> str:
    """``up to 12 miles``."""
    return _("up to %(distance)s") % {"distance": distance(figure, unit)}


def there_and_back(way: str, trips: int) -> str:
    """``12 miles there and back, twice``."""
    times = {1: _("once"), 2: _("twice")}.get(trips) or _("%(count)s times") % {"count": trips}
    return _("%(way)s there and back, %(times)s") % {"way": way, "times": times}

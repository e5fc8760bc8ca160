"""Measures of prep and site as a studio writes them: metric inside, feet, pounds and °F where it measures in feet."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Final

from studio.measures import lengths, weights

CUBIC_FOOT_M3: Final = 0.3048**3
OUNCE_KG: Final = 0.45359237 / 16
"""The international avoirdupois ounce, a sixteenth of the pound of 1959, exact."""
LEAST_POUND_KG: Final = 0.45359237
"""Lighter things are written in ounces or grams."""


def length(metres: float, units: str) -> str:
    """``7 ft 6 in``, ``2.30 m``."""
    return lengths.written(Decimal(str(round(metres, 4))), units)


def place(metres: float, units: str) -> str:
    """A place along a garland, no finer than anybody finds it: ``7 ft 5 in``, ``2.25 m``."""
    step = 0.0254 if units == "feet" else 0.05
    return length(max(round(metres / step), 0) * step, units)


def ring(metres: float, units: str) -> str:
    """A diameter to be measured by hand: ``8.9 in``, ``22.6 cm``."""
    return f"{metres / 0.0254:.1f} in" if units == "feet" else f"{metres * 100:.1f} cm"


def weight(kg: float, units: str) -> str:
    """``14 lb``, ``6.4 kg``; whole numbers from ten up."""
    return f"{_short(kg / LEAST_POUND_KG if units == 'feet' else kg)} {weights.unit(units)}"


def weight_up(kg: float, units: str) -> str:
    """A weight that must not be less, rounded up: ``88 lb``, ``40 kg``."""
    amount = kg / LEAST_POUND_KG if units == "feet" else kg
    return f"{math.ceil(amount - 1e-9):,} {weights.unit(units)}"


def small_weight(kg: float, units: str) -> str:
    """A weight in the hand: ``4.2 oz``, ``118 g``; pounds and kilograms from one pound up."""
    if kg >= LEAST_POUND_KG:
        return weight(kg, units)
    return f"{kg / OUNCE_KG:.1f} oz" if units == "feet" else f"{kg * 1000:.0f} g"


def volume(cubic_metres: float, units: str) -> str:
    """``110 cu ft``, ``3.1 m³``."""
    if units == "feet":
        return f"{_short(cubic_metres / CUBIC_FOOT_M3)} cu ft"
    return f"{cubic_metres:.1f} m³" if cubic_metres >= 1 else f"{cubic_metres:.2f} m³"


def minutes(seconds: float) -> str:
    """``45 min``, ``1 h 10 min``."""
    whole = max(1, round(seconds / 60)) if seconds > 0 else 0
    hours, rest = divmod(whole, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


# Private


def _short(amount: float) -> str:
    return f"{amount:.0f}" if amount >= 10 else f"{amount:.1f}".removesuffix(".0")

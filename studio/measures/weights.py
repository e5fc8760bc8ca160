"""Weights: kilograms inside, pounds on the page of a studio that measures in feet."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

POUND_KG: Final = Decimal("0.45359237")
"""The international avoirdupois pound (international yard and pound agreement, 1959), exact."""


def unit(units: str) -> str:
    """``lb`` or ``kg``."""
    return "lb" if units == "feet" else "kg"


def in_units(weight_kg: Decimal, units: str) -> Decimal:
    """The weight as the studio reads it, to a tenth."""
    weight = weight_kg / POUND_KG if units == "feet" else weight_kg
    return weight.quantize(Decimal("0.1"))


def in_kg(weight: Decimal, units: str) -> Decimal:
    """Kilograms, to the gram."""
    kg = weight * POUND_KG if units == "feet" else weight
    return kg.quantize(Decimal("0.001"))


def written(weight_kg: Decimal, units: str) -> str:
    """``14 lb``, ``6.4 kg``."""
    return f"{in_units(weight_kg, units).normalize():f} {unit(units)}"

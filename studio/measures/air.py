"""Wind, warmth and elevation as a studio writes them: SI inside; mph, °F and feet where it measures in feet."""

from __future__ import annotations

from typing import Final

MILE_M: Final = 1609.344
"""The international mile, exact."""
FOOT_M: Final = 0.3048
"""The international foot, exact."""


def speed(metres_per_second: float, units: str) -> str:
    """``27 mph``, ``43 km/h``: as a forecast tells it."""
    return f"{in_speed(metres_per_second, units):.0f} {speed_unit(units)}"


def speed_limit(metres_per_second: float, units: str) -> str:
    """The same, rounded down: a gust that must not be reached."""
    return f"{int(in_speed(metres_per_second, units))} {speed_unit(units)}"


def in_speed(metres_per_second: float, units: str) -> float:
    """Miles or kilometres an hour."""
    return metres_per_second * 3600 / (MILE_M if units == "feet" else 1000)


def from_speed(amount: float, units: str) -> float:
    """Metres a second."""
    return amount * (MILE_M if units == "feet" else 1000) / 3600


def speed_unit(units: str) -> str:
    """``mph`` or ``km/h``."""
    return "mph" if units == "feet" else "km/h"


def warmth(celsius: float, units: str) -> str:
    """``77 °F``, ``25 °C``."""
    return f"{in_warmth(celsius, units):.0f} {warmth_unit(units)}"


def in_warmth(celsius: float, units: str) -> float:
    """Degrees as the studio reads them."""
    return celsius * 9 / 5 + 32 if units == "feet" else celsius


def from_warmth(degrees: float, units: str) -> float:
    """Degrees Celsius."""
    return (degrees - 32) * 5 / 9 if units == "feet" else degrees


def warmth_unit(units: str) -> str:
    """``°F`` or ``°C``."""
    return "°F" if units == "feet" else "°C"


def in_rise(metres: float, units: str) -> float:
    """A height above the sea in feet or metres."""
    return metres / FOOT_M if units == "feet" else metres


def from_rise(amount: float, units: str) -> float:
    """Metres."""
    return amount * FOOT_M if units == "feet" else amount


def rise_unit(units: str) -> str:
    """``ft`` or ``m``."""
    return "ft" if units == "feet" else "m"

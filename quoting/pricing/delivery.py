"""Delivery by distance: a table of bands, each up to a distance, and its price."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from quoting.pricing.inputs import METRES_BY_UNIT, Band


def band_of(bands: Sequence[Band], distance_m: int, unit: str) -> Band | None:
    """The band of a distance: the nearest that reaches it. None for no distance, or one beyond them all.

    A distance is kept in whole metres, so a mile may be kept half a metre long: that is still a mile.

    >>> from decimal import Decimal
    >>> near, far = Band(Decimal(10), Decimal(40)), Band(Decimal(25), Decimal(60))
    >>> [band_of([near, far], metres, "km") for metres in (10_000, 10_001)] == [near, far]
    True
    """
    if distance_m <= 0:
        return None
    least = (Fraction(distance_m) - Fraction(1, 2)) / Fraction(METRES_BY_UNIT[unit])
    exact = Fraction(distance_m) / Fraction(METRES_BY_UNIT[unit])
    way = least if unit == "mile" else exact
    ordered = sorted(bands, key=lambda band: band.up_to)
    return next((band for band in ordered if way <= Fraction(band.up_to)), None)

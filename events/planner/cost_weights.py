"""How a plan's costs weigh against each other. Pure."""

from __future__ import annotations

from typing import Final

BROKEN: Final = 100_000_000
MISSING: Final = 100_000
WORK: Final = 20
DRIVING: Final = 12
OVERTIME: Final = 10
UNFAIR: Final = 4
CHANGED: Final = 40
MOVED: Final = 10
EARLY: Final = 1
"""The costs of a plan: of a rule that bookings set by hand break (a double booking, a quarter of an hour of rest too
little); of a missing person, skill or van, or of pieces that come too late; of a quarter of an hour of somebody's work,
of a van on the road, of overtime on top of the work (time and a half), of difference between who works most and least;
of a person or van that the last plan had and this one changes, or a shift that it moves; of a quarter of an hour of
prep earlier, or of anything else later, than necessary. A broken rule costs more than all else together."""

"""What the quoting room keeps."""

from __future__ import annotations

from quoting.models.design import DesignTemplate
from quoting.models.quote import FreeLine, Quote, QuoteState, SetPiece, SketchVersion
from quoting.models.rates import DistanceUnit, LatexBy, Rates

__all__ = [
    "DesignTemplate",
    "DistanceUnit",
    "FreeLine",
    "LatexBy",
    "Quote",
    "QuoteState",
    "Rates",
    "SetPiece",
    "SketchVersion",
]

"""What the quoting room keeps."""

from __future__ import annotations

from quoting.models.design import DesignTemplate
from quoting.models.offer import FINAL_ANSWERS, Answer, AnswerKind, Offer, OfferState
from quoting.models.quote import FreeLine, Quote, QuoteState, SetPiece, SketchVersion
from quoting.models.rates import DistanceUnit, LatexBy, Rates

__all__ = [
    "FINAL_ANSWERS",
    "Answer",
    "AnswerKind",
    "DesignTemplate",
    "DistanceUnit",
    "FreeLine",
    "LatexBy",
    "Offer",
    "OfferState",
    "Quote",
    "QuoteState",
    "Rates",
    "SetPiece",
    "SketchVersion",
]

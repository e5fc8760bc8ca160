"""What the quoting room keeps."""

from __future__ import annotations

from quoting.models.design import DesignTemplate
from quoting.models.invoice import Invoice, InvoiceKind, NumberSeries, PaidBy, Payment, Reminder
from quoting.models.mail_text import LetterKind, MailText
from quoting.models.offer import FINAL_ANSWERS, Answer, AnswerKind, Offer, OfferState
from quoting.models.payment_decision import PaymentChoice, PaymentDecision
from quoting.models.print_image import PrintImage
from quoting.models.quote import Choice, FreeLine, Quote, QuoteState, SetPiece, SketchVersion
from quoting.models.rates import ClientView, DeliveryBand, DeliveryBy, DistanceUnit, LatexBy, PriceBy, Rates
from quoting.models.room_photo import RoomPhoto
from quoting.models.still import Still, StillRoom, StillState
from quoting.models.supply import Supply, SupplyKind
from quoting.models.table import TableDraft, TableStep

__all__ = [
    "FINAL_ANSWERS",
    "Answer",
    "AnswerKind",
    "Choice",
    "ClientView",
    "DeliveryBand",
    "DeliveryBy",
    "DesignTemplate",
    "DistanceUnit",
    "FreeLine",
    "Invoice",
    "InvoiceKind",
    "LatexBy",
    "LetterKind",
    "MailText",
    "NumberSeries",
    "Offer",
    "OfferState",
    "PaidBy",
    "Payment",
    "PaymentChoice",
    "PaymentDecision",
    "PriceBy",
    "PrintImage",
    "Quote",
    "QuoteState",
    "Rates",
    "Reminder",
    "RoomPhoto",
    "SetPiece",
    "SketchVersion",
    "Still",
    "StillRoom",
    "StillState",
    "Supply",
    "SupplyKind",
    "TableDraft",
    "TableStep",
]

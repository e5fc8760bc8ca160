"""The deposit that an agreed offer asks for. The invoices, a feature above this one, register who issues it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.utils.safestring import SafeString

from quoting.models import Offer
from studio.models import Studio


@dataclass(frozen=True)
class DepositRequest:
    """A deposit that was asked for, and how to pay it."""

    invoice_id: int
    number: str
    """Of its invoice, as people say it."""
    amount: Decimal
    left: Decimal
    """What is still to be paid of it; nothing once it is in."""
    amount_written: str
    left_written: str
    due_on: date
    due_written: str
    """``Sat 12 Dec 2026``."""
    reference: str
    """ISO 11649, in groups of four: what the client types into the transfer's reference field."""
    account: tuple[tuple[str, str], ...]
    """Names and values to type into a bank's form: account holder, IBAN, BIC. Empty without an IBAN."""
    payment_words: tuple[str, ...]
    """How else to pay, line by line, as the studio put it."""
    code: SafeString
    """EPC069-12 square code as an SVG element for the page; empty where there is none (not in euro, no IBAN, paid)."""
    is_paid: bool
    is_overdue: bool
    promises: bool
    """Whether the event is confirmed by this deposit rather than by the agreement."""


@dataclass(frozen=True, slots=True)
class Issuer:
    """Who issues deposits: ``request`` gives until when the pieces are held for one that confirms the event."""

    request: Callable[[Offer], datetime | None]
    find_due: Callable[[Offer, Studio], DepositRequest | None]


_issuers: list[Issuer] = []


def register(issuer: Issuer) -> None:
    """Have ``issuer`` issue the deposits from now on; called from the app's ``ready``."""
    _issuers[:] = [issuer]


def request(offer: Offer) -> datetime | None:
    """Ask for the deposit of an agreed offer, in the transaction of its agreement.

    Returns until when the pieces are held where the deposit confirms the event, None where agreeing confirms it.
    """
    return _issuers[0].request(offer)


def find_due(offer: Offer, studio: Studio) -> DepositRequest | None:
    """The deposit of an offer as it stands now; None where none was asked for."""
    return _issuers[0].find_due(offer, studio)

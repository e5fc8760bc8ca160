"""Telephone numbers: typed as people do, kept as E.164."""

from __future__ import annotations

import phonenumbers
from django.core.exceptions import ValidationError

from studio.models import Studio


class NotAPhoneNumber(ValidationError):
    """Text that is no number anybody could ring."""


def e164(text: str, *, region: str) -> str:
    """``(617) 555-0123`` in ``US`` becomes ``+16175550123``. Empty stays empty.

    ``region`` (ISO 3166-1 alpha-2) says how a number without a country code is read. Raises
    :class:`NotAPhoneNumber`.
    """
    if not text.strip():
        return ""
    try:
        number = phonenumbers.parse(text, region or None)
    except phonenumbers.NumberParseException:
        number = None
    if number is None or not phonenumbers.is_possible_number(number):
        raise NotAPhoneNumber(f"“{text.strip()}” is no telephone number; write it like {_example(region)}.")
    return str(phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164))


def shown(number: str, *, region: str) -> str:
    """As people of that region write it: their own numbers short, others with the country's code."""
    try:
        parsed = phonenumbers.parse(number)
    except phonenumbers.NumberParseException:
        return number
    own = phonenumbers.region_code_for_number(parsed) == region
    style = phonenumbers.PhoneNumberFormat.NATIONAL if own else phonenumbers.PhoneNumberFormat.INTERNATIONAL
    return str(phonenumbers.format_number(parsed, style))


def region_of(locale: str) -> str:
    """The region of a locale's name: ``US`` of ``en_US``, nothing of ``en``."""
    parts = locale.replace("-", "_").split("_")
    return parts[-1].upper() if len(parts) > 1 and len(parts[-1]) == 2 else ""


def region_of_studio(studio: Studio) -> str:
    """The region whose numbers a studio writes without a country code: its country, else that of its locale."""
    return studio.country or region_of(studio.locale)


def _example(region: str) -> str:
    number = phonenumbers.example_number(region) if region else None
    if number is None:
        return "+1 201 555 0123"
    return str(phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.INTERNATIONAL))

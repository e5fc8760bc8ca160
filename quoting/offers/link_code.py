"""The square code of a client's link (ISO/IEC 18004), drawn by segno."""

from __future__ import annotations

import segno
from django.utils.safestring import SafeString, mark_safe

from studio.money import payment_codes


def code_of(address: str) -> segno.QRCode:
    """The code, undrawn: medium error correction, so that it is read from a screen at arm's length."""
    return segno.make(address, error="m", micro=False)


def drawn_code(address: str) -> SafeString:
    """The code as SVG for the page. Its title is the only text in it."""
    return mark_safe(payment_codes.drawn(code_of(address), "Code of the offer’s link"))  # noqa: S308

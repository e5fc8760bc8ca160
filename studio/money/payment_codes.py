"""Codes by which banks pay: account numbers, payment references, and the square code that a banking app reads.

Sources: IBAN, ISO 13616-1 with its registry of countries, by python-stdnum; BIC, ISO 9362; creditor reference,
ISO 11649; square code, European Payments Council EPC069-12, drawn by segno.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Final

import segno
from segno import helpers
from stdnum import iban as ibans
from stdnum.exceptions import InvalidChecksum
from stdnum.exceptions import ValidationError as StdnumError

IBAN_SHAPE: Final = re.compile(r"[A-Z]{2}[0-9]{2}[A-Z0-9]{11,30}")
BIC_SHAPE: Final = re.compile(r"[A-Z0-9]{4}[A-Z]{2}[A-Z0-9]{2}(?:[A-Z0-9]{3})?")
LONGEST_REFERENCE: Final = 21
"""Characters after ``RF`` and its two check digits (ISO 11649)."""
LONGEST_NAME: Final = 70
EPC_CURRENCY: Final = "EUR"
EPC_LEAST: Final = Decimal("0.01")
EPC_MOST: Final = Decimal("999999999.99")


class NotACode(ValueError):
    """Text that is no code of its kind, and what would be right."""


def iban(text: str) -> str:
    """The account number without spaces, of a length and shape that its country has.

    Raises :class:`NotACode` for a wrong shape or wrong check digits.
    """
    bare = _bare(text)
    if not IBAN_SHAPE.fullmatch(bare):
        raise NotACode(
            f"“{text.strip()}” is no IBAN: two letters for the country, two check digits, then the account."
        )
    try:
        return str(ibans.validate(bare))
    except InvalidChecksum:
        raise NotACode(
            f"The check digits of “{text.strip()}” don't fit: one character is mistyped."
        ) from None
    except StdnumError:
        raise NotACode(
            f"“{text.strip()}” is no IBAN of that country: its length or its parts don't fit."
        ) from None


def bic(text: str) -> str:
    """The bank's code without spaces. Raises :class:`NotACode`."""
    bare = _bare(text)
    if not BIC_SHAPE.fullmatch(bare):
        raise NotACode(f"“{text.strip()}” is no BIC: it has 8 or 11 letters and digits, such as BPOTBEB1.")
    return bare


def creditor_reference(text: str) -> str:
    """``RF``, two check digits and ``text`` (letters A to Z and digits). Raises :class:`NotACode`."""
    bare = _bare(text)
    if not re.fullmatch(rf"[A-Z0-9]{{1,{LONGEST_REFERENCE}}}", bare):
        raise NotACode(f"A payment reference has 1 to {LONGEST_REFERENCE} letters A to Z and digits.")
    return f"RF{98 - _remainder('RF00' + bare):02d}{bare}"


def in_fours(code: str) -> str:
    """As IBAN and RF are printed: groups of four, the last one as long as it comes."""
    return " ".join(code[start : start + 4] for start in range(0, len(code), 4))


def credit_transfer(
    *, holder: str, account: str, bank: str, amount: Decimal, currency: str, reference: str
) -> segno.QRCode | None:
    """The square code that fills in a euro transfer; nothing where EPC069-12 has none for it.

    That is so in any other currency, without an account or its holder, and for amounts outside 0.01 to 999999999.99.
    """
    if currency != EPC_CURRENCY or not account or not holder or not EPC_LEAST <= amount <= EPC_MOST:
        return None
    return helpers.make_epc_qr(
        name=holder[:LONGEST_NAME],
        iban=account,
        amount=amount,
        reference=reference,
        bic=bank or None,
        encoding="utf-8",
    )


def drawn(code: segno.QRCode, title: str) -> str:
    """The code as an SVG element for a page: presentation attributes only, as wide as the page lets it be."""
    return code.svg_inline(
        omitsize=True,
        border=4,
        dark="#1D2528",
        light="#FFFFFF",
        title=title,
        svgclass="payment-code",
        lineclass=None,
    )


# Private


def _bare(text: str) -> str:
    return re.sub(r"\s", "", text).upper()


def _remainder(code: str) -> int:
    """ISO 7064 MOD 97-10: the first four characters to the end, letters as 10 to 35."""
    return int("".join(str(int(sign, 36)) for sign in code[4:] + code[:4])) % 97

"""Account numbers, payment references and the square code against published examples and independent readers.

IBAN and RF check digits: ISO 13616, ISO 11649, both by ISO 7064 MOD 97-10; examples of the SWIFT IBAN Registry and
of python-stdnum's documentation, which also reads everything that we make. Square code: EPC069-12, read back by
zxing-cpp from what stands on the page and on paper.
"""

from __future__ import annotations

import io
from decimal import Decimal

import pytest
import segno
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from stdnum import iban as stdnum_iban
from stdnum import iso11649
from stdnum.iso7064 import mod_97_10

from studio.money import payment_codes
from studio.money.payment_codes import NotACode, credit_transfer, creditor_reference

GOOD_IBANS = [  # SWIFT IBAN Registry examples
    "GB29NWBK60161331926819", "DE89370400440532013000", "FR1420041010050500013M02606", "NL91ABNA0417164300",
    "BE72000000001616", "AT611904300234573201", "IE29AIBK93115212345678",
]  # fmt: skip
BAD_IBANS = ["GB29NWBK60161331926818", "DE89370400440532013001", "FR1420041010050500013M02607"]
"""The same with the last digit changed."""
SAMPLE = "BCD\n002\n1\nSCT\nBPOTBEB1\nRed Cross of Belgium\nBE72000000001616\nEUR1\nCHAR\n\nUrgency fund"
"""The sample of EPC069-12 as reference works quote it, without its twelfth line."""


@pytest.mark.parametrize("number", GOOD_IBANS)
def test_published_account_numbers_are_taken_with_or_without_spaces(number: str) -> None:
    assert payment_codes.iban(number) == number
    assert payment_codes.iban(f" {payment_codes.in_fours(number).lower()} ") == number
    assert payment_codes.in_fours(number) == stdnum_iban.format(number)


@pytest.mark.parametrize(
    "number", [*BAD_IBANS, "", "DE89", "89DE370400440532013000", "DE8937040044053201300é"]
)
def test_mistyped_account_numbers_are_refused(number: str) -> None:
    with pytest.raises(NotACode, match=r"is no IBAN|check digits|has \d+ characters"):
        payment_codes.iban(number)


@pytest.mark.parametrize(
    "number", ["DE863704004405320130", "XX46370400440532013000", "GB88WEST1234569876543", "NO2386011117946"]
)
def test_account_numbers_that_no_bank_of_the_country_has_are_refused(number: str) -> None:
    """Right by MOD 97-10, worked out here; too short, of no country, too long, and of a wrong national digit."""
    assert mod_97_10.checksum(number[4:] + number[:4]) == 1
    with pytest.raises(NotACode, match=r"of that country|check digits"):
        payment_codes.iban(number)


@given(st.sampled_from(GOOD_IBANS), st.integers(4, 14), st.sampled_from("0123456789"))
def test_no_single_mistyped_digit_slips_through(number: str, place: int, digit: str) -> None:
    """MOD 97-10 finds every single substitution (ISO 7064)."""
    if number[place].isdigit() and number[place] != digit:
        with pytest.raises(NotACode, match="check digits"):
            payment_codes.iban(number[:place] + digit + number[place + 1 :])


@pytest.mark.parametrize(
    ("text", "reference"),
    [("539007547034", "RF18539007547034"), ("5390075470Y", "RF185390075470Y"), ("G72UUR", "RF45G72UUR"),
     ("18K5", "RF6518K5")],
)  # fmt: skip
def test_published_references_come_out(text: str, reference: str) -> None:
    assert creditor_reference(text) == reference
    assert iso11649.is_valid(reference)


@given(st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", min_size=1, max_size=21))
def test_every_reference_that_is_made_is_valid_to_another_reader(text: str) -> None:
    made = creditor_reference(text)
    assert iso11649.is_valid(made)
    assert mod_97_10.checksum(made[4:] + made[:4]) == 1


@pytest.mark.parametrize("text", ["", "A" * 22, "12-3", "ä1"])
def test_what_is_no_reference_is_refused(text: str) -> None:
    with pytest.raises(NotACode, match="1 to 21 letters A to Z and digits"):
        creditor_reference(text)


def read_back(code: segno.QRCode) -> zxingcpp.Barcode:
    drawn = io.BytesIO()
    code.save(drawn, kind="png", scale=6, border=4)
    (found,) = zxingcpp.read_barcodes(Image.open(drawn))
    return found


def transfer(**changed: object) -> segno.QRCode | None:
    said = {
        "holder": "Red Cross of Belgium", "account": "BE72000000001616", "bank": "BPOTBEB1", "amount": Decimal("1.00"),
        "currency": "EUR", "reference": "RF18539007547034", **changed,
    }  # fmt: skip
    return credit_transfer(**said)  # type: ignore[arg-type] # each has its field's type


def test_the_square_code_says_what_the_published_sample_says_and_its_reference() -> None:
    code = transfer()
    assert code is not None
    found = read_back(code)
    lines, sample = found.text.split("\n"), SAMPLE.split("\n")
    assert lines[:8] == sample[:8], "head, bank, holder, account and amount as in the sample"
    assert lines[8:10] == ["", "RF18539007547034"], "no purpose; the reference where the sample has none"
    assert len(lines) <= 12
    assert found.format == zxingcpp.BarcodeFormat.QRCode
    assert found.ec_level == "M", "EPC069-12: error correction M"
    assert int(code.version) <= 13, "EPC069-12: version 13 at most"
    assert len(found.bytes) <= 331, "EPC069-12: 331 bytes at most"


def test_a_name_in_any_script_and_the_largest_amount_are_read_back() -> None:
    code = transfer(holder="Škoda žluťoučká 名前" + "x" * 80, amount=Decimal("999999999.99"), bank="")
    assert code is not None
    lines = read_back(code).text.split("\n")
    assert lines[4] == ""
    assert lines[5].startswith("Škoda žluťoučká 名前")
    assert len(lines[5]) <= 70
    assert lines[7] == "EUR999999999.99"


@pytest.mark.parametrize(
    "changed",
    [{"currency": "USD"}, {"account": ""}, {"holder": ""}, {"amount": Decimal(0)}, {"amount": Decimal("1000000000")}],
)  # fmt: skip
def test_there_is_no_code_where_the_guideline_has_none(changed: dict[str, object]) -> None:
    assert transfer(**changed) is None


def test_the_drawing_on_the_page_needs_no_inline_style() -> None:
    code = transfer()
    assert code is not None
    drawn = payment_codes.drawn(code, "Payment code")
    assert drawn.startswith("<svg")
    assert "style=" not in drawn
    assert "<title>Payment code</title>" in drawn

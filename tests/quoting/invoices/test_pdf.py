"""Invoices and receipts on paper: the page's numbers, tagged, our own fonts, and a square code that can be read."""

from __future__ import annotations

import io
from datetime import date
from decimal import Decimal

import pdfplumber
import pypdfium2  # type: ignore[import-untyped] # no types
import pytest
import zxingcpp
from pypdf import PdfReader

from quoting.invoices import issuing, payments
from quoting.invoices import pdf as invoice_pdf
from quoting.invoices.document_presenter import present_invoice
from quoting.models import Invoice, PaidBy
from studio.models import Studio
from tests.people import House
from tests.quoting.invoice_scenes import agreed, deposit_of, pay

pytestmark = pytest.mark.django_db
D = Decimal


def words_of(content: bytes) -> str:
    with pdfplumber.open(io.BytesIO(content)) as document:
        return " ".join(" ".join((page.extract_text() or "").split()) for page in document.pages)


def test_paper_and_page_say_the_same_and_the_paper_is_tagged(wickerlark: House) -> None:
    offer = agreed(wickerlark, mixed=True, payment_words="Cheques to Rope Walk 12.\nCards at the workshop.")
    with wickerlark.enter():
        balance = issuing.issue_balance(offer, bill_to="Ünder dem Hügel 7\n名前町")
        content = bytes(invoice_pdf.make(balance.pk).content)
        shown = present_invoice(balance.frozen)
    page = " ".join(
        wickerlark.client().get(wickerlark.url("quoting:invoice", balance.pk)).content.decode().split()
    )
    paper = words_of(content)
    amounts = [shown.total, shown.net, shown.asked, *(line.amount for line in shown.lines)]
    amounts += [tax.amount for tax in shown.taxes]
    for amount in amounts:
        assert amount in page, amount
        assert amount in paper, amount
    for words in (
        shown.number,
        shown.reference,
        "Ünder dem Hügel 7",
        "less invoice 0001",
        "Cards at the workshop.",
    ):
        assert words in paper, words
    reader = PdfReader(io.BytesIO(content))
    catalogue = reader.trailer["/Root"]
    assert catalogue["/MarkInfo"]["/Marked"]  # type: ignore[index] # pypdf's objects
    assert b"pdfuaid" in catalogue["/Metadata"].get_object().get_data()  # type: ignore[index] # pypdf's objects
    fonts = {
        str(font.get_object()["/BaseFont"])
        for sheet in reader.pages
        for font in sheet["/Resources"]["/Font"].values()  # type: ignore[index] # pypdf's objects
    }
    assert any("Figtree" in name for name in fonts)
    assert any("Fraunces" in name for name in fonts)
    assert all("+" in name for name in fonts), "every font is embedded as a subset"
    assert len(content) < 200_000


def test_the_square_code_on_paper_is_read_back_with_amount_and_reference(federkorn: House) -> None:
    """EPC069-12, read by zxing-cpp from the rendered sheet."""
    offer = agreed(
        federkorn, iban="DE89370400440532013000", account_holder="Jule Kornacker, Atelier Federkorn"
    )
    with federkorn.enter():
        deposit = deposit_of(offer)
        content = bytes(invoice_pdf.make(deposit.pk).content)
    sheet = pypdfium2.PdfDocument(content)[0].render(scale=4).to_pil()
    (code,) = zxingcpp.read_barcodes(sheet)
    lines = code.text.split("\n")
    assert lines[:4] == ["BCD", "002", "1", "SCT"]
    assert lines[5:7] == ["Jule Kornacker, Atelier Federkorn", "DE89370400440532013000"]
    assert D(lines[7].removeprefix("EUR")) == deposit.total
    assert lines[9] == deposit.reference
    assert "DE89 3704 0044 0532 0130 00" in words_of(content)


def test_a_receipt_says_who_paid_what_on_which_invoice_and_what_is_left(wickerlark: House) -> None:
    offer = agreed(wickerlark)
    with wickerlark.enter():
        deposit = deposit_of(offer)
        payment = pay(deposit, D(10)).payment
        paper = words_of(bytes(invoice_pdf.make_receipt(payment.pk).content))
    left = f"${deposit.total - 10:,.2f}"
    for words in ("Receipt 0001", "Mrs Adeyo", "$10.00", "bank transfer", "0001 of", f"{left} is left"):
        assert words in paper, words


@pytest.mark.parametrize(
    ("locale", "day", "word"), [("en_US", "Sun, Mar 1, 2026", "check"), ("en_GB", "Sun 1 Mar 2026", "cheque")]
)
def test_a_receipt_names_day_and_cheque_as_the_locale_does(
    wickerlark: House, locale: str, day: str, word: str
) -> None:
    offer = agreed(wickerlark, locale=locale)
    with wickerlark.enter():
        deposit = deposit_of(offer)
        payment = payments.record(
            deposit.pk, amount=D(10), received_on=date(2026, 3, 1), paid_by=PaidBy.CHEQUE, key="by-post"
        ).payment
        paper = words_of(bytes(invoice_pdf.make_receipt(payment.pk).content))
    assert f"{day} {word} 0001" in " ".join(paper.split())


@pytest.mark.parametrize(("currency", "locale", "digits"), [("JPY", "ja_JP", 0), ("KWD", "en_US", 3)])
def test_yen_and_dinar_are_invoiced_in_their_own_units(
    wickerlark: House, currency: str, locale: str, digits: int
) -> None:
    offer = agreed(wickerlark, currency=currency, locale=locale, deposit_percent=D("33.33"))
    with wickerlark.enter():
        balance = issuing.issue_balance(offer)
        issued = list(Invoice.objects.all())
        assert sum(one.total for one in issued) == offer.total
        unit = D(1).scaleb(-digits)
        assert all(amount % unit == 0 for one in issued for amount in (one.net, one.tax, one.total))
        paper = words_of(invoice_pdf.rendered(balance, Studio.objects.get(pk=wickerlark.studio.pk)))
        assert present_invoice(balance.frozen).asked.replace("\u00a0", " ") in paper.replace("\u00a0", " ")

"""A document that was frozen once keeps its digest: it is the proof of what a client saw."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from quoting.invoices import document as invoice_document
from quoting.offers import document as offer_document
from studio.models import Studio

LINE = {"label": "Brücke · 花", "detail": "", "amount": "12.50"}


def test_an_offer_frozen_today_has_the_digest_that_it_had_when_the_form_was_laid_down() -> None:
    studio = Studio(
        name="Wickerlark", slug="w", address="1 Mill Lane\nÜberlingen", email="a@example.test",
        phone="+1 212 555 0100", tax_number="DE 1", zone="Europe/Berlin",
    )  # fmt: skip
    at = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
    copy = {"title": "Brücke · 花", "lines": [{"label": "Latex", "amount": "12.50"}], "net": "12.50"}
    made = offer_document.freeze(
        copy, studio=studio, number=7, version=2, offered_at=at, expires_at=at + timedelta(days=14)
    )
    assert made.digest == "c018be60df87b9b7569e8bd470351461213495a5a5beab11bb5a6102b9f2a03a"
    assert made.content_digest == "7d86bde471b8a2343fd451edb2e60f833b41c41c4693e38c72c3301aefe6a288"


def test_an_invoice_frozen_today_has_the_digest_that_it_had_when_the_form_was_laid_down() -> None:
    text, digest = invoice_document.freeze({"number": "0007", "lines": [LINE], "due_on": ""})
    assert text.startswith('{"due_on":"","format":1,"lines":[{"amount":"12.50",')
    assert digest == "bfb9ab96294cc134fb5e76631c2ef89263f3bd2d89480fb77062551af598c135"

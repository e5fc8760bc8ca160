"""What earlier versions stored or sent as JSON is read today as it was read then."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import time_machine
from django.apps import apps
from django.contrib.postgres.fields import ArrayField
from django.db.models import JSONField

from quoting.invoices.document import read_invoice, write_invoice
from quoting.offers.document import read_offer, write_offer
from quoting.pricing.frozen import canonical
from tests.stored.documents import FACTS, HERE, MOMENT, differences, facts_beside, samples
from tests.stored.readers import READERS, read

COLUMNS = {
    "events.Tick.after": "phones",
    "quoting.Answer.chosen": "answers",
    "quoting.DesignTemplate.design": "designs",
    "quoting.Quote.by_hand": "sketches",
    "quoting.Quote.instalments": "sketches",
    "quoting.SetPiece.by_hand": "sketches",
    "quoting.SetPiece.design": "designs",
    "quoting.SetPiece.takeoff": "takeoffs",
    "quoting.SketchVersion.snapshot": "sketches",
    "quoting.Still.backdrop": "backdrops",
    "quoting.Still.design": "designs",
    "quoting.TableStep.design": "designs",
    "stock.Item.outline": "outlines",
    "stock.KeptAnswer.answer": "stock-answers",
    "studio.OutboxEntry.arguments": "outbox",
}
"""Columns with JSON or lists in them, and where their samples lie. Of a column of an audit trail: in ``history``."""
WITHOUT_LATER_FIELDS = "older-without-later-fields"
"""A document that was cut down by hand; what is written today has those fields."""
OURS = ("studio", "stock", "events", "quoting")


def kept_as_text() -> list[Path]:
    """Samples whose text is digested."""
    return [
        sample
        for sample in samples()
        if sample.parent.name in ("offers", "invoices") and sample.stem != WITHOUT_LATER_FIELDS
    ]


@pytest.mark.django_db
@pytest.mark.parametrize("sample", samples(), ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_a_stored_document_is_read_as_it_was(sample: Path) -> None:
    facts = json.loads(facts_beside(sample).read_text(encoding="utf-8"))
    with time_machine.travel(MOMENT, tick=False):
        found = list(differences(facts, read(sample)))
    assert found == []


@pytest.mark.parametrize("sample", kept_as_text(), ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_an_offer_or_invoice_is_written_as_it_was(sample: Path) -> None:
    """Its digest is the proof of what a client saw."""
    text = canonical(json.loads(sample.read_text(encoding="utf-8")))
    if sample.parent.name == "offers":
        assert write_offer(read_offer(text)) == text
    else:
        assert write_invoice(read_invoice(text))[0] == text


def test_every_column_of_json_has_its_samples() -> None:
    found = {
        f"{model._meta.label}.{field.name}"
        for model in apps.get_models()
        for field in model._meta.concrete_fields
        if isinstance(field, (JSONField, ArrayField))
        and model._meta.app_label in OURS
        and not hasattr(model, "pgh_tracked_model")
    }
    assert found == set(COLUMNS)
    assert {sample.parent.name for sample in samples()} == set(READERS) >= set(COLUMNS.values())


def test_no_facts_stand_without_their_sample() -> None:
    facts = sorted(HERE.glob(f"v*/*/*{FACTS}"))
    assert facts == [facts_beside(sample) for sample in samples()]

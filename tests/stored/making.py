"""The scenes from which samples are taken: the demo, and what it lacks, all through the product's own functions."""

from __future__ import annotations

import json
import random
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from unittest.mock import patch

from django.core.management import call_command

from quoting.craft.sheets.stored import write_takeoff
from quoting.design_library import library
from quoting.models import Answer, DesignTemplate, Invoice, Payment, Quote, SetPiece, SketchVersion
from quoting.quotes import snapshots
from stock.models import Item
from studio import tenancy
from studio.local.place import Place, secrets_of
from studio.models import Membership, OutboxEntry, TaxRate, entered_studio
from studio.tenancy.rights import Role
from tests.stored import making_quotes, making_work

Samples = dict[str, Any]
ONE_OF_EACH = (
    "Classic banded arch", "Balloon wall in ombre", "Ceiling swags", "Garland wound up a column",
    "Half-arch beside a door", "Half-moon on a covered ring", "Pair of spiral columns", "Stage with three frames",
    "Terrace frame with two bouquets",
)  # fmt: skip
OF_THE_TAKEOFF_ALONE = (
    "wickerlark-outdoors",
    "wickerlark-cold",
    "wickerlark-too-small",
    "wickerlark-credited",
    "federkorn-balance",
)


def samples() -> Samples:
    """Every sample by its path without ``.json``."""
    with _same_names():
        call_command("load_demo", verbosity=0)
        made = _local()
        for slug in ("wickerlark", "federkorn"):
            with _entered(slug):
                made |= _of_studio(slug)
        with _entered("wickerlark"):
            made |= making_work.samples()
            made |= _outbox()
    return made | _without_later_fields(made)


# Private


@contextmanager
def _same_names() -> Iterator[None]:
    """Random names are the same each time."""
    dice = random.Random(1)  # noqa: S311 -- names in samples, no secrets
    with patch("uuid.uuid4", lambda: uuid.UUID(int=dice.getrandbits(128), version=4)):
        yield


@contextmanager
def _entered(slug: str) -> Iterator[None]:
    studio_id = next(number for number, name in tenancy.each_studio() if name == slug)
    with tenancy.entered(studio_id, slug=slug, role=Role.OWNER):
        owner = Membership.objects.get(role=Role.OWNER).person_id
    with tenancy.entered(studio_id, slug=slug, role=Role.OWNER, person_id=owner):
        yield


def _of_studio(slug: str) -> Samples:
    if slug == "wickerlark":
        making_quotes.play_dollars()
    else:
        making_quotes.play_euros()
    names = making_quotes.QUOTES[slug]
    made: Samples = {}
    if slug == "wickerlark":
        made |= {f"designs/{_name(each.name)}": each.design for each in _templates()}
        made |= {f"outlines/{item.code}": item.outline for item in Item.objects.exclude(outline=None)}
        made["designs/turned-and-sized"] = SetPiece.objects.get(
            quote__title=names["everything"], position=1
        ).design
        made["designs/from-a-file"] = json.loads(
            library.STARTERS.joinpath("table-garland.json").read_text("utf-8")
        )
    for name, title in names.items():
        quote = Quote.objects.get(title=title)
        made |= _of_quote(f"{slug}-{name}", quote, entered_studio().units)
    return made


def _templates() -> list[DesignTemplate]:
    return [each for each in DesignTemplate.objects.all() if each.name in ONE_OF_EACH]


def _of_quote(name: str, quote: Quote, units: str) -> Samples:
    pieces = list(quote.pieces.all())
    made: Samples = {f"takeoffs/{name}-{piece.position}": _takeoff(piece, units) for piece in pieces}
    if name not in OF_THE_TAKEOFF_ALONE:
        made |= _sketches(name, quote, pieces)
        last = quote.offers.order_by("-version").first()
        if last:
            made[f"offers/{name}"] = json.loads(last.frozen)
        for answer in Answer.objects.filter(offer__quote=quote, kind="agreed"):
            made[f"answers/{name}"] = {"offer": name, "chosen": answer.chosen}
    for invoice in Invoice.objects.filter(offer__quote=quote):
        made[f"invoices/{name}-{invoice.kind}-{invoice.number}"] = json.loads(invoice.frozen)
    for payment in Payment.objects.filter(invoice__offer__quote=quote):
        made[f"receipts/{name}-{payment.number}"] = _receipt(payment)
    return made


def _takeoff(piece: SetPiece, units: str) -> dict[str, Any]:
    return {
        "units": units, "name": piece.name, "width_m": str(piece.width_m), "height_m": str(piece.height_m),
        "design": piece.design, "takeoff": write_takeoff(piece.takeoff),
    }  # fmt: skip


def _sketches(name: str, quote: Quote, pieces: list[SetPiece]) -> Samples:
    made: Samples = {
        f"sketches/{name}": {
            "snapshot": snapshots.take(quote, quote.pieces.all(), quote.free_lines.all()),
            "takeoffs": {str(piece.pk): write_takeoff(piece.takeoff) for piece in pieces},
            "taxes": _taxes(quote),
            "kits": making_quotes.KITS if name.endswith("-kit") else [],
        }
    }
    if undone := SketchVersion.objects.filter(quote=quote).first():
        made[f"sketches/{name}-before"] = {"snapshot": undone.snapshot, "taxes": _taxes(quote)}
    return made


def _without_later_fields(made: Samples) -> Samples:
    """Documents without the fields that their readers take for granted to be missing in older ones."""
    piece = json.loads(json.dumps(made["takeoffs/federkorn-balance-1"]))
    for field in ("evenness", "prep"):
        del piece["takeoff"][field]
    offer = json.loads(json.dumps(made["offers/federkorn-two-taxes"]))
    del offer["quote"]["instalments"], offer["quote"]["hours"], offer["quote"]["event"]["zone"]
    for row in (*offer["quote"]["bill"], *offer["quote"]["work"]):
        del row["options"]
    for line in offer["quote"]["lines"]:
        del line["detail"]
    return {"takeoffs/older-without-later-fields": piece, "offers/older-without-later-fields": offer}


def _taxes(quote: Quote) -> list[dict[str, Any]]:
    wanted = {line.tax_id for line in quote.free_lines.all() if line.tax_id}
    rates = TaxRate.objects.filter(pk__in=wanted)
    return [{"id": rate.pk, "name": rate.name, "percent": str(rate.percent)} for rate in rates]


def _receipt(payment: Payment) -> dict[str, Any]:
    invoice = payment.invoice
    credited = sum(note.total for note in invoice.credit_notes.all())
    paid = sum(each.amount for each in invoice.payments.all())
    return {
        "payment": {
            "number": payment.number, "amount": str(payment.amount), "paid_by": payment.paid_by,
            "received_on": payment.received_on.isoformat(), "words": payment.words,
        },
        "invoice": json.loads(invoice.frozen),
        "sums": {"total": str(invoice.total), "paid": str(paid), "credited": str(credited)},
    }  # fmt: skip


def _outbox() -> Samples:
    """One entry of each kind, under a number that no row has."""
    entries: dict[str, Any] = {}
    for entry in OutboxEntry.objects.order_by("pk"):
        numberless = {name: 0 if isinstance(value, int) else value for name, value in entry.arguments.items()}
        if "name" in numberless:
            numberless["name"] = "a-name-that-nobody-asked-under"
        entries.setdefault(
            f"{entry.task} {sorted(entry.arguments)}", {"task": entry.task, "arguments": numberless}
        )
    return {"outbox/one-of-each": list(entries.values())}


def _local() -> Samples:
    """The names in the launcher's file; what was drawn is thrown away."""
    with tempfile.TemporaryDirectory() as folder:
        secrets_of(Place(Path(folder), Path(folder), None))
        drawn = json.loads((Path(folder) / "secrets.json").read_text(encoding="utf-8"))
    return {"local/secrets": {name: f"what was drawn as {name}" for name in drawn}}


def _name(title: str) -> str:
    return title.lower().replace(" ", "-")

"""Quotes for the samples, one that uses everything a quote can have among them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, Final

from events.booking import enquiry, event_times
from events.models import Event
from quoting.craft.change.edit import mirrored
from quoting.craft.design.design_file import read_design
from quoting.design_library import library
from quoting.invoices import issuing, payments
from quoting.invoices.settling import today_at
from quoting.models import Choice, DesignTemplate, Invoice, Offer, PaidBy, Quote
from quoting.offers import agreeing, document, offering
from quoting.offers.agreeing import PageShown, Visitor
from quoting.pricing.instalments import Instalment
from quoting.quotes import adjusting, sheet, sketch
from stock.catalogue import items
from stock.kits import kits
from stock.models import Kind
from studio import tenancy
from studio.models import Studio, entered_studio
from studio.people import taxes
from tests.quoting.offer_scenes import plan_all

QUOTES: Final = {
    "wickerlark": {
        "everything": "Centenary dinner",
        "discount-instalments": "Leaving ball",
        "outdoors": "Quayside dance",
        "cold": "Winter market stage",
        "credited": "Summer reading party",
        "kit": "Kit of fern",
        "too-small": "Burst on the mountain",
    },
    "federkorn": {"options": "Silberhochzeit", "two-taxes": "Sommerfest", "balance": "Erntedank"},
}
"""Titles of the quotes that are taken, by the name of their samples."""
KITS: Final[list[dict[str, Any]]] = [
    {
        "name": "Fern corner",
        "parts": [
            {"code": "fern-tall", "name": "Tall fern", "quantity": 2},
            {"code": "fern-low", "name": "Low fern", "quantity": 3},
        ],
    }
]
VISITOR: Final = Visitor("203.0.113.7", "Harbour Browser 7")


def play_dollars() -> None:
    """A quote with everything, one with a kit, one that can't be sized for its place, and frames of all shapes."""
    studios = Studio.objects.filter(pk=tenancy.current_studio_id())
    studios.update(payment_words="Within a week, please.\nCards at the counter.")
    for shape, facts in SHAPES.items():
        items.add_item(
            kind=Kind.FRAME, name=f"Frame {shape}", code=f"frame-{shape}", unit_cost=Decimal(90), expected_uses=30,
            outline={"shape": shape, "width_m": 1.5, "height_m": 2.0, **facts},
        )  # fmt: skip
    _everything()
    _kit()
    event = Event.objects.get(title="Spring reading week")
    quote = sketch.start_quote(
        event, _template("Terrace frame with two bouquets"), title="Burst on the mountain"
    )
    piece = quote.pieces.get()
    changes = {"site.altitude_m": 4500.0, "site.temperature_c": 50.0, "site.prep_temperature_c": -20.0}
    sketch.alter_piece(quote.pk, piece.pk, changes, version=quote.version)


def play_euros() -> None:
    """Two taxes inside the price, an instalment, part of it paid back."""
    reduced = taxes.add_tax(name="Ermäßigt", percent=Decimal(7), is_default=False)
    event = Event.objects.get(title="Taufe am See")
    quote = sketch.start_quote(event, _template("Classic banded arch"), title="Sommerfest")
    quote = sketch.add_free_line(
        quote.pk, label="Blumen", quantity=Decimal("2.5"), unit_price=Decimal("33.33"), tax_id=reduced.pk,
        version=quote.version,
    )  # fmt: skip
    plan = [Instalment(Decimal("12.5"), date(2026, 3, 20))]
    quote = adjusting.set_payment(
        quote.pk, deposit_percent=Decimal(25), instalments=plan, version=quote.version
    )
    offer = _agreed(_offered(quote))
    deposit = _pay(Invoice.objects.get(offer=offer, kind="deposit"))
    issuing.issue_instalment(
        offer, amount=Decimal("21.50"), label="Instalment 1 of 1", due_on=date(2026, 3, 20), key="part-1",
        bill_to="Ruderverein Kornsee\nSeeweg 9",
    )  # fmt: skip
    issuing.issue_balance(offer)
    issuing.credit(deposit.pk, amount=Decimal(10), words="Zu viel verlangt.", key="credit-1")
    payments.pay_back(
        deposit.pk, amount=Decimal(10), received_on=today_at(entered_studio()), paid_by=PaidBy.CASH,
        words="over the counter", key="back-1",
    )  # fmt: skip


# Private


SHAPES: Final[dict[str, dict[str, Any]]] = {
    "half-arch": {},
    "part-ring": {"start_deg": -20, "end_deg": 250.5},
    "rectangle": {"foot_depth_m": 0.6},
    "column": {"tube_m": 0.05, "foot_depth_m": 0.3},
}


def _template(name: str) -> DesignTemplate:
    return DesignTemplate.objects.get(name=name)


def _everything() -> None:
    """Two pieces, three options, two taxes, rush and discount, prices by hand, a deposit of its own, two offers."""
    centenary = Event.objects.get(title="Library centenary")
    ready = centenary.ready_by
    event = enquiry.take_enquiry(
        title="Centenary dinner", client_id=centenary.client_id, venue_id=centenary.venue_id, zone="America/Chicago",
        event_windows=event_times.usual(ready_by=ready, guests_from=ready + timedelta(hours=1)),
    )  # fmt: skip
    food = taxes.add_tax(name="Meals tax", percent=Decimal("0.75"), is_default=False)
    quote = sketch.start_quote(event, _template("Half-moon on a covered ring"), title="Centenary dinner")
    quote = sketch.add_piece(quote.pk, _template("Pair of spiral columns").pk, version=quote.version)
    quote = sketch.set_way(quote.pk, distance_m=24500, drive_minutes=35, trips=3, version=quote.version)
    first, second = quote.pieces.all()
    turned = mirrored(read_design(first.design))
    quote = sketch.redraw(quote.pk, first.pk, turned, what="turned", version=quote.version)
    for label, price, tax in (("Paper number, hung", "32", None), ("Cake table", "40.50", food.pk)):
        quote = sketch.add_free_line(
            quote.pk, label=label, quantity=Decimal("1.5"), unit_price=Decimal(price), tax_id=tax,
            version=quote.version,
        )  # fmt: skip
    line = quote.free_lines.get(label="Paper number, hung")
    choices = {
        f"piece-{second.pk}": Choice.OFF, f"florals-{first.pk}": Choice.ON, f"sign-{first.pk}": Choice.OFF,
        f"line-{line.pk}": Choice.ON,
    }  # fmt: skip
    quote = sketch.set_options(quote.pk, choices, version=quote.version)
    _offered(quote)
    for key, amount in (("garland@0", "210.00"), (_own_key(quote), "99.95")):
        quote = adjusting.set_by_hand(
            quote.pk, key, amount=Decimal(amount), reason="As last year.", version=quote.version
        )
    quote = adjusting.adjust(
        quote.pk, rush_percent=Decimal("12.5"), discount_percent=Decimal(0), discount_amount=Decimal(20),
        reason="A friend of the house.", version=quote.version,
    )  # fmt: skip
    plan = [Instalment(Decimal(20), date(2026, 3, 18)), Instalment(Decimal("15.5"), date(2026, 3, 25))]
    quote = adjusting.set_payment(
        quote.pk, deposit_percent=Decimal(30), instalments=plan, version=quote.version
    )
    offer = _agreed(_offered(quote), but_for=1)
    _pay(Invoice.objects.get(offer=offer, kind="deposit"))


def _own_key(quote: Quote) -> str:
    """The key of a line that belongs to no piece."""
    tape = sheet.read_sheet(sheet.find_quote(quote.pk), entered_studio()).whole_tape
    return next(line.key for line in tape.lines if line.key and "@" not in line.key)


def _offered(quote: Quote) -> Offer:
    plan_all(quote)
    return offering.offer(quote).offer


def _agreed(offer: Offer, *, but_for: int = 0) -> Offer:
    """The client agrees, to all options but so many where there are any."""
    quote = document.read_offer(offer.frozen).quote
    chosen = tuple(document.option_keys(quote)[:-but_for]) if but_for else None
    total = str(document.price_choice(quote, chosen).total)
    shown = PageShown(version=offer.version, total=total, digest=offer.digest, chosen=chosen)
    agreeing.agree(offer.pk, shown=shown, name="Ada Adeyo", ticked=True, visitor=VISITOR)
    return Offer.objects.select_related("quote__event").get(pk=offer.pk)


def _pay(invoice: Invoice) -> Invoice:
    payments.record(
        invoice.pk, amount=invoice.total, received_on=today_at(entered_studio()), paid_by=PaidBy.TRANSFER,
        words="by the treasurer", key=f"pay-{invoice.pk}",
    )  # fmt: skip
    return invoice


def _kit() -> None:
    """A design whose greenery comes as a kit."""
    (kit,) = KITS
    parts: dict[int, int] = {}
    for part in kit["parts"]:
        item = items.add_item(
            kind=Kind.FLORAL, code=part["code"], name=part["name"], unit_cost=Decimal(6), expected_uses=6
        )
        parts[item.pk] = part["quantity"]
    kits.save_kit(None, name=kit["name"], note="", parts=parts)
    design = read_design(_template("Ring and panel").design)
    florals = (replace(design.florals[0], item="kit-fern-corner", label=kit["name"]), *design.florals[1:])
    template = library.keep_design(replace(design, name="Ring with a kit", florals=florals), entered_studio())
    event = Event.objects.get(title="Spring reading week")
    sketch.start_quote(event, template, title="Kit of fern")

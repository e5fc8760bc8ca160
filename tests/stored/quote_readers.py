"""What today's code reads from stored designs, take-offs, sketches, offers, invoices and receipts."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from decimal import Decimal
from typing import Any, cast

from events.models import Event, Stage, Status
from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.sheets.stored import StoredTakeoff, read_takeoff
from quoting.invoices import pdf as invoice_pdf
from quoting.invoices.document import asked_taxes, read_invoice
from quoting.invoices.document_presenter import present_invoice
from quoting.models import Invoice, Payment, Quote, QuoteState, Rates, SetPiece
from quoting.offers.comparing import compared
from quoting.offers.document import choose, option_keys, price_choice, read_offer, studio_part
from quoting.offers.document_presenter import OfferShown, present_offer
from quoting.offers.freezing import frozen_copy, piece_facts
from quoting.pricing import frozen
from quoting.pricing.rates import rates_of
from quoting.quote_page import presenter
from quoting.quote_page.site_presenter import site_words
from quoting.quotes import sheet, snapshots, staffing
from quoting.quotes.sheet import Sheet
from quoting.quotes.staffing import Crew
from quoting.set_pieces.presenter import count_groups
from quoting.set_pieces.size_bench import bench
from quoting.set_pieces.worked import in_units
from quoting.stills import venue
from stock.catalogue import items
from stock.kits import kits
from stock.models import Kind
from studio.models import Studio, TaxRate
from tests.people import House
from tests.stored.documents import HERE, plain
from tests.stored.scenes import an_event
from tests.stored.words_since import (
    design_of_then,
    evenness_of_then,
    in_words_of_then,
    rates_of_then,
    round_name_of_then,
)

NOTHING = StoredTakeoff(0, (), (), (), 1, (), 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
"""A take-off of a piece whose own isn't in the sample."""


def design(kept: dict[str, Any], _: House) -> Any:
    """Every field, those that were left out at their default as well."""
    found = read_design(kept)
    rates = rates_of_then(asdict(found.rates), kept.get("rates", {}))
    told = {"design": {**asdict(found), "rates": rates}, "written again": write_design(found)}
    return {name: design_of_then(one, kept["version"]) for name, one in told.items()}


def backdrop(kept: dict[str, Any], _: House) -> Any:
    """The camera and the piece's place; the light is measured in the photo itself."""
    figures = asdict(venue.read(kept))
    del figures["light"]
    return figures


def takeoff(kept: dict[str, Any], _: House) -> Any:
    """What the tape, the page and the offer say of a piece."""
    units = kept["units"]
    piece = _piece(kept)
    found = piece.takeoff
    read = Sheet(
        cast("Studio", None), cast("Quote", None), [piece], [], cast("Rates", None), [], {},
        cast("Any", None), Crew(1),
    )  # fmt: skip
    drawn = bench('<svg viewBox="0 0 1 1"><defs></defs></svg>', found, ceiling_m=None, units=units)
    parts = {line.part for line in found.bill}
    facts = {
        "needs": read.needs,
        "labels": read.labels,
        "minutes": read.minutes,
        "work": read.work,
        "parts": {
            part: sheet.part_words(piece, part, [line for line in found.bill if line.part == part])
            for part in parts
        },
        "facts": piece_facts(piece, units),
        "headline": presenter.headline(piece, units),
        "comes out": presenter.comes_out(piece, units),
        "counts": count_groups(found, units),
        "tasks": presenter.tasks(piece, units),
        "evenness": evenness_of_then(found.evenness),
        "site": _site(piece, units),
        "alt": in_units(found.alt, units),
        "bench": [drawn.width, drawn.height, drawn.left, drawn.top],
    }
    return in_words_of_then(plain(facts))


def sketch(kept: dict[str, Any], house: House) -> Any:
    """A quote put back as it stood: its fields, and where its take-offs are kept, what an offer would freeze of it."""
    takeoffs: Mapping[str, Any] = kept.get("takeoffs", {})
    for tax in kept.get("taxes", ()):
        TaxRate.objects.create(**tax)
    _kits(kept.get("kits", ()))
    event = an_event()
    quote = Quote.objects.create(event=event, title="")
    rates = rates_of(house.studio)
    rates.clients_see_counts = True  # as every offer did then
    rates.save()

    def keep(piece: SetPiece) -> None:
        kept_takeoff = takeoffs.get(str(piece.pk))
        piece.takeoff = read_takeoff(kept_takeoff) if kept_takeoff else NOTHING
        piece.picture = ""
        piece.save()

    snapshots.put_back(quote, kept["snapshot"], keep)
    quote.save()
    read: dict[str, Any] = {"put back": snapshots.take(quote, quote.pieces.all(), quote.free_lines.all())}
    if takeoffs:
        found = sheet.find_quote(quote.pk)
        offered = plain(frozen_copy(found))
        del offered["event"], offered["client"]
        for count in (count for piece in offered["pieces"] for count in piece["counts"]):
            count["label"] = round_name_of_then(count["label"])
        read |= {
            "offered": offered,
            "adjustments": sheet.read_sheet(found, house.studio).adjustments,
            "hands elsewhere": _crew_beside(quote, event),
        }
    return in_words_of_then(plain(read))


def offer(kept: dict[str, Any], _: House) -> Any:
    """The page at first, the price of every choice, the studio's own part, and the comparison."""
    text = frozen.canonical(kept)
    quote = read_offer(text).quote
    shown = frozen_shown(present_offer(text))
    return {
        "digest": frozen.digest_of(text),
        "shown": shown,
        "everything": option_keys(quote),
        "internal": studio_part(quote),
        "choices": in_words_of_then(plain({key: _choice(text, list(key)) for key in quote.prices})),
        "compared": compared(quote, quote),
    }


def agreed(kept: dict[str, Any], _: House) -> Any:
    """What was agreed to: the offer's price with the options that the answer names."""
    text = (HERE / "v1" / "offers" / f"{kept['offer']}.json").read_text(encoding="utf-8")
    quote = read_offer(text).quote
    agreed_to = choose(quote, kept["chosen"])
    price = {key: getattr(agreed_to, key) for key in ("lines", "net", "taxes", "total", "deposit")}
    return {**price, "internal": studio_part(quote, kept["chosen"])}


def invoice(kept: dict[str, Any], _: House) -> Any:
    """The page, what it asks for, and where to pay it."""
    text = frozen.canonical(kept)
    studio = read_invoice(text).studio
    return {
        "digest": frozen.digest_of(text),
        "shown": in_words_of_then(plain(present_invoice(text))),
        "asked": asked_taxes(text),
        "account": {key: getattr(studio, key) for key in ("holder", "iban", "bic")},
    }


def receipt(kept: dict[str, Any], house: House) -> Any:
    """What the receipt says; it reads the invoice that it is for."""
    sums = kept["sums"]
    paid = Invoice(
        kind=kept["invoice"]["kind"], frozen=frozen.canonical(kept["invoice"]),
        currency=kept["invoice"]["currency"], total=Decimal(sums["total"]),
    )  # fmt: skip
    paid.paid_sum, paid.credited_sum = Decimal(sums["paid"]), Decimal(sums["credited"])  # type: ignore[attr-defined]
    facts = kept["payment"]
    payment = Payment(
        number=facts["number"], amount=Decimal(facts["amount"]), paid_by=facts["paid_by"],
        received_on=date.fromisoformat(facts["received_on"]), words=facts["words"],
    )  # fmt: skip
    words = in_words_of_then(plain(invoice_pdf.receipt_words(payment, paid, house.studio)))
    return {**words, "paid_by": str(payment.get_paid_by_display())}  # by no locale then


# Private


def _piece(kept: Mapping[str, Any]) -> SetPiece:
    sizes = {side: Decimal(kept[side]) for side in ("width_m", "height_m")}
    return SetPiece(
        name=kept["name"], design=kept["design"], takeoff=read_takeoff(kept["takeoff"]), picture="",
        position=1, by_hand={}, **sizes,
    )  # fmt: skip


def _site(piece: SetPiece, units: str) -> Any:
    """What the page says of prep, with too little of the design to work it out again.

    An older take-off says nothing of it: then it is worked out, and only what it speaks of is a fact.
    """
    if piece.takeoff.prep is None:
        return [card.title for card in site_words(piece, Event(), units).cards]
    little = {key: piece.design[key] for key in ("site", "frames") if key in piece.design}
    return site_words(SetPiece(design=little, takeoff=piece.takeoff), Event(), units)


def _kits(kept: Any) -> None:
    """The kits that the bills name, with their parts on the shelf."""
    for kit in kept:
        parts = {}
        for part in kit["parts"]:
            item = items.add_item(kind=Kind.FLORAL, code=part["code"], name=part["name"])
            parts[item.pk] = part["quantity"]
        kits.save_kit(None, name=kit["name"], note="", parts=parts)


def _crew_beside(quote: Quote, event: Event) -> Crew:
    """The crew that the quote's event takes from another one of the same hours, once it is agreed."""
    Quote.objects.filter(pk=quote.pk).update(state=QuoteState.AGREED)
    Event.objects.filter(pk=event.pk).update(stage=Stage.AGREED, status=Status.CONFIRMED)
    other = an_event(title="Beside it")
    return staffing.crew_among(staffing.roles(), other, has_others=True)


def frozen_shown(shown: OfferShown) -> Any:
    """An offer as shown; of each picture its digest."""
    told = asdict(shown)
    for piece in told["pieces"]:
        piece["svg"] = hashlib.sha256(piece["svg"].encode()).hexdigest()
    return in_words_of_then(plain(told))


def _choice(text: str, chosen: list[str]) -> Any:
    """What a choice changes on the page."""
    shown = present_offer(text, chosen)
    quote = read_offer(text).quote
    price = price_choice(quote, chosen)
    switched = [[each.on, each.amount, each.takes_off, each.needs] for each in shown.options]
    return {
        "chosen": price.chosen, "total": price.total, "net": price.net, "deposit": price.deposit,
        "lines": shown.lines, "taxes": shown.taxes, "deposit_percent": shown.deposit_percent,
        "inclusive": shown.inclusive, "instalments": shown.instalments, "rest": shown.rest, "options": switched,
        "pieces": [[piece.chosen, piece.without] for piece in shown.pieces],
        "internal": studio_part(quote, chosen).work,
    }  # fmt: skip

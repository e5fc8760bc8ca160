"""A quote frozen: everything that an offer shows, as plain JSON values that never change again."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from events.models import Event
from quoting import sheet
from quoting.bench import spoken
from quoting.craft.cautions import cautions_for
from quoting.models import Quote, SetPiece
from quoting.pricing import Tape
from quoting.sheet import Sheet
from quoting.worked import in_units
from studio import lengths, money, tenancy
from studio.access import Right, require
from studio.models import Studio
from studio.times import day_written, time_written

REACH_M = 2.0
"""Work higher than this is not done from the floor. Common practice, no source."""


def frozen_copy(quote: Quote) -> dict[str, Any]:
    """What an offer keeps of the quote; amounts are decimal strings in the studio's currency.

    ``bill``, ``work`` and ``hours`` are for the studio alone and never stand on a client's page. Cost and margin are
    not in it at all.
    """
    require(Right.OFFER)
    studio = Studio.objects.defer("logo").get(pk=tenancy.current_studio_id())
    read = sheet.load(quote, studio)
    event = quote.event
    return {
        "title": quote.title,
        "client": event.client.name,
        "event": {
            "title": event.title,
            "starts": (event.guests_from or event.ready_by).isoformat(),
            "ready_by": event.ready_by.isoformat(),
            "when": _when(event, studio),
            "place": event.venue.name if event.venue else "",
            "zone": event.zone,
        },
        "currency": studio.currency,
        "locale": studio.locale,
        "units": studio.units,
        "pieces": [_frozen_piece(piece, studio) for piece in read.pieces],
        **_frozen_price(read.whole_tape),
        "cautions": [caution.text for caution in _cautions(read)],
        "terms": studio.terms,
        "bill": [
            {
                "code": line["code"],
                "label": line["label"],
                "quantity": line["quantity"],
                "part": line["piece"],
                "group": line["part"],
            }
            for line in read.bill
        ],
        "work": [{"task": task, "minutes": minutes} for task, minutes in read.minutes.items()],
        "hours": {
            phase: round(float(getattr(read.work, phase)) / 60, 2) for phase in ("prep", "install", "strike")
        },
    }


def piece_facts(piece: SetPiece, units: str) -> list[str]:
    """Size, frames and garland of a piece in a few words each."""
    found = piece.takeoff
    width, height = (lengths.written(Decimal(str(found[side])), units) for side in ("width_m", "height_m"))
    facts = [f"{width} wide, {height} high"]
    if found["balloons"]:
        facts.append(
            f"{found['balloons']} balloons, {lengths.written(Decimal(str(found['garland_m'])), units)} of garland"
        )
    if found["frames"]:
        words = sheet.frame_words(found["frames"])
        facts.append(words[:1].upper() + words[1:])
    return facts


# Private


def _when(event: Event, studio: Studio) -> str:
    there = event.ready_by.astimezone(event.tz)
    return f"{day_written(there, studio.locale)}, ready by {time_written(there, studio.locale)}"


def _frozen_piece(piece: SetPiece, studio: Studio) -> dict[str, Any]:
    found = piece.takeoff
    width, height = found["picture_size"]
    return {
        "name": piece.name,
        "svg": spoken(piece.picture, studio.units),
        "alt": in_units(found["alt"], studio.units),
        "width": width,
        "height": height,
        "facts": piece_facts(piece, studio.units),
        "counts": [
            {"label": f"{count['size_in']} in, {count['name'].lower()}", "count": count["placed"]}
            for count in found["counts"]
        ],
    }


def _frozen_price(tape: Tape) -> dict[str, Any]:
    def plain(amount: Decimal) -> str:
        return str(money.rounded(amount, tape.currency))

    return {
        "lines": [
            {"label": line.label, "detail": line.detail, "amount": plain(line.amount), "part": line.part}
            for line in tape.lines
        ],
        "net": plain(tape.net),
        "taxes": [
            {
                "name": tax.tax.name,
                "percent": f"{tax.tax.percent.normalize():f}",
                "base": plain(tax.base),
                "amount": plain(tax.amount),
            }
            for tax in tape.taxes
        ],
        "total": plain(tape.total),
        "deposit": plain(tape.deposit),
        "deposit_percent": f"{tape.deposit_percent.normalize():f}",
        "inclusive": tape.inclusive,
    }


def _cautions(read: Sheet) -> tuple[Any, ...]:
    pieces = [piece.takeoff for piece in read.pieces]
    parts = {line["part"] for line in read.bill}
    return cautions_for(
        latex=any(found["balloons"] for found in pieces),
        fabric_or_florals="florals" in parts or any(found["covers"] for found in pieces),
        outdoors=any(found["outdoors"] for found in pieces),
        above_reach=any(found["height_m"] > REACH_M for found in pieces),
        heaviest_lift=max((found["heaviest_kg"] for found in pieces), default=0.0),
        european=read.studio.currency == "EUR" or read.studio.zone.startswith("Europe/"),
    )

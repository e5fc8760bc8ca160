"""A quote frozen: everything that an offer shows, as plain JSON values that never change again."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from events.models import Event
from quoting.models import Quote, SetPiece
from quoting.pricing.tape import Tape
from quoting.quotes import options, sheet
from quoting.quotes.sheet import Sheet
from quoting.set_pieces.presenter import frame_words
from quoting.set_pieces.size_bench import described
from quoting.set_pieces.worked import in_units
from stock.catalogue.items import latex_code
from studio.measures import lengths
from studio.models import Studio, entered_studio
from studio.models.dates import day_written, time_written
from studio.money import amounts
from studio.tenancy.access import require
from studio.tenancy.rights import Right
from studio.trade.cautions import cautions_for
from studio.trade.safety import needs_ladder

"""Work higher than this is not done from the floor. Common practice, no source."""


def frozen_copy(quote: Quote) -> dict[str, Any]:
    """What an offer keeps of the quote; amounts are decimal strings in the studio's currency.

    ``lines`` to ``inclusive`` are the price as it stands at first; where there are options, ``prices`` has the same
    for every combination, under the letters of what is chosen. A combination with nothing in it has none.
    ``bill``, ``work`` and ``hours`` are for the studio alone and never stand on a client's page. Cost and margin are
    not in it at all.
    """
    require(Right.OFFER)
    studio = entered_studio()
    read = sheet.read_sheet(quote, studio)
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
        **_frozen_options(read),
        "instalments": quote.instalments,
        "cautions": [caution.text for caution in _cautions(read)],
        "terms": studio.terms,
        "bill": _frozen_bill(read),
        "work": _frozen_work(read),
        "hours": {
            phase: round(float(getattr(read.work, phase)) / 60, 2) for phase in ("prep", "install", "strike")
        },
    }


def piece_facts(piece: SetPiece, units: str) -> list[str]:
    """Size, frames and garland of a piece in a few words each."""
    found = piece.takeoff
    width, height = (lengths.written(Decimal(str(side)), units) for side in (found.width_m, found.height_m))
    facts = [f"{width} wide, {height} high"]
    if found.balloons:
        facts.append(
            f"{found.balloons} balloons, {lengths.written(Decimal(str(found.garland_m)), units)} of garland"
        )
    if found.frames:
        words = frame_words(found.frames)
        facts.append(words[:1].upper() + words[1:])
    return facts


# Private


def _when(event: Event, studio: Studio) -> str:
    there = event.ready_by.astimezone(event.tz)
    return f"{day_written(there)}, ready by {time_written(there)}"


def _frozen_piece(piece: SetPiece, studio: Studio) -> dict[str, Any]:
    found = piece.takeoff
    width, height = found.picture_size
    alt = in_units(found.alt, studio.units)
    return {
        "name": piece.name,
        "svg": described(piece.picture, alt),
        "alt": alt,
        "width": width,
        "height": height,
        "facts": piece_facts(piece, studio.units),
        "counts": [
            {"label": f"{count.size_in} in, {count.name.lower()}", "count": count.placed}
            for count in found.counts
        ],
    }


def _frozen_price(tape: Tape) -> dict[str, Any]:
    def plain(amount: Decimal) -> str:
        return str(amounts.rounded(amount, tape.currency))

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


def _frozen_options(read: Sheet) -> dict[str, Any]:
    """The options as the client reads them, and the price of every combination; nothing where there are none."""
    if not read.options:
        return {}
    prices = {}
    for chosen in options.every_choice(read.options):
        if not options.is_empty(read.with_choice(chosen)):
            prices["".join(sorted(chosen))] = _frozen_price(read.tape_with(chosen))
    return {
        "options": [
            {
                "key": option.key,
                "label": option.label,
                "detail": option.detail,
                "on": option.on,
                "piece": option.place,
                "part": option.part,
            }
            for option in read.options
        ],
        "prices": prices,
    }


def _frozen_bill(read: Sheet) -> list[dict[str, Any]]:
    """Every line of the bill; ``spare`` of its quantity are the loss allowance."""
    spares = [_spares(piece) for piece in read.pieces]
    return [
        {
            "code": quoted.line.code,
            "label": quoted.line.label,
            "quantity": quoted.line.quantity,
            # Once for a piece: a kit may bring more of the same balloons, and none of those are spare.
            "spare": spares[quoted.place].pop(quoted.line.code, 0),
            "part": quoted.piece,
            "group": quoted.line.part,
            "options": options.keys_needed(read.options, quoted.place, quoted.line.part),
        }
        for quoted in read.bill
    ]


def _spares(piece: SetPiece) -> dict[str, int]:
    """How many more balloons are brought than are placed, by code."""
    return {
        latex_code(count.size_in, count.colour): count.to_bring - count.placed
        for count in piece.takeoff.counts
    }


def _frozen_work(read: Sheet) -> list[dict[str, Any]]:
    """Minutes by task and by the options that they hang on."""
    part_of = {task: part for part, task in options.PART_TASKS.items()}
    minutes: dict[tuple[str, str], float] = {}
    for place, piece in enumerate(read.pieces):
        for task in piece.takeoff.tasks:
            needed = options.keys_needed(read.options, place, part_of.get(task.task, ""))
            key = task.task, "".join(needed)
            minutes[key] = round(minutes.get(key, 0.0) + task.minutes, 2)
    return [
        {"task": task, "minutes": spent, "options": list(needed)} for (task, needed), spent in minutes.items()
    ]


def _cautions(read: Sheet) -> tuple[Any, ...]:
    pieces = [piece.takeoff for piece in read.pieces]
    parts = {quoted.line.part for quoted in read.bill}
    return cautions_for(
        latex=any(found.balloons for found in pieces),
        helium=any(piece.takeoff.balloons and piece.design.get("bouquets") for piece in read.pieces),
        fabric_or_florals="florals" in parts or any(found.covers for found in pieces),
        outdoors=any(found.outdoors for found in pieces),
        above_reach=any(needs_ladder(found.height_m) for found in pieces),
        heaviest_lift=max((found.heaviest_kg for found in pieces), default=0.0),
        european=read.studio.is_european,
    )

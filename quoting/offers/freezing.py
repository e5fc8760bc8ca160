"""Copies a quote into the document that an offer freezes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from msgspec import structs

from events.contacts.language import speaking_to
from events.models import Event
from quoting.models import Quote, SetPiece
from quoting.offers.document import (
    FrozenBillLine,
    FrozenCount,
    FrozenEvent,
    FrozenHours,
    FrozenOption,
    FrozenPiece,
    FrozenTask,
    PriceLine,
    QuoteDocument,
    QuotePrice,
)
from quoting.pricing import instalments
from quoting.pricing.frozen import FrozenLine, FrozenTax, plain_percent
from quoting.pricing.tape import Tape
from quoting.prints.pictures import on_its_own
from quoting.quotes import options, sheet
from quoting.quotes.sheet import Sheet
from quoting.set_pieces.presenter import frame_words
from quoting.set_pieces.size_bench import described
from quoting.set_pieces.worked import in_units
from quoting.stills import stills
from quoting.supplies.supplies import find_on_site
from quoting.variants.tally import Tally, tally_of
from quoting.variants.variants import read_set
from stock.catalogue.items import latex_code
from studio.measures import lengths
from studio.measures.languages import Language, spoken
from studio.models import Studio, entered_studio
from studio.models.dates import day_written, time_written
from studio.money import amounts
from studio.tenancy.access import require
from studio.tenancy.rights import Right
from studio.trade.cautions import Caution, cautions_for
from studio.trade.latex import round_name
from studio.trade.working_height import needs_ladder


def frozen_copy(quote: Quote) -> QuoteDocument:
    """What an offer would keep of the quote, with all of its versions, as it stands."""
    return copy_of_set(read_set(sheet.read_sheet(quote, entered_studio())))


def copy_of_set(reads: Sequence[Sheet]) -> QuoteDocument:
    """What an offer keeps of the versions of a quote: the cheapest with the others in it, or the only one alone."""
    if len(reads) == 1 and reads[0].quote.variant_of_id is None:
        return copy_of(reads[0])
    first, *others = sorted((_named(copy_of(read), read) for read in reads), key=lambda one: one.total)
    if not others:
        return structs.replace(first, variant="", tally=Tally())
    return structs.replace(first, others=tuple(others))


def copy_of(read: Sheet) -> QuoteDocument:
    """What an offer keeps of a quote. Cost and margin are not in it at all."""
    require(Right.OFFER)
    with speaking_to(read.quote.event.client):
        # Anew: what the page worked out is worded for the office.
        return _copy_of(replace(read))


def piece_facts(piece: SetPiece, units: str, *, counts: bool = True) -> list[str]:
    """Size, frames and garland of a piece in a few words each; with ``counts`` how many balloons it has."""
    found = piece.takeoff
    width, height = (lengths.written(Decimal(str(side)), units) for side in (found.width_m, found.height_m))
    facts = [_("%(width)s wide, %(height)s high") % {"width": width, "height": height}]
    if found.balloons:
        length = lengths.written(Decimal(str(found.garland_m)), units)
        run = _("%(length)s of garland") % {"length": length}
        facts.append(", ".join([_counted(found.balloons), run]) if counts else run)
    if found.frames:
        words = frame_words(found.frames)
        facts.append(words[:1].upper() + words[1:])
    return facts


# Private


def _copy_of(read: Sheet) -> QuoteDocument:
    quote, studio = read.quote, read.studio
    return QuoteDocument(
        title=quote.title,
        client=quote.event.client.name,
        event=_frozen_event(quote.event, studio),
        currency=studio.currency,
        locale=studio.locale,
        units=studio.units,
        pieces=tuple(_frozen_piece(piece, studio, counts=read.shown.counts) for piece in read.pieces),
        options=_frozen_options(read),
        prices=_frozen_prices(read),
        instalments=tuple(instalments.read(quote.instalments)),
        cautions=tuple(_(caution.text) for caution in _cautions(read)),
        terms=studio.terms,
        bill=_frozen_bill(read),
        work=_frozen_work(read),
        hours=_frozen_hours(read),
        shows_counts=read.shown.counts,
        **structs.asdict(_frozen_price(read.whole_tape)),
    )


def _counted(balloons: int) -> str:
    return ngettext("%(count)s balloon", "%(count)s balloons", balloons) % {"count": balloons}


def _named(copy: QuoteDocument, read: Sheet) -> QuoteDocument:
    """The copy with what tells a version from the others, as it opens."""
    opening = read.with_choice(options.at_first(read.options))
    return structs.replace(
        copy,
        variant=read.quote.variant_name,
        source=read.quote.pk,
        tally=tally_of(piece.takeoff for piece in opening.pieces),
    )


def _when(event: Event, studio: Studio) -> str:
    there = event.ready_by.astimezone(event.tz)
    return _("%(day)s, ready by %(time)s") % {"day": day_written(there), "time": time_written(there)}


def _frozen_event(event: Event, studio: Studio) -> FrozenEvent:
    return FrozenEvent(
        title=event.title,
        starts=event.guests_from or event.ready_by,
        ready_by=event.ready_by,
        when=_when(event, studio),
        place=event.venue.name if event.venue else "",
        zone=event.zone,
    )


def _frozen_piece(piece: SetPiece, studio: Studio, *, counts: bool) -> FrozenPiece:
    found = piece.takeoff
    width, height = found.picture_size
    facts = tuple(piece_facts(piece, studio.units, counts=counts))
    alt = _alt(piece, studio.units, facts, counts=counts)
    return FrozenPiece(
        name=piece.name,
        svg=described(on_its_own(piece.picture), alt),
        alt=alt,
        width=width,
        height=height,
        facts=facts,
        counts=tuple(
            FrozenCount(_round_name(count.size_in, count.name), count.placed) for count in found.counts
        ),
        height_m=found.height_m,
        design=piece.design,
        still=stills.key_of_piece(piece) if stills.are_made() else "",
    )


def _alt(piece: SetPiece, units: str, facts: Sequence[str], *, counts: bool) -> str:
    """What the picture shows: as the take-off says it, in English; in other languages by the facts."""
    if spoken() not in (None, Language.ENGLISH):
        return f"{piece.name}: {', '.join(facts)}"
    found = piece.takeoff
    alt = in_units(found.alt, units)
    return alt if counts else alt.replace(f"{found.balloons} balloons", "balloons", 1)


def _round_name(size_in: int, colour: str) -> str:
    """``Oat 11 in``, as everywhere; ``Oat 11 Zoll`` to a German reader."""
    if spoken() in (None, Language.ENGLISH):
        return round_name(size_in, colour)
    return _("%(name)s %(size)s in") % {"name": colour, "size": size_in}


def _frozen_price(tape: Tape) -> QuotePrice:
    def plain(amount: Decimal) -> Decimal:
        return amounts.rounded(amount, tape.currency)

    return QuotePrice(
        lines=tuple(
            PriceLine(label=line.label, detail=line.detail, amount=plain(line.amount), part=line.part)
            for line in tape.lines
        ),
        net=plain(tape.net),
        taxes=tuple(
            FrozenTax(tax.tax.name, plain_percent(tax.tax.percent), plain(tax.base), plain(tax.amount))
            for tax in tape.taxes
        ),
        total=plain(tape.total),
        deposit=plain(tape.deposit),
        deposit_percent=plain_percent(tape.deposit_percent),
        inclusive=tape.inclusive,
        shown=tuple(
            FrozenLine(label=line.label, detail=line.detail, amount=plain(line.amount)) for line in tape.shown
        ),
    )


def _frozen_options(read: Sheet) -> tuple[FrozenOption, ...]:
    """The options as the client reads them."""
    return tuple(
        FrozenOption(
            key=option.key, label=option.label, detail=option.detail, on=option.on, piece=option.place,
            part=option.part,
        )
        for option in read.options
    )  # fmt: skip


def _frozen_prices(read: Sheet) -> dict[str, QuotePrice]:
    """The price of every combination of options with anything in it; nothing where there are none."""
    choices = options.every_choice(read.options) if read.options else []
    return {
        "".join(sorted(chosen)): _frozen_price(read.tape_with(chosen))
        for chosen in choices
        if not options.is_empty(read.with_choice(chosen))
    }


def _frozen_bill(read: Sheet) -> tuple[FrozenBillLine, ...]:
    """Every line of the bill; ``spare`` of its quantity are spare balloons."""
    spares = [_spares(piece) for piece in read.pieces]
    on_site = find_on_site(read)
    return tuple(
        FrozenBillLine(
            code=quoted.line.code,
            label=quoted.line.label,
            quantity=quoted.line.quantity,
            # Once for a piece: a kit may bring more of the same balloons, and none of those are spare.
            spare=spares[quoted.place].pop(quoted.line.code, 0),
            part=quoted.piece,
            group=quoted.line.part,
            options=tuple(options.keys_needed(read.options, quoted.place, quoted.line.part)),
            on_site=quoted.line.code in on_site,
        )
        for quoted in read.bill
    )


def _frozen_hours(read: Sheet) -> FrozenHours:
    phases = ("prep", "install", "strike", "washing")
    return FrozenHours(**{phase: round(float(getattr(read.work, phase)) / 60, 2) for phase in phases})


def _spares(piece: SetPiece) -> dict[str, int]:
    """How many more balloons are brought than are placed, by code."""
    return {
        latex_code(count.size_in, count.colour): count.to_bring - count.placed
        for count in piece.takeoff.counts
    }


def _frozen_work(read: Sheet) -> tuple[FrozenTask, ...]:
    """Minutes by task and by the options that they hang on."""
    part_of = {task: part for part, task in options.PART_TASKS.items()}
    minutes: dict[tuple[str, str], float] = {}
    for place, piece in enumerate(read.pieces):
        for task in piece.takeoff.tasks:
            needed = options.keys_needed(read.options, place, part_of.get(task.task, ""))
            key = task.task, "".join(needed)
            minutes[key] = round(minutes.get(key, 0.0) + task.minutes, 2)
    return tuple(
        FrozenTask(task=task, minutes=spent, options=tuple(needed))
        for (task, needed), spent in minutes.items()
    )


def _floats(piece: SetPiece) -> bool:
    """Whether helium is in a piece; older rows say it in the design alone."""
    prep = piece.takeoff.prep
    return bool(prep and prep.helium) or bool(piece.takeoff.balloons and piece.design.get("bouquets"))


def _has_candles(piece: SetPiece) -> bool:
    return any(prop.look == "candle" for prop in piece.read_design().props)


def _cautions(read: Sheet) -> tuple[Caution, ...]:
    pieces = [piece.takeoff for piece in read.pieces]
    parts = {quoted.line.part for quoted in read.bill}
    return cautions_for(
        latex=any(found.balloons for found in pieces),
        helium=any(_floats(piece) for piece in read.pieces),
        foil="foils" in parts,
        candles=any(_has_candles(piece) for piece in read.pieces),
        fabric_or_florals="florals" in parts or any(found.covers for found in pieces),
        outdoors=any(found.outdoors for found in pieces),
        above_reach=any(needs_ladder(found.height_m) for found in pieces),
        heaviest_lift=max((found.heaviest_kg for found in pieces), default=0.0),
        european=read.studio.is_european,
    )

"""The build sheet of a quote: every set piece as instructions for the prep room. It holds no price."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence, Set
from dataclasses import asdict, dataclass, replace
from typing import Final

from django.db.models import QuerySet
from django.http import Http404

from events.loadout.swaps import StandingSwap, standing_swaps
from events.models import Event
from quoting.build_sheet.presenter import BuildWords, CautionWords, build_words, model_notes
from quoting.craft.change.agreed_spares import with_agreed_spares
from quoting.craft.change.colour_swap import ColourSwap, with_colours_swapped
from quoting.craft.design.records import Design, PaletteColour
from quoting.craft.picture.elevation import description, elevation_svg
from quoting.craft.solid.glb import glb
from quoting.craft.solid.scene import scene_of
from quoting.craft.takeoff.doubles import every_colour
from quoting.craft.takeoff.takeoff import TakeOff
from quoting.models import Answer, AnswerKind, FreeLine, Quote, QuoteState, SetPiece
from quoting.prints import images
from quoting.prints.pictures import on_its_own
from quoting.quotes.on_event import EventQuote
from quoting.quotes.options import FLORALS, SIGN, at_first, options_of
from quoting.set_pieces.print_picture import for_paper
from quoting.set_pieces.site import at_venue
from quoting.set_pieces.size_bench import described
from quoting.set_pieces.worked import in_units, taken_off
from stock.models import Item, Kind
from studio import tenancy
from studio.models import StoredFile, Studio, entered_studio
from studio.outbox import entries
from studio.paper import pdf
from studio.tenancy.access import require
from studio.tenancy.fair_share import PAPERS
from studio.tenancy.rights import Right, may
from studio.trade.cautions import CHOKING_EU, CHOKING_US, DEFER
from studio.trade.latex import round_name

FORM: Final = 4
"""Counted up when the paper's form changes, so that it is made anew."""


@dataclass(frozen=True, slots=True)
class PieceSheet:
    """One set piece on the sheet."""

    name: str
    picture: str
    alt: str
    words: BuildWords
    not_as_quoted: tuple[str, ...] = ()
    """Balloons that are placed otherwise today than when the piece was worked out for its quote, a line each."""


def find(quote_id: int) -> Quote:
    """A quote with event and venue. Who sees no quotes finds only those that were agreed; else 404."""
    require(Right.SEE_LOAD_OUT)
    quote = _visible().select_related("event__client", "event__venue").filter(pk=quote_id).first()
    if quote is None:
        raise Http404
    return quote


def event_of(quote_id: int, place: int = 0) -> int | None:
    """Which event a sheet, and the piece at a ``place`` of it, is for, where whoever asks may see it."""
    return _visible().filter(pk=quote_id).values_list("event_id", flat=True).first()


def find_agreed(event: Event) -> list[tuple[int, str]]:
    """Key and title of the event's agreed quotes that have a sheet. One query; none without the right to see them."""
    if not may(tenancy.current().role, Right.SEE_LOAD_OUT):
        return []
    pieces = SetPiece.objects.filter(quote__event=event, quote__state=QuoteState.AGREED)
    rows = pieces.order_by("-quote__changed_at", "pk").values_list("quote_id", "quote__title")
    return list(dict.fromkeys(rows))


def with_pieces(quotes: Iterable[EventQuote]) -> list[EventQuote]:
    """Those of an event's quotes that have a sheet which whoever acts may see."""
    role = tenancy.current().role
    if not may(role, Right.SEE_LOAD_OUT):
        return []
    sees_all = may(role, Right.SEE_QUOTES)
    return [quote for quote in quotes if quote.piece_count and (sees_all or quote.state == QuoteState.AGREED)]


def pieces(quote: Quote, units: str, swapped: Sequence[StandingSwap]) -> list[PieceSheet]:
    """Every set piece worked out for the place it goes to, with what was ``swapped``; of an agreed quote without the
    options that the client left out. One query, three where it was agreed, another one where something was swapped.
    """
    require(Right.SEE_LOAD_OUT)
    sheets = []
    for place, (piece, placed, result) in enumerate(_worked_out(quote, swapped), start=1):
        alt = in_units(description(result), units)
        drawn = described(on_its_own(elevation_svg(result, prefix=f"piece{place}-", ties=True)), alt)
        words = build_words(result, units)
        sheets.append(PieceSheet(piece.name, drawn, alt, words, _not_as_quoted(placed, piece)))
    return sheets


def model(quote: Quote, place: int, units: str) -> tuple[str, bytes]:
    """A set piece of the sheet by its place from 1, as a model that says what goes up in which step: its name, and a
    binary glTF file. Raises ``Http404``. As many queries as the pieces of the sheet."""
    require(Right.SEE_LOAD_OUT)
    found = list(_worked_out(quote, swapped_items(quote)))[place - 1 : place] if place else []
    for piece, _, result in found:
        scene = replace(scene_of(result), name=piece.name)
        prints = images.whole_prints(result.design)
        return piece.name, glb(scene, model_notes(result, scene, units), prints)
    raise Http404


def cautions(sheets: Sequence[PieceSheet], studio: Studio) -> list[CautionWords]:
    """The cautions of all pieces, each once; the one on choking as the studio's law words it."""
    told = list(dict.fromkeys(caution for sheet in sheets for caution in sheet.words.cautions))
    if not studio.is_european:
        return told
    return [replace(one, text=CHOKING_EU.text) if one.text == CHOKING_US.text else one for one in told]


def paper(
    quote: Quote, sheets: Sequence[PieceSheet], swapped: Sequence[StandingSwap], studio: Studio
) -> pdf.Paper:
    """The sheet's PDF as it stands now. One or two queries."""
    return pdf.standing(_file_name(quote, sheets, swapped, studio))


def order_paper(
    quote: Quote, sheets: Sequence[PieceSheet], swapped: Sequence[StandingSwap], studio: Studio
) -> None:
    """Have the worker make the PDF; ordered twice, it is made once."""
    name = _file_name(quote, sheets, swapped, studio)
    entries.write("quoting.render_build_sheet", share=PAPERS, key=name, quote_id=quote.pk)


def make_paper(quote_id: int) -> StoredFile:
    """Render and keep the PDF of the sheet as it stands."""
    studio = entered_studio()
    quote = find(quote_id)
    swapped = swapped_items(quote)
    sheets = pieces(quote, studio.units, swapped)
    name = _file_name(quote, sheets, swapped, studio)
    return pdf.kept(name, lambda: rendered(quote, sheets, swapped, studio))


def rendered(
    quote: Quote, sheets: Sequence[PieceSheet], swapped: Sequence[StandingSwap], studio: Studio
) -> bytes:
    """The sheet as PDF/UA-1."""
    made: dict[str, bytes] = {}
    shown: list[dict[str, object]] = []
    for place, sheet in enumerate(sheets, start=1):
        picture = for_paper(sheet.picture, name=f"piece{place}")
        made |= picture.made | {f"piece{place}.svg": picture.svg.encode()}
        made |= {f"piece{place}-{name}.svg": drawing.encode() for name, drawing in _numbered(sheet).items()}
        shown.append({"sheet": sheet, "picture": f"piece{place}"})
    context = {"quote": quote, "event": quote.event, "studio": studio, "pieces": shown}
    context |= {"cautions": cautions(sheets, studio), "deferring": DEFER, "swapped": swapped}
    return pdf.rendered("quoting/build_sheet/pdf.html", {**context, "paper": pdf.paper(studio)}, made=made)


def swapped_items(quote: Quote) -> list[StandingSwap]:
    """What was swapped since the quote was agreed, balloons and others. One query."""
    return standing_swaps(quote.event) if quote.state == QuoteState.AGREED else []


def colour_swaps(swapped: Sequence[StandingSwap]) -> list[ColourSwap]:
    """The balloons that come in another colour than agreed. One query, none where nothing was swapped."""
    if not swapped:
        return []
    codes = [code for swap in swapped for code in (swap.out, swap.into)]
    latex = Item.objects.select_related("colour").filter(code__in=codes, kind=Kind.LATEX)
    items = {item.code: item for item in latex}
    swaps = []
    for swap in swapped:
        out, into = items.get(swap.out), items.get(swap.into)
        if out and into and out.colour and into.colour and out.size_in:
            colour = PaletteColour(
                colour=into.colour.code, name=into.colour.name, hex=into.colour.hex, share=0
            )
            swaps.append(ColourSwap(out.size_in, out.colour.code, colour))
    return swaps


# Private


def _numbered(sheet: PieceSheet) -> dict[str, str]:
    """The drawings of a sheet that have numbers, by their names."""
    groups = [group for garland in sheet.words.garlands for group in garland.placed]
    return {group.name: group.drawing for group in groups if group.drawing}


@dataclass(frozen=True, slots=True)
class _Quoted:
    pieces: list[SetPiece]
    free_lines: list[FreeLine]


def _chosen(quote: Quote) -> list[tuple[SetPiece, Design]]:
    """The set pieces with their designs, as the client chose them."""
    quoted = _Quoted(list(quote.pieces.defer("picture")), [])
    if quote.state != QuoteState.AGREED:
        return [(piece, piece.read_design()) for piece in quoted.pieces]
    quoted.free_lines.extend(quote.free_lines.all())
    agreed = Answer.objects.filter(offer__quote=quote, kind=AnswerKind.AGREED).order_by("-at")
    chosen = agreed.values_list("chosen", flat=True).first()
    options = options_of(quoted)
    taken = at_first(options) if chosen is None else frozenset(chosen)
    left_out = {(option.place, option.part) for option in options if option.key not in taken}
    return [
        (piece, _without(piece.read_design(), place, left_out))
        for place, piece in enumerate(quoted.pieces)
        if (place, "") not in left_out
    ]


def _worked_out(quote: Quote, swapped: Sequence[StandingSwap]) -> Iterator[tuple[SetPiece, TakeOff, TakeOff]]:
    """Every piece as designed, and as it is built at its venue with what was swapped."""
    venue, swaps = quote.event.venue, colour_swaps(swapped)
    for piece, design in _chosen(quote):
        placed = taken_off(design)
        yield piece, placed, with_colours_swapped(at_venue(_with_agreed_spares(placed, piece), venue), swaps)


def _with_agreed_spares(placed: TakeOff, piece: SetPiece) -> TakeOff:
    """The piece with the spares of its quote's bill, which the van is loaded by."""
    to_bring = {(count.size_in, count.colour): count.to_bring for count in piece.takeoff.counts}
    return with_agreed_spares(placed, to_bring)


def _not_as_quoted(placed: TakeOff, piece: SetPiece) -> tuple[str, ...]:
    """What the piece has more or fewer of than its quote says: it was worked out by rules of that time."""
    names = {colour.colour: colour.name for colour in every_colour(placed.design)}
    then = {(count.size_in, count.colour): count.placed for count in piece.takeoff.counts}
    return tuple(
        f"{round_name(size, names.get(colour, colour))}: {placed.counts.get((size, colour), 0)} on this sheet, "
        f"{then.get((size, colour), 0)} on the quote"
        for size, colour in {**placed.counts, **then}
        if placed.counts.get((size, colour), 0) != then.get((size, colour), 0)
    )


def _without(design: Design, place: int, left_out: Set[tuple[int | None, str]]) -> Design:
    """The design without the florals or the signs that the client left out."""
    if (place, FLORALS) in left_out:
        design = replace(design, florals=(), sprays=())
    return replace(design, signs=()) if (place, SIGN) in left_out else design


def _visible() -> QuerySet[Quote]:
    every: QuerySet[Quote] = Quote.objects.all()
    return every if may(tenancy.current().role, Right.SEE_QUOTES) else every.filter(state=QuoteState.AGREED)


def _file_name(
    quote: Quote, sheets: Sequence[PieceSheet], swapped: Sequence[StandingSwap], studio: Studio
) -> str:
    """The paper's name carries what stands on it: another sketch, another place or another form is another paper."""
    event = quote.event
    said = {
        "form": FORM,
        "head": [quote.title, event.title, event.ready_by.isoformat(), event.zone, str(event.venue or "")]
        + (["called off"] if event.is_off else []),
        "studio": [studio.name, studio.units, studio.locale],
        "pieces": [asdict(sheet) for sheet in sheets],
        "swapped": [asdict(swap) for swap in swapped],
    }
    digest = hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()
    return f"build-sheet-{quote.pk}-{digest[:16]}.pdf"

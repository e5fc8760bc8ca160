"""Sketching a quote: started from a design, scaled, altered, undone. Every change is one transaction.

Whoever changes a sketch says which version they saw; if somebody else was faster the change is refused
(:class:`StaleSketch`) and nothing is overwritten.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Final, TypeVar

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.http import Http404

from events.booking import stages
from events.models import Event, Stage
from events.wishes.wishes import wishes_of
from quoting.craft.design.chosen import as_chosen
from quoting.craft.design.design_file import read_design
from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import Design
from quoting.models import Choice, DesignTemplate, FreeLine, Quote, SetPiece
from quoting.pricing import rates
from quoting.quotes import sheet, snapshots, stock_view
from quoting.quotes.options import MOST_OPTIONS
from quoting.quotes.sheet import Sheet
from quoting.quotes.steps import (
    ClosedSketch,
    Which,
    change_quote,
    change_sheet,
    count_change,
    open_sheet,
    reprice,
    reread,
)
from quoting.quotes.wished_colours import with_wished
from quoting.set_pieces import alter, site
from quoting.set_pieces.faults import CannotSketch, cannot_sketch
from quoting.set_pieces.worked import Worked, worked
from studio import tenancy
from studio.models import Studio, TaxRate, entered_studio
from studio.models.spelling import spelled
from studio.tenancy.access import require
from studio.tenancy.rights import Right

Result = TypeVar("Result")
MOST_PIECES: Final = 40
ALTERED: Final = ("name", "design", "takeoff", "picture", "width_m", "height_m")
"""What another design or name changes of a piece."""
RESHAPING: Final = {"frame", "sizes", "rounds"}
"""Changes after which the piece is brought to the asked size again."""


def start_quote(event: Event, first: DesignTemplate | Design | None, *, title: str = "") -> Quote:
    """A quote for ``event`` with one set piece from ``first``, at the size that the client asked for if it can be.

    Where it can't, the piece keeps the template's size, and the page says what it comes out at. A design that was drawn
    by hand keeps its size. With neither the quote starts empty. The event goes to the stage of sketching.
    """
    require(Right.EDIT_QUOTES)
    if event.is_off:
        raise ClosedSketch(spelled("This event was canceled. Reopen it before you quote it."))
    with transaction.atomic():
        venue = event.venue
        quote = Quote.objects.create(
            event=event,
            title=(title.strip() or event.title)[:160],
            drive_minutes=venue.drive_minutes if venue else 0,
            changed_by_id=tenancy.current().person_id,
        )
        if isinstance(first, DesignTemplate):
            _place(quote, first, event)
        elif first:
            _put(quote, first, stock_view.owned())
        reprice(sheet.read_sheet(quote, entered_studio(), pictures=False))
        if event.stage == Stage.ENQUIRY:
            stages.reach(event.pk, Stage.SKETCH)
    return quote


def alter_piece(
    which: Which,
    piece_id: int,
    changes: Mapping[str, object],
    *,
    version: int,
    width_m: Decimal | None = None,
    height_m: Decimal | None = None,
    name: str = "",
) -> Quote:
    """Alter a piece's design (keys as in :func:`.alter.altered`), its size, or its name, in one step."""
    return alter_sheet(
        which, piece_id, changes, version=version, width_m=width_m, height_m=height_m, name=name
    ).quote


def alter_sheet(
    which: Which,
    piece_id: int,
    changes: Mapping[str, object],
    *,
    version: int,
    width_m: Decimal | None = None,
    height_m: Decimal | None = None,
    name: str = "",
) -> Sheet:
    """Alter a piece as :func:`alter_piece` does; gives the sheet as it then stands, already priced."""

    def change(read: Sheet) -> str:
        piece = _piece(read, piece_id)
        piece.name = name or piece.name
        asked = (width_m or piece.width_m, height_m or piece.height_m)
        named = [
            side for side, length in (("width_m", width_m), ("height_m", height_m)) if length is not None
        ]
        owned = read.owned
        reshaped = bool(RESHAPING & {key.partition(".")[0] for key in changes})
        design = design_of(piece)
        chosen = as_chosen(design) if named or reshaped else design
        design = _told(lambda: alter.altered(chosen, changes, owned))
        if named:
            design = _told(lambda: alter.scaled(design, width_m=asked[0], height_m=asked[1], must=named))
        elif reshaped:
            design, asked = _as_near(design, asked)
        _put_on(piece, alter.relabelled(design, owned), *asked)
        read.note_altered(piece, *ALTERED)
        return ", ".join(sorted({*changes, *(["size"] if named else []), *(["name"] if name else [])}))

    return change_sheet(which, version, change, in_place=True)


def redraw(which: Which, piece_id: int, design: Design, *, what: str, version: int, name: str = "") -> Quote:
    """Put another design in the place of a piece's, at the size that it comes out at; ``what`` says why in a word.

    The piece keeps its name unless another is given.
    """

    def change(read: Sheet) -> str:
        piece = _piece(read, piece_id)
        piece.name = name or piece.name
        _put_on(piece, design, *_told(lambda: alter.extent(design)))
        read.note_altered(piece, *ALTERED)
        return what

    return change_quote(which, version, change, in_place=True)


def reshape_piece(
    which: Which,
    piece_id: int,
    reshaped: Callable[[SetPiece, alter.Owned], Design],
    *,
    what: str,
    version: int,
    width_m: Decimal | None = None,
    height_m: Decimal | None = None,
) -> Quote:
    """Put another design in a piece's place, made out of it and of what the studio owns: one step, one undo."""

    def change(read: Sheet) -> str:
        piece = _piece(read, piece_id)
        design = _told(lambda: reshaped(piece, read.owned))
        _put_on(piece, design, width_m or piece.width_m, height_m or piece.height_m)
        read.note_altered(piece, *ALTERED)
        return what

    return change_quote(which, version, change, in_place=True)


def undo(which: Which, *, version: int) -> Quote:
    """Go back to how the quote stood before its last change. Undoing is itself no step that can be undone."""
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        read = open_sheet(which, version)
        last = read.quote.sketches.first()
        if last is None:
            raise ValidationError("There is nothing to undo.")
        snapshots.put_back(read.quote, last.snapshot, work_out)
        last.delete()
        count_change(reread(read))
    return read.quote


def add_piece(which: Which, template_id: int, *, version: int) -> Quote:
    """One more set piece. Raises ``Http404`` for a design that the studio doesn't have."""
    template = DesignTemplate.objects.filter(pk=template_id, retired_at=None).first()
    if template is None:
        raise Http404

    def change(read: Sheet) -> str:
        _refuse_too_many_pieces(read)
        _place(read.quote, template, read.quote.event)
        return f"added {template.name}"

    return change_quote(which, version, change)


def add_design(which: Which, design: Design, *, version: int) -> SetPiece:
    """One more set piece from a design at the size that it has: drawn for this quote, it is not scaled."""
    placed: list[SetPiece] = []

    def change(read: Sheet) -> str:
        _refuse_too_many_pieces(read)
        placed.append(_put(read.quote, design, read.owned))
        return f"added {design.name}"

    change_quote(which, version, change)
    return placed[0]


def remove_piece(which: Which, piece_id: int, *, version: int) -> Quote:
    """Take a set piece out; undo brings it back."""

    def change(read: Sheet) -> str:
        piece = _piece(read, piece_id)
        piece.delete()
        return f"removed {piece.name}"

    return change_quote(which, version, change)


def set_way(which: Which, *, distance_m: int, drive_minutes: int, trips: int, version: int) -> Quote:
    """How far the venue is, and how often the van goes there and back."""

    def change(read: Sheet) -> str:
        quote = read.quote
        quote.distance_m, quote.drive_minutes, quote.trips = distance_m, drive_minutes, trips
        quote.full_clean(exclude=["studio", "event", "changed_by"])
        return "way"

    return change_quote(which, version, change, in_place=True)


def add_free_line(
    which: Which, *, label: str, quantity: Decimal, unit_price: Decimal, tax_id: int | None, version: int
) -> Quote:
    """A line by hand. A discount may not take more off than there is."""

    def change(read: Sheet) -> str:
        if tax_id is not None and not TaxRate.objects.filter(pk=tax_id, retired_at=None).exists():
            raise Http404
        position = max((line.position for line in read.free_lines), default=0) + 1
        line = FreeLine(
            quote=read.quote,
            position=position,
            label=label.strip(),
            quantity=quantity,
            unit_price=unit_price,
            tax_id=tax_id,
        )
        line.full_clean()
        line.save()
        return f"added {line.label}"

    return change_quote(which, version, change)


def remove_free_line(which: Which, line_id: int, *, version: int) -> Quote:
    """Take a line out; undo brings it back."""

    def change(read: Sheet) -> str:
        line = next((line for line in read.free_lines if line.pk == line_id), None)
        if line is None:
            raise Http404
        line.delete()
        return f"removed {line.label}"

    return change_quote(which, version, change)


def set_options(which: Which, choices: Mapping[str, Choice], *, version: int) -> Quote:
    """Say what the client may switch: ``piece-<id>``, ``florals-<id>``, ``sign-<id>`` or ``line-<id>`` by name.

    What isn't named stays as it is. Raises ``Http404`` for what the quote doesn't have, :class:`CannotSketch` at
    ``options`` for more than :data:`quoting.quotes.options.MOST_OPTIONS`.
    """

    def change(read: Sheet) -> str:
        pieces = {piece.pk: piece for piece in read.pieces}
        lines = {line.pk: line for line in read.free_lines}
        for name, choice in choices.items():
            kind, _, number = name.partition("-")
            row = (lines if kind == "line" else pieces).get(int(number))
            field = {"piece": "choice", "line": "choice", "florals": "florals_choice", "sign": "sign_choice"}
            if row is None or kind not in field:
                raise Http404
            setattr(row, field[kind], Choice(choice))
        fields = ["choice", "florals_choice", "sign_choice"]
        SetPiece.objects.bulk_update(pieces.values(), fields)
        for line in lines.values():
            line.save(update_fields=["choice"])
        _refuse_too_many(read)
        return "options"

    return change_quote(which, version, change)


def work_out(piece: SetPiece, design: Design | None = None) -> None:
    """Take-off and picture of a piece at its size, after its own design or another, saved. Raises ``CannotSketch``."""
    _keep(piece, design or design_of(piece), piece.width_m, piece.height_m)


def design_of(piece: SetPiece) -> Design:
    """The design of a piece."""
    return piece.read_design()


def spares_rule(studio: Studio) -> alter.SparesRule:
    """What the studio says of spare balloons, and the bags that it buys."""
    kept = rates.rates_of(studio)
    return alter.SparesRule(
        float(kept.loss_percent) / 100, float(kept.service_percent) / 100, stock_view.latex_bags()
    )


# Private


def _refuse_too_many_pieces(read: Sheet) -> None:
    if len(read.pieces) >= MOST_PIECES:
        raise CannotSketch({"template": [f"A quote takes at most {MOST_PIECES} set pieces."]})


def _next_position(quote: Quote) -> int:
    return int(quote.pieces.aggregate(last=Max("position"))["last"] or 0) + 1


def _refuse_too_many(read: Sheet) -> None:
    choices = [
        choice for piece in read.pieces for choice in (piece.choice, piece.florals_choice, piece.sign_choice)
    ]
    marked = sum(bool(choice) for choice in [*choices, *(line.choice for line in read.free_lines)])
    if marked > MOST_OPTIONS:
        words = f"An offer takes at most {MOST_OPTIONS} options; {marked} are marked. Fix some of them."
        raise CannotSketch({"options": [words]})


def _piece(read: Sheet, piece_id: int) -> SetPiece:
    piece = next((piece for piece in read.pieces if piece.pk == piece_id), None)
    if piece is None:
        raise Http404
    return piece


def _told(work: Callable[[], Result]) -> Result:
    """Run a piece of the trade's arithmetic; its faults come out by field, in the studio's units."""
    try:
        return work()
    except DesignError as error:
        units = entered_studio().units
        raise cannot_sketch(error, units) from None


def _put(quote: Quote, design: Design, owned: alter.Owned) -> SetPiece:
    """A new piece after the last one from a design as it is drawn."""
    piece = SetPiece(quote=quote, position=_next_position(quote), name=design.name)
    _keep(piece, alter.relabelled(design, owned), *_told(lambda: alter.extent(design)))
    return piece


def _keep(piece: SetPiece, design: Design, width_m: Decimal, height_m: Decimal) -> None:
    _put_on(piece, design, width_m, height_m)
    piece.save()


def _put_on(piece: SetPiece, design: Design, width_m: Decimal, height_m: Decimal) -> None:
    """Work a design out and put it on a piece, which isn't saved."""
    result: Worked = _told(lambda: worked(design))
    piece.put_design(design, result.design)
    piece.takeoff, piece.picture = result.takeoff, result.picture
    piece.width_m, piece.height_m = width_m, height_m


def _as_near(design: Design, asked: tuple[Decimal, Decimal]) -> tuple[Design, tuple[Decimal, Decimal]]:
    """The design at the asked size, or where its shape can't make that, at the nearest that it makes."""
    try:
        return alter.scaled(design, width_m=asked[0], height_m=asked[1]), asked
    except DesignError:
        nearest = _told(lambda: alter.scaled(design, width_m=asked[0], height_m=asked[1], must=()))
        return nearest, alter.extent(nearest)


def _as_wished(design: Design, event: Event, owned: alter.Owned) -> Design:
    """The design in the colours that the client wishes, where it can be built in them."""
    wished = with_wished(design, wishes_of(event).colours, owned.colours)
    if wished == design:
        return design
    try:
        worked(wished)
    except DesignError:
        return design
    return wished


def _place(quote: Quote, template: DesignTemplate, event: Event) -> SetPiece:
    """A new piece after the last one, from the frames and colours that the studio owns."""
    owned = stock_view.owned()
    studio = entered_studio()
    spares = spares_rule(studio)
    design = _told(lambda: alter.fitting(read_design(template.design), owned, spares))
    design = site.first_placed(_as_wished(design, event, owned), event.venue, studio)
    size = _told(lambda: alter.extent(design))
    if event.width_m or event.height_m:
        design, size = _as_near(design, (event.width_m or size[0], event.height_m or size[1]))
    position = _next_position(quote)
    piece = SetPiece(quote=quote, position=position, name=template.name, drawn_from=template)
    _keep(piece, alter.relabelled(design, owned), *size)
    return piece

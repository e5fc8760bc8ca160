"""A new design on the table: empty, in the studio's colors, at the place of its event."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Final

from django.db import transaction

from events.models import Event, Venue
from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import Design
from quoting.craft.table.acts import read_act
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.starting import empty_design
from quoting.drawing_table import drafts, keeping
from quoting.drawing_table.naming import UNNAMED
from quoting.drawing_table.shelf import first_palette, read_shelf
from quoting.models import Quote, SetPiece, TableDraft
from quoting.quotes import sheet, sketch, table_drafts
from quoting.quotes.steps import refuse_closed
from quoting.set_pieces import alter, site
from studio.measures import lengths
from studio.models import Studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right
from studio.trade.errors import CraftError

LONGEST_NAME: Final = 120


def open_empty(studio: Studio, colours: str = "") -> TableDraft:
    """An empty design that belongs to no quote. ``colours``: its palette as JSON, as the design file has it, instead of
    the studio's own first colours; what is none is left out."""
    design = _empty(UNNAMED, None, studio)
    try:
        palette = read_act("palette", {"colours": json.loads(colours)}) if colours else None
        return drafts.open_new(palette.on(design, Shelf()).design if palette else design)
    except (ValueError, RecursionError, DesignError):
        return drafts.open_new(design)


def open_for_quote(quote_id: int, studio: Studio) -> TableDraft:
    """An empty design that becomes a piece of a quote: the one that was opened for it before, where that is still
    empty. 404 for another studio's; raises :class:`~quoting.quotes.steps.ClosedSketch` for an agreed one."""
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        quote = sheet.find_quote(quote_id, to_change=True)
        refuse_closed(quote)
        known = table_drafts.find_empty(quote)
        return known or drafts.open_new(_empty(quote.title, quote.event.venue, studio), quote=quote)


def start_quote(event: Event, studio: Studio) -> TableDraft:
    """A quote without a piece for an event, and an empty design that becomes its first."""
    with transaction.atomic():
        quote = sketch.start_quote(event, None)
        return open_for_quote(quote.pk, studio)


def quote_draft(draft_id: int, event: Event, studio: Studio, *, version: int) -> Quote:
    """A quote for an event with the draft's design as its piece, at the event's place.

    A draft that changes a design of the studio stays with that: the quote gets one of its own.
    """
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        draft = drafts.find_draft(draft_id, to_change=True)
        drafts.refuse_stale(draft, version)
        design = site.first_placed(keeping.drawn(draft), event.venue, studio)
        quote = sketch.start_quote(event, design)
        drawn_from = draft.template_id
        if draft.quote_id is None and drawn_from is None:
            drafts.place(draft, quote, design)
        else:
            draft = drafts.open_new(design, quote=quote)
        piece = quote.pieces.get()
        keeping.keep_as_piece(draft, piece)
        SetPiece.objects.filter(pk=piece.pk).update(drawn_from=drawn_from)
        return quote


def drawn_size(draft: TableDraft, studio: Studio) -> dict[str, str]:
    """Width and height that a draft comes out at, as the studio writes them; nothing where it can't be built."""
    try:
        width_m, height_m = alter.extent(drafts.design_of(draft))
    except CraftError:
        return {}
    return {
        "width_m": lengths.written(width_m, studio.units), "height_m": lengths.written(height_m, studio.units),
    }  # fmt: skip


# Private


def _empty(name: str, venue: Venue | None, studio: Studio) -> Design:
    spares = sketch.spares_rule(studio)
    design = empty_design(name[:LONGEST_NAME], first_palette(read_shelf().shelf))
    design = replace(design, loss=spares.loss, service=spares.service, bags=spares.bags)
    return site.first_placed(design, venue, studio)

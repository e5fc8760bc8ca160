"""The versions of a quote: made by copying, named, left out, put back, and settled when the client has picked one.

Rows of one set are locked by their ids: the lead, which was there first, before its versions.
"""

from __future__ import annotations

import enum
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import replace
from itertools import chain, count
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q, QuerySet
from django.http import Http404

from quoting.craft.change.resize import change_scaled
from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import Design
from quoting.models import FreeLine, Quote, QuoteState, SetPiece, SketchVersion, Supply, TableDraft
from quoting.quotes import sheet, sketch, snapshots
from quoting.quotes.sheet import Sheet
from quoting.quotes.steps import refuse_closed, reprice
from quoting.set_pieces.faults import CannotSketch
from studio import tenancy
from studio.models import entered_studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right

MOST: Final = 3
LONGEST_NAME: Final = 40
NAMES: Final = ("Simple", "Fuller", "Grand")
FULLER_BY: Final = 0.1
"""By how much fuller or less full a suggestion is (setting)."""
GREENER: Final = 1.25
"""How much more greenery a fuller version has (setting)."""
MOST_GREENERY: Final = 2.0


class Way(enum.StrEnum):
    """What a new version starts as."""

    SAME = "same"
    SIMPLER = "simpler"
    FULLER = "fuller"


class CannotVary(ValidationError):
    """A version that can't be made, named or left out, and why."""


def lead_id(quote: Quote) -> int:
    """The quote that lists show and offers are made of."""
    return quote.variant_of_id or quote.pk


def find_set(lead: int) -> list[Quote]:
    """The lead and its versions, left-out ones too, in the order in which they were made. One query."""
    require(Right.SEE_QUOTES)
    return list(_set(lead))


def lock_set(quote_id: int) -> list[Quote]:
    """The same of any quote of a set, locked until the transaction ends. Raises ``Http404``."""
    found = Quote.objects.filter(pk=quote_id).values_list("variant_of_id", flat=True).first()
    rows = list(_set(found or quote_id).select_for_update(of=("self",), no_key=True))
    if quote_id not in {each.pk for each in rows}:
        raise Http404
    return rows


def offered_of(rows: Sequence[Quote]) -> list[Quote]:
    """Those of a set that the client is to pick from."""
    return [each for each in rows if not each.is_left_out]


def read_set(read: Sheet) -> list[Sheet]:
    """The sheets of all versions that the client is to pick from, the lead's first; one sheet of a quote alone."""
    if read.quote.variant_of_id is None and not read.beside.has_variants:
        return [read]
    return read_offered(find_set(lead_id(read.quote)), read)


def read_offered(rows: Sequence[Quote], read: Sheet) -> list[Sheet]:
    """The sheets of those of a set that are offered, one of which is read already."""
    return [read if each.pk == read.quote.pk else _read_beside(each, read) for each in offered_of(rows)]


def beside_words(rows: Iterable[Quote], quote_id: int) -> str:
    """The other versions of a set, each with how often it was changed: whoever changes one changes this."""
    return " ".join(f"{each.pk}.{each.version}" for each in rows if each.pk != quote_id)


def find_beside(quote: Quote) -> str:
    """The same of a quote as it stands. One query."""
    return beside_words(offered_of(find_set(lead_id(quote))), quote.pk)


def add_variant(quote_id: int, *, name: str, way: Way = Way.SAME) -> Quote:
    """One more version with the pieces and lines of this one, simpler or fuller where it can be.

    A lead that had no name gets one. Raises :class:`CannotVary`, :class:`~quoting.quotes.steps.ClosedSketch`.
    """
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        rows = lock_set(quote_id)
        lead, source = rows[0], next(each for each in rows if each.pk == quote_id)
        for each in (lead, source):
            refuse_closed(each)
        if len(offered_of(rows)) >= MOST:
            raise CannotVary({"name": f"At most {MOST} versions. Leave one out first."})
        if not lead.variant_name:
            lead.variant_name = NAMES[1] if way == Way.SIMPLER else NAMES[0]
            lead.save(update_fields=["variant_name"])
        made = _copied(source, lead, _checked(name, rows, way))
        for piece in made.pieces.all():
            _suggest(piece, way)
        reprice(sheet.read_sheet(_with_event(made, lead), entered_studio(), pictures=False))
    return made


def rename(quote_id: int, name: str) -> None:
    """Call a version something else. Raises :class:`CannotVary` for no name, a long one, or another's."""
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        rows = lock_set(quote_id)
        refuse_closed(rows[0])
        if not name.strip():
            raise CannotVary({"name": "Give it a name."})
        others = [each for each in rows if each.pk != quote_id]
        Quote.objects.filter(pk=quote_id).update(variant_name=_checked(name, others, Way.SAME))


def leave_out(quote_id: int) -> Quote:
    """Take a version out of what is offered next; what was offered already stays. Gives the lead.

    Where that is the lead, the next version takes its place. Raises :class:`CannotVary` for the only one.
    """
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        rows = lock_set(quote_id)
        lead, gone = rows[0], next(each for each in rows if each.pk == quote_id)
        refuse_closed(lead)
        left = [each for each in offered_of(rows) if each.pk != quote_id]
        if not left:
            raise CannotVary("This is the only version.")
        if gone.pk == lead.pk:
            gone = left[0]
            _exchange(lead, gone)
        Quote.objects.filter(pk=gone.pk).update(state=QuoteState.SET_ASIDE)
    return lead


def put_back(quote_id: int) -> Quote:
    """Bring a version back that was left out. Raises :class:`CannotVary` where there are enough."""
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        rows = lock_set(quote_id)
        refuse_closed(rows[0])
        if len(offered_of(rows)) >= MOST:
            raise CannotVary(f"At most {MOST} versions. Leave one out first.")
        Quote.objects.filter(pk=quote_id, variant_of=rows[0]).update(state=QuoteState.SKETCH)
    return next(each for each in rows if each.pk == quote_id)


def settle(lead: Quote, picked: int) -> None:
    """The client picked this version of a set: the lead takes over what it quotes, the others are set aside.

    In the transaction of the agreement. A version that isn't there any more leaves the lead as it is.
    """
    require(Right.ANSWER_OFFER)
    rows = lock_set(lead.pk)
    for each in rows:
        if each.pk == picked != lead.pk:
            _exchange(rows[0], each)
    Quote.objects.filter(variant_of=lead).update(state=QuoteState.SET_ASIDE)


# Private


def _set(lead: int) -> QuerySet[Quote]:
    return (
        Quote.objects.select_related("event__client", "event__venue", "changed_by")
        .filter(Q(pk=lead) | Q(variant_of=lead))
        .order_by("pk")
    )


def _read_beside(quote: Quote, read: Sheet) -> Sheet:
    quote.event, quote.studio = read.quote.event, read.studio
    return sheet.read_sheet(quote, read.studio, pictures=False)


def _with_event(quote: Quote, other: Quote) -> Quote:
    quote.event, quote.studio = other.event, entered_studio()
    return quote


def _checked(name: str, others: Sequence[Quote], way: Way) -> str:
    """A name that no other version has; without one, the next of the usual ones."""
    taken = {each.variant_name.casefold() for each in others}
    name = " ".join(name.split()) or _usual_name(taken, way)
    if len(name) > LONGEST_NAME:
        raise CannotVary({"name": f"A name has at most {LONGEST_NAME} characters."})
    if name.casefold() in taken:
        raise CannotVary({"name": f"Another version is called {name}."})
    return name


def _usual_name(taken: Collection[str], way: Way) -> str:
    """The next of the usual names; with the first is meant what is simpler than the rest."""
    numbered = (f"Version {number}" for number in count(len(NAMES) + 1))
    names = NAMES if way == Way.SIMPLER else (*NAMES[1:], NAMES[0])
    return next(each for each in chain(names, numbered) if each.casefold() not in taken)


def _copied(source: Quote, lead: Quote, name: str) -> Quote:
    """A quote with all that another one quotes."""
    made = Quote(
        event_id=lead.event_id, variant_of=lead, variant_name=name, changed_by_id=tenancy.current().person_id
    )
    for field in snapshots.fields_of(Quote):
        setattr(made, field.attname, getattr(source, field.attname))
    made.save()
    rows: list[SetPiece | FreeLine | Supply] = [
        *source.pieces.order_by("position"), *source.free_lines.order_by("position", "pk"), *source.supplies.all(),
    ]  # fmt: skip
    for row in rows:
        row.pk, row.quote = None, made
        row.save()
    return made


def _suggest(piece: SetPiece, way: Way) -> None:
    """Make a piece simpler or fuller, one change after the other; what can't be stays as it is."""
    changes: dict[Way, tuple[Callable[[SetPiece, Design], Design], ...]] = {
        Way.SAME: (), Way.SIMPLER: (_less_full, _without_florals), Way.FULLER: (_fuller, _greener),
    }  # fmt: skip
    for change in changes[way]:
        try:
            with transaction.atomic():
                design = sketch.design_of(piece)
                wished = change(piece, design)
                if wished != design:
                    sketch.work_out(piece, wished)
        except (DesignError, CannotSketch):
            continue


def _at_fullness(design: Design, fullness: float) -> Design:
    def change(one: Design) -> Design:
        garlands = tuple(
            replace(each, fullness=fullness) if each.work == "organic" else each for each in one.garlands
        )
        return replace(one, garlands=garlands)

    return change_scaled(design, change) if _organic(design) else design


def _organic(design: Design) -> list[float]:
    return [each.fullness for each in design.garlands if each.work == "organic"]


def _less_full(piece: SetPiece, design: Design) -> Design:
    full = _organic(design)
    return _at_fullness(design, max(0.0, round(full[0] - FULLER_BY, 2))) if full else design


def _fuller(piece: SetPiece, design: Design) -> Design:
    full = _organic(design)
    highest = piece.takeoff.highest_fullness
    if not full or highest is None:
        return design
    return _at_fullness(design, max(full[0], min(round(full[0] + FULLER_BY, 2), int(highest * 100) / 100)))


def _without_florals(_piece: SetPiece, design: Design) -> Design:
    return change_scaled(design, lambda one: replace(one, florals=(), sprays=()))


def _greener(_piece: SetPiece, design: Design) -> Design:
    def change(one: Design) -> Design:
        florals = tuple(
            replace(each, share=round(min(MOST_GREENERY, each.share * GREENER), 2))
            if each.kind == "greenery"
            else each
            for each in one.florals
        )
        return replace(one, florals=florals)

    return change_scaled(design, change)


def _exchange(lead: Quote, other: Quote) -> None:
    """Let two quotes of one set change places: each has what the other one quoted, and its name.

    Their earlier sketches go: undo would bring pieces back that are the other's now.
    """
    SketchVersion.objects.filter(quote__in=[lead.pk, other.pk]).delete()
    for model in (SetPiece, FreeLine, TableDraft):
        mine, theirs = (
            list(model.objects.filter(quote=each).values_list("pk", flat=True)) for each in (lead, other)
        )
        model.objects.filter(pk__in=mine).update(quote=other)
        model.objects.filter(pk__in=theirs).update(quote=lead)
    _exchange_supplies(lead, other)
    names = [field.attname for field in snapshots.fields_of(Quote)]
    for name in [*names, "variant_name", "priced_net", "priced_total"]:
        mine, theirs = getattr(lead, name), getattr(other, name)
        setattr(lead, name, theirs)
        setattr(other, name, mine)
    for each in (lead, other):
        each.version += 1
        each.save(update_fields=[*names, "variant_name", "priced_net", "priced_total", "version"])


def _exchange_supplies(lead: Quote, other: Quote) -> None:
    """One row a code and quote: both go before either comes."""
    rows = {each.pk: list(each.supplies.all()) for each in (lead, other)}
    Supply.objects.filter(quote__in=[lead.pk, other.pk]).delete()
    for quote, from_other in ((lead, other), (other, lead)):
        for row in rows[from_other.pk]:
            row.pk, row.quote = None, quote
            row.save()

"""Designs on the drawing table: opened, changed by acts, undone and done again. Every change is one transaction.

Whoever changes a draft says which version they saw; if somebody else was faster the change is refused
(:class:`StaleDraft`) and nothing is overwritten.

Locks are taken in one order everywhere: quote or design, then set piece, then draft.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Final, TypeAlias

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.http import Http404
from django.utils import timezone

from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.design.records import Design
from quoting.models import DesignTemplate, Quote, SetPiece, TableDraft, TableStep
from quoting.quotes import sheet
from quoting.quotes.steps import refuse_closed
from studio import tenancy
from studio.tenancy.access import require
from studio.tenancy.rights import Right

Change: TypeAlias = Callable[[Design], "tuple[Design, str]"]
"""Gives the design after an act, and in words what that did."""
UNDO_STEPS: Final = 200
"""Steps kept of one draft at least; older ones are let go, some at a time."""
LET_GO_EVERY: Final = 20
SENT_AGAIN: Final = 20
"""How many steps back an act is looked for that is sent again, because its answer got lost."""
MOST_LISTED: Final = 6
KEPT_WHEN_THROWN: Final = timedelta(days=30)
LONGEST_WORDS: Final = 160
OPENED: Final = "opened"


class StaleDraft(ValidationError):
    """Somebody changed the draft since it was read; ``draft`` is how it stands now."""

    def __init__(self, draft: TableDraft, what: str) -> None:
        who = str(draft.changed_by) if draft.changed_by else "Somebody"
        if draft.changed_by_id == tenancy.current().person_id:
            who = "You, in another window,"
        super().__init__(
            f"{who} changed this design in the meantime: {what}. Your change is not made yet. "
            "Check the picture, then make it again."
        )
        self.draft = draft


def open_new(design: Design, *, quote: Quote | None = None) -> TableDraft:
    """A draft that begins with this design; for a quote it becomes a piece of that."""
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        return _opened(TableDraft(name=design.name, quote=quote), design)


def open_piece(quote_id: int, piece_id: int) -> TableDraft:
    """The draft that changes a set piece, with every step that it ever took; 404 for another studio's.

    Where the piece was changed on its quote since, that is a step of the draft as well. Raises
    :class:`~quoting.quotes.steps.ClosedSketch` for an agreed quote.
    """
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        quote = sheet.find_quote(quote_id, to_change=True)
        piece = quote.pieces.select_for_update(of=("self",)).filter(pk=piece_id).first()
        if piece is None:
            raise Http404
        refuse_closed(quote)
        known = TableDraft.objects.select_for_update().filter(piece_was=piece.pk).first()
        if known is None:
            draft = TableDraft(name=piece.name, quote=quote)
            belongs_to_piece(draft, piece)
            return _opened(draft, design_in(piece), is_kept=True)
        seen = known.seen
        belongs_to_piece(known, piece)
        return _followed(known, seen, design_in(piece), "changed on the quote")


def open_template(template_id: int) -> TableDraft:
    """The draft that changes a design of the studio; 404 for another studio's."""
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        templates = DesignTemplate.objects.select_for_update().filter(retired_at=None)
        template = templates.filter(pk=template_id).first()
        if template is None:
            raise Http404
        known = TableDraft.objects.select_for_update().filter(template=template).first()
        design = read_design(template.design)
        if known is None:
            draft = TableDraft(name=template.name, template=template, seen=digest(template.design))
            return _opened(draft, design, is_kept=True)
        seen, known.seen = known.seen, digest(template.design)
        return _followed(known, seen, design, "changed on its page")


def find_draft(draft_id: int, *, to_change: bool = False) -> TableDraft:
    """A draft of this studio; 404 for any other. ``to_change`` locks it until the transaction ends.

    Whoever is going to change its quote or its design as well locks that first.
    """
    require(Right.EDIT_QUOTES)
    drafts = TableDraft.objects.select_related("changed_by", "quote__event__venue", "piece", "template")
    drafts = drafts.filter(pk=draft_id)
    found = (drafts.select_for_update(of=("self",)) if to_change else drafts).first()
    if found is None:
        raise Http404
    return _with_its_piece(found)


def design_of(draft: TableDraft) -> Design:
    """The design at the draft's present step. One query."""
    return read_design(present_step(draft).design, may_be_empty=True)


def present_step(draft: TableDraft) -> TableStep:
    """The step at which the draft stands. One query."""
    return draft.steps.get(number=draft.at)


def act(draft_id: int, change: Change, *, version: int, key: str = "") -> TableDraft:
    """Make one act: ``change`` gives the new design and says in words what it did.

    An act of the same ``key`` as one of the last steps was made already: an answer that got lost is asked for again.
    Raises :class:`StaleDraft`, and what ``change`` raises.
    """
    with transaction.atomic():
        draft = find_draft(draft_id, to_change=True)
        present = present_step(draft)
        if key and (present.key == key or (draft.version != version and _was_made(draft, key))):
            return draft
        refuse_stale(draft, version)
        before = read_design(present.design, may_be_empty=True)
        after, what = change(before)
        if after == before:
            return draft
        return _step(draft, after, what, key)


def undo(draft_id: int, *, version: int, key: str = "") -> TableDraft:
    """Go back by one step; once, however often the same ``key`` is sent."""
    return _go(draft_id, version, key, by=-1, none="There is nothing to undo.")


def redo(draft_id: int, *, version: int, key: str = "") -> TableDraft:
    """Go forward again by one step that was undone; once, however often the same ``key`` is sent."""
    return _go(draft_id, version, key, by=1, none="There is nothing to redo.")


def neighbours(draft: TableDraft) -> tuple[str, str]:
    """In words what undo takes back and what redo makes again; empty where there is nothing. One query."""
    found = dict(
        draft.steps.filter(number__in=(draft.at - 1, draft.at, draft.at + 1)).values_list("number", "what")
    )
    return (found[draft.at] if draft.at - 1 in found else ""), found.get(draft.at + 1, "")


def loose_drafts() -> list[TableDraft]:
    """Drafts with something drawn that belong to no quote and to no design in use, the last changed first. One
    query."""
    require(Right.EDIT_QUOTES)
    of_none = Q(template=None) | Q(template__retired_at__isnull=False)
    drafts = TableDraft.objects.filter(of_none, quote=None, at__gt=0, thrown_at=None)
    drafts = drafts.select_related("changed_by")
    return list(drafts[:MOST_LISTED])


def throw_away(draft_id: int) -> TableDraft:
    """Delete a draft; designs and quotes made from it stay. For some days it can be brought back."""
    with transaction.atomic():
        draft, now = find_draft(draft_id, to_change=True), timezone.now()
        draft.thrown_at = now
        draft.save(update_fields=["thrown_at"])
        TableDraft.objects.filter(thrown_at__lt=now - KEPT_WHEN_THROWN).delete()
    return draft


def bring_back(draft_id: int) -> TableDraft:
    """List a deleted draft again."""
    with transaction.atomic():
        draft = find_draft(draft_id, to_change=True)
        draft.thrown_at = None
        draft.save(update_fields=["thrown_at"])
    return draft


def place(draft: TableDraft, quote: Quote, design: Design) -> TableDraft:
    """Make a draft that belongs to no quote one of this quote, at its event's place. The draft is locked."""
    draft.quote = quote
    return _step(draft, design, "put into a quote", "")


def belongs_to_piece(draft: TableDraft, piece: SetPiece) -> None:
    """Say which piece a draft changes, and how that stands; the draft isn't saved."""
    draft.piece, draft.piece_was, draft.seen = piece, piece.pk, digest(write_design(design_in(piece)))


def design_in(piece: SetPiece) -> Design:
    """The design of a piece, under the name that the piece has on its quote."""
    return replace(piece.read_design(), name=piece.name)


def is_kept(draft: TableDraft, step: TableStep) -> bool:
    """Whether the quote's piece or the studio's design is as the draft was drawn at a step."""
    has_home = draft.piece_id or draft.template_id
    return bool(has_home) and draft.kept in ("", digest(step.design))


def digest(document: object) -> str:
    """What tells one design document from another."""
    return hashlib.sha256(json.dumps(document, sort_keys=True).encode()).hexdigest()


def refuse_stale(draft: TableDraft, version: int) -> None:
    """Raise :class:`StaleDraft` where somebody changed the draft since that version. One query if so."""
    if draft.version != version:
        raise StaleDraft(draft, present_step(draft).what)


# Private


def _with_its_piece(draft: TableDraft) -> TableDraft:
    """The draft with its piece again where that was taken out and undo of the quote brought it back. One query where
    it was taken out."""
    if draft.quote is not None and draft.piece is None and draft.piece_was is not None:
        draft.piece = draft.quote.pieces.filter(pk=draft.piece_was).first()
    return draft


def _was_made(draft: TableDraft, key: str) -> bool:
    """Whether an act is among the last steps, or was undone since. One query."""
    return draft.steps.filter(number__gt=draft.at - SENT_AGAIN, key=key).exists()


def _followed(draft: TableDraft, seen: str, design: Design, what: str) -> TableDraft:
    """The draft with what was changed elsewhere as one more step; as it is where nothing was since ``seen``."""
    if draft.seen == seen:
        draft.thrown_at = None
        draft.save(update_fields=["piece", "thrown_at"])
        return draft
    draft.kept = digest(write_design(design))
    return _step(draft, design, what, "")


def _opened(draft: TableDraft, design: Design, *, is_kept: bool = False) -> TableDraft:
    draft.changed_by_id = tenancy.current().person_id
    draft.kept = digest(write_design(design)) if is_kept else ""
    draft.full_clean(exclude=["studio", "quote", "piece", "template", "changed_by"], validate_unique=False)
    draft.save()
    _write_step(draft, design, OPENED, "")
    return draft


def _step(draft: TableDraft, design: Design, what: str, key: str) -> TableDraft:
    draft.steps.filter(number__gt=draft.at).delete()
    draft.at += 1
    _write_step(draft, design, what, key)
    if draft.at % LET_GO_EVERY == 0:
        draft.steps.filter(number__lt=draft.at - UNDO_STEPS).delete()
    draft.name = design.name
    return _count_change(draft)


def _write_step(draft: TableDraft, design: Design, what: str, key: str) -> None:
    TableStep.objects.create(
        draft=draft,
        number=draft.at,
        what=what[:LONGEST_WORDS],
        key=key,
        design=write_design(design),
        made_by_id=tenancy.current().person_id,
    )


def _go(draft_id: int, version: int, key: str, *, by: int, none: str) -> TableDraft:
    with transaction.atomic():
        draft = find_draft(draft_id, to_change=True)
        if key and draft.went == key:
            return draft
        refuse_stale(draft, version)
        goal = draft.steps.filter(number=draft.at + by).first()
        if goal is None:
            raise ValidationError(none)
        draft.at, draft.name = goal.number, read_design(goal.design, may_be_empty=True).name
        draft.went = key
        return _count_change(draft)


def _count_change(draft: TableDraft) -> TableDraft:
    draft.version += 1
    draft.thrown_at = None
    draft.changed_by_id = tenancy.current().person_id
    draft.save()
    return draft

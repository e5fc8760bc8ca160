"""Designs on the drawing table: opened, changed by acts, undone and done again. Every change is one transaction.

Whoever changes a draft says which version they saw; if somebody else was faster the change is refused
(:class:`StaleDraft`) and nothing is overwritten.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from typing import Final, TypeAlias

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404

from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.design.records import Design
from quoting.models import DesignTemplate, Quote, SetPiece, TableDraft, TableStep
from studio import tenancy
from studio.tenancy.access import require
from studio.tenancy.rights import Right

Change: TypeAlias = Callable[[Design], "tuple[Design, str]"]
"""Gives the design after an act, and in words what that did."""
UNDO_STEPS: Final = 200
"""Steps kept of one draft at least; older ones are let go, some at a time."""
LET_GO_EVERY: Final = 20
MOST_LISTED: Final = 6
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

    Where the piece was changed on its quote since, that is a step of the draft as well.
    """
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        pieces = SetPiece.objects.select_for_update(of=("self",)).select_related("quote")
        piece = pieces.filter(pk=piece_id, quote_id=quote_id).first()
        if piece is None:
            raise Http404
        known = TableDraft.objects.select_for_update().filter(piece=piece).first()
        if known is None:
            draft = TableDraft(name=piece.name, quote=piece.quote, piece=piece, seen=digest(piece.design))
            return _opened(draft, piece.read_design())
        return _followed(known, piece.design, "changed on the quote")


def open_template(template_id: int) -> TableDraft:
    """The draft that changes a design of the studio; 404 for another studio's."""
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        templates = DesignTemplate.objects.select_for_update().filter(retired_at=None)
        template = templates.filter(pk=template_id).first()
        if template is None:
            raise Http404
        known = TableDraft.objects.select_for_update().filter(template=template).first()
        if known is None:
            draft = TableDraft(name=template.name, template=template, seen=digest(template.design))
            return _opened(draft, read_design(template.design))
        return _followed(known, template.design, "changed on its page")


def find_draft(draft_id: int, *, to_change: bool = False) -> TableDraft:
    """A draft of this studio; 404 for any other. ``to_change`` locks it until the transaction ends."""
    require(Right.EDIT_QUOTES)
    drafts = TableDraft.objects.select_related("changed_by", "quote__event__venue", "piece", "template")
    drafts = drafts.filter(pk=draft_id)
    found = (drafts.select_for_update(of=("self",)) if to_change else drafts).first()
    if found is None:
        raise Http404
    return found


def design_of(draft: TableDraft) -> Design:
    """The design at the draft's present step. One query."""
    return read_design(present_step(draft).design, may_be_empty=True)


def present_step(draft: TableDraft) -> TableStep:
    """The step at which the draft stands. One query."""
    return draft.steps.get(number=draft.at)


def act(draft_id: int, change: Change, *, version: int, key: str = "") -> TableDraft:
    """Make one act: ``change`` gives the new design and says in words what it did.

    An act of the same ``key`` as the present step was made already: an answer that got lost is asked for again.
    Raises :class:`StaleDraft`, and what ``change`` raises.
    """
    with transaction.atomic():
        draft = find_draft(draft_id, to_change=True)
        present = present_step(draft)
        if key and present.key == key:
            return draft
        _refuse_stale(draft, version, present.what)
        before = read_design(present.design, may_be_empty=True)
        after, what = change(before)
        if after == before:
            return draft
        return _step(draft, after, what, key)


def undo(draft_id: int, *, version: int) -> TableDraft:
    """Go back by one step."""
    return _go(draft_id, version, by=-1, none="There is nothing to undo.")


def redo(draft_id: int, *, version: int) -> TableDraft:
    """Go forward again by one step that was undone."""
    return _go(draft_id, version, by=1, none="There is nothing to redo.")


def neighbours(draft: TableDraft) -> tuple[str, str]:
    """In words what undo takes back and what redo makes again; empty where there is nothing. One query."""
    found = dict(
        draft.steps.filter(number__in=(draft.at - 1, draft.at, draft.at + 1)).values_list("number", "what")
    )
    return (found[draft.at] if draft.at - 1 in found else ""), found.get(draft.at + 1, "")


def loose_drafts() -> list[TableDraft]:
    """Drafts with something drawn that belong to no quote and no design yet, the last changed first. One query."""
    require(Right.EDIT_QUOTES)
    drafts = TableDraft.objects.filter(quote=None, template=None, at__gt=0).select_related("changed_by")
    return list(drafts[:MOST_LISTED])


def throw_away(draft_id: int) -> str:
    """Delete a draft with its steps; designs and quotes made from it stay. Gives its name."""
    with transaction.atomic():
        draft = find_draft(draft_id, to_change=True)
        draft.delete()
    return draft.name


def place(draft: TableDraft, quote: Quote, design: Design) -> TableDraft:
    """Make a draft that belongs to no quote one of this quote, at its event's place. The draft is locked."""
    draft.quote = quote
    return _step(draft, design, "put into a quote", "")


def digest(document: object) -> str:
    """What tells one design document from another."""
    return hashlib.sha256(json.dumps(document, sort_keys=True).encode()).hexdigest()


# Private


def _followed(draft: TableDraft, document: object, what: str) -> TableDraft:
    """The draft with what was changed elsewhere as one more step; as it is where nothing was."""
    now = digest(document)
    if draft.seen == now:
        return draft
    draft.seen = now
    return _step(draft, read_design(document), what, "")


def _opened(draft: TableDraft, design: Design) -> TableDraft:
    draft.changed_by_id = tenancy.current().person_id
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


def _go(draft_id: int, version: int, *, by: int, none: str) -> TableDraft:
    with transaction.atomic():
        draft = find_draft(draft_id, to_change=True)
        _refuse_stale(draft, version, present_step(draft).what)
        goal = draft.steps.filter(number=draft.at + by).first()
        if goal is None:
            raise ValidationError(none)
        draft.at, draft.name = goal.number, read_design(goal.design, may_be_empty=True).name
        return _count_change(draft)


def _count_change(draft: TableDraft) -> TableDraft:
    draft.version += 1
    draft.changed_by_id = tenancy.current().person_id
    draft.save()
    return draft


def _refuse_stale(draft: TableDraft, version: int, what: str) -> None:
    if draft.version != version:
        raise StaleDraft(draft, what)

"""What was drawn goes out of the drawing table: into a quote as one undoable change, or among the studio's designs."""

from __future__ import annotations

from dataclasses import replace

from django.core.exceptions import ValidationError
from django.db import transaction

from quoting.craft.design.design_file import write_design
from quoting.craft.design.records import Design, Site
from quoting.craft.table.things import all_things
from quoting.design_library import library
from quoting.drawing_table import drafts
from quoting.models import DesignTemplate, SetPiece, TableDraft
from quoting.quotes import sheet, sketch
from quoting.quotes.sheet import Sheet
from studio.models import Studio, entered_studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right

NOTHING_DRAWN = "Nothing is drawn yet. Add a frame, a garland or another thing first."
RETIRED = "This design was retired. Save it under a new name."


class ChangedElsewhere(ValidationError):
    """The piece or the design was changed since the draft knew it: putting the draft in would take that back."""


def put_into_quote(draft_id: int, *, version: int, anyway: bool = False) -> SetPiece:
    """The draft's design as a piece of its quote: in the place of the piece that it changes, or as a new one.

    One step of the quote, undone like any other. Raises :class:`~quoting.drawing_table.drafts.StaleDraft`,
    :class:`ChangedElsewhere` unless ``anyway``, and what a change of a quote raises.
    """
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        quote_id = drafts.find_draft(draft_id).quote_id
        if quote_id is None:
            raise ValidationError("This design belongs to no quote.")
        read = sheet.lock_sheet(quote_id, entered_studio())
        draft = drafts.find_draft(draft_id, to_change=True)
        drafts.refuse_stale(draft, version)
        design = drawn(draft)
        piece = _replaced(draft, read, design, anyway=anyway) or sketch.add_design(
            read, design, version=read.quote.version
        )
        keep_as_piece(draft, piece)
        return piece


def keep_as_piece(draft: TableDraft, piece: SetPiece) -> None:
    """The draft changes this piece of its quote from now on, which is as it is drawn."""
    drafts.belongs_to_piece(draft, piece)
    draft.kept = _digest_now(draft)
    draft.save(update_fields=["piece", "piece_was", "seen", "kept"])


def keep_as_design(draft_id: int, name: str, studio: Studio) -> DesignTemplate:
    """The draft as a new design of the studio's own, without the place that it was drawn for.

    Raises ``ValidationError`` at ``name`` where that is taken or none. A draft of no quote belongs to the new design
    from then on, unless it changes another one that is in use.
    """
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        draft = drafts.find_draft(draft_id, to_change=True)
        design = replace(drawn(draft), name=library.clean_name(name), site=Site())
        made = library.keep_design(design, studio)
        if draft.quote_id is None and (draft.template is None or draft.template.retired_at is not None):
            _belongs_to(draft, made)
        return made


def save_design(draft_id: int, studio: Studio, *, version: int, anyway: bool = False) -> DesignTemplate:
    """The design that the draft changes, as it is drawn now. Quotes that use it stay as they are.

    Raises as :func:`put_into_quote` does.
    """
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        template = _locked_template(drafts.find_draft(draft_id).template_id)
        draft = drafts.find_draft(draft_id, to_change=True)
        drafts.refuse_stale(draft, version)
        if not anyway and drafts.digest(template.design) != draft.seen:
            raise ChangedElsewhere("Somebody changed this design in the meantime.")
        made = library.redraw(template.pk, replace(drawn(draft), site=Site()), studio)
        _belongs_to(draft, made)
        return made


def drawn(draft: TableDraft) -> Design:
    """The draft's design, which has something in it. Raises ``ValidationError``."""
    design = drafts.design_of(draft)
    if is_empty(design):
        raise ValidationError(NOTHING_DRAWN)
    return design


def is_empty(design: Design) -> bool:
    """Whether nothing stands or hangs in the design yet."""
    return not all_things(design)


# Private


def _locked_template(template_id: int | None) -> DesignTemplate:
    """The design that a draft changes, kept from others until the transaction ends."""
    if template_id is None:
        raise ValidationError("This design was not saved yet. Save it under a name first.")
    template = DesignTemplate.objects.select_for_update().get(pk=template_id)
    if template.retired_at is not None:
        raise ValidationError(RETIRED)
    return template


def _replaced(draft: TableDraft, read: Sheet, design: Design, *, anyway: bool) -> SetPiece | None:
    """The piece with the draft's design; None where the quote has no such piece (any more)."""
    piece = next((piece for piece in read.pieces if piece.pk == draft.piece_was), None)
    if piece is None:
        return None
    if not anyway and drafts.digest(write_design(drafts.design_in(piece))) != draft.seen:
        who = read.quote.changed_by or "Somebody"
        raise ChangedElsewhere(f"{who} changed this piece on the quote in the meantime.")
    what = f"drew {piece.name} on the table"
    sketch.redraw(read, piece.pk, design, what=what, version=read.quote.version, name=design.name)
    return piece


def _belongs_to(draft: TableDraft, template: DesignTemplate) -> None:
    draft.template, draft.seen = template, drafts.digest(template.design)
    draft.kept = _digest_now(draft)
    draft.save(update_fields=["template", "seen", "kept"])


def _digest_now(draft: TableDraft) -> str:
    return drafts.digest(drafts.present_step(draft).design)

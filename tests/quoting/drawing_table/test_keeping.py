"""What was drawn goes into a quote as one undoable change, or among the designs."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from quoting.craft.design.records import Design
from quoting.craft.table.acts import apply, read_act
from quoting.drawing_table import drafts, keeping, opening
from quoting.drawing_table.shelf import read_shelf
from quoting.models import DesignTemplate, Quote, QuoteState, TableDraft
from quoting.quotes import sketch
from quoting.quotes.steps import ClosedSketch
from tests.people import House
from tests.quoting import scenes


def put(draft: TableDraft, name: str = "put-frame", **fields: object) -> TableDraft:
    """One act on a draft: an arch of seven feet, unless told otherwise."""
    shelf = read_shelf().shelf
    act = read_act(name, fields or {"item": "frame-arch-7ft"})

    def change(design: Design) -> tuple[Design, str]:
        return apply(design, act, shelf).design, name

    return drafts.act(draft.pk, change, version=TableDraft.objects.get(pk=draft.pk).version)


@pytest.fixture
def quoted(wickerlark: House) -> Quote:
    with wickerlark.enter():
        return scenes.quote(wickerlark)


def test_a_new_design_becomes_one_more_piece_and_undo_takes_it_out(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        draft = put(opening.open_for_quote(quoted.pk, wickerlark.studio))
        before = Quote.objects.get(pk=quoted.pk)
        piece = keeping.put_into_quote(draft.pk)
        after = Quote.objects.get(pk=quoted.pk)
        assert [one.pk for one in after.pieces.all()][1:] == [piece.pk]
        assert after.version == before.version + 1
        assert after.priced_total is not None
        assert before.priced_total is not None
        assert after.priced_total > before.priced_total
        sketch.undo(quoted.pk, version=after.version)
        assert Quote.objects.get(pk=quoted.pk).pieces.count() == 1
        assert TableDraft.objects.get(pk=draft.pk).piece_id is None, "the draft outlives its piece"


def test_a_piece_that_was_drawn_over_is_replaced_in_one_step(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        piece = quoted.pieces.get()
        draft = drafts.open_piece(quoted.pk, piece.pk)
        put(draft, "put-round", size_in=24, x_m=0.5, y_m=2.0)
        assert keeping.put_into_quote(draft.pk).pk == piece.pk
        now = quoted.pieces.get()
        assert len(now.read_design().rounds) == 1
        assert any(line.code.startswith("latex-24-") for line in now.takeoff.bill)
        sketch.undo(quoted.pk, version=Quote.objects.get(pk=quoted.pk).version)
        assert quoted.pieces.get().read_design().rounds == ()


def test_what_was_changed_on_the_quote_meanwhile_is_not_overwritten_unasked(
    wickerlark: House, quoted: Quote
) -> None:
    with wickerlark.enter("staff"):
        piece = quoted.pieces.get()
        draft = drafts.open_piece(quoted.pk, piece.pk)
        put(draft, "put-round", size_in=24, x_m=0.5, y_m=2.0)
        sketch.alter_piece(quoted.pk, piece.pk, {"fullness": 0.85}, version=quoted.version)
        with pytest.raises(keeping.ChangedElsewhere, match="changed this piece on the quote"):
            keeping.put_into_quote(draft.pk)
        assert quoted.pieces.get().read_design().garlands[0].fullness == 0.85
        keeping.put_into_quote(draft.pk, anyway=True)
        assert len(quoted.pieces.get().read_design().rounds) == 1


def test_an_agreed_quote_takes_nothing(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        draft = put(opening.open_for_quote(quoted.pk, wickerlark.studio))
        scenes.set_state(quoted, QuoteState.AGREED)
        with pytest.raises(ClosedSketch):
            keeping.put_into_quote(draft.pk)
        assert quoted.pieces.count() == 1


def test_an_empty_table_goes_nowhere(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        draft = opening.open_for_quote(quoted.pk, wickerlark.studio)
        for go in (
            lambda: keeping.put_into_quote(draft.pk),
            lambda: keeping.keep_as_design(draft.pk, "Six", wickerlark.studio),
        ):
            with pytest.raises(ValidationError, match="Nothing is drawn yet"):
                go()


def test_a_draft_is_kept_as_a_design_and_saved_into_it_again(wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.stocked()
        draft = put(opening.open_empty(wickerlark.studio))
        made = keeping.keep_as_design(draft.pk, "  Bare   arch ", wickerlark.studio)
        assert (made.name, made.is_starter) == ("Bare arch", False)
        put(draft, item="frame-arch-6ft", x_m=1.5)
        saved = keeping.save_design(draft.pk, wickerlark.studio)
        assert saved.pk == made.pk
        assert len(DesignTemplate.objects.get(pk=made.pk).design["frames"]) == 2
        assert drafts.open_template(made.pk).pk == draft.pk, "and it is the same draft that opens again"


def test_a_name_that_is_taken_is_refused_at_the_name(wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.stocked()
        taken = scenes.starter(wickerlark.studio)
        draft = put(opening.open_empty(wickerlark.studio))
        with pytest.raises(ValidationError) as refusal:
            keeping.keep_as_design(draft.pk, taken.name.upper(), wickerlark.studio)
        assert "name" in refusal.value.message_dict


def test_a_draft_is_quoted_for_an_event_with_its_site(wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.stocked()
        draft = put(opening.open_empty(wickerlark.studio))
        event = scenes.event()
        assert event.venue is not None
        event.venue.ceiling_m = Decimal("2.9")
        event.venue.save()
        quote = opening.quote_draft(draft.pk, event, wickerlark.studio)
        piece = quote.pieces.get()
        assert piece.read_design().site.ceiling_m == 2.9
        assert TableDraft.objects.get(pk=draft.pk).piece_id == piece.pk


def test_a_design_s_own_draft_stays_with_it_when_it_is_quoted(wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.stocked()
        template = scenes.starter(wickerlark.studio)
        draft = drafts.open_template(template.pk)
        quote = opening.quote_draft(draft.pk, scenes.event(), wickerlark.studio)
        assert quote.pieces.count() == 1
        assert TableDraft.objects.get(pk=draft.pk).quote_id is None

"""What was drawn goes into a quote as one undoable change, or among the designs."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from quoting.craft.design.design_file import read_design
from quoting.craft.design.records import Design
from quoting.craft.table.acts import apply, read_act
from quoting.design_library import library
from quoting.drawing_table import drafts, keeping, opening
from quoting.drawing_table.shelf import read_shelf
from quoting.models import DesignTemplate, Quote, QuoteState, SetPiece, TableDraft
from quoting.quotes import sketch, table_drafts
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


def now(draft: TableDraft) -> int:
    """The version that a page opened now shows."""
    return TableDraft.objects.get(pk=draft.pk).version


def put_in(draft: TableDraft, *, anyway: bool = False) -> SetPiece:
    return keeping.put_into_quote(draft.pk, version=now(draft), anyway=anyway)


def save(draft: TableDraft, house: House, *, anyway: bool = False) -> DesignTemplate:
    return keeping.save_design(draft.pk, house.studio, version=now(draft), anyway=anyway)


@pytest.fixture
def quoted(wickerlark: House) -> Quote:
    with wickerlark.enter():
        return scenes.quote(wickerlark)


def test_a_new_design_becomes_one_more_piece_and_undo_takes_it_out(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        draft = put(opening.open_for_quote(quoted.pk, wickerlark.studio))
        before = Quote.objects.get(pk=quoted.pk)
        piece = put_in(draft)
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
        assert put_in(draft).pk == piece.pk
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
            put_in(draft)
        assert quoted.pieces.get().read_design().garlands[0].fullness == 0.85
        put_in(draft, anyway=True)
        assert len(quoted.pieces.get().read_design().rounds) == 1


def test_an_agreed_quote_takes_nothing(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        draft = put(opening.open_for_quote(quoted.pk, wickerlark.studio))
        scenes.set_state(quoted, QuoteState.AGREED)
        with pytest.raises(ClosedSketch):
            put_in(draft)
        assert quoted.pieces.count() == 1


def test_an_empty_table_goes_nowhere(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        draft = opening.open_for_quote(quoted.pk, wickerlark.studio)
        for go in (
            lambda: put_in(draft),
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
        saved = save(draft, wickerlark)
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
        quote = opening.quote_draft(draft.pk, event, wickerlark.studio, version=now(draft))
        piece = quote.pieces.get()
        assert piece.read_design().site.ceiling_m == 2.9
        assert TableDraft.objects.get(pk=draft.pk).piece_id == piece.pk


def test_a_design_s_own_draft_stays_with_it_when_it_is_quoted(wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.stocked()
        template = scenes.starter(wickerlark.studio)
        draft = drafts.open_template(template.pk)
        quote = opening.quote_draft(draft.pk, scenes.event(), wickerlark.studio, version=now(draft))
        assert quote.pieces.count() == 1
        assert TableDraft.objects.get(pk=draft.pk).quote_id is None


def test_a_design_that_somebody_changed_meanwhile_is_not_overwritten_unasked(wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.stocked()
        template = scenes.starter(wickerlark.studio)
        draft = put(drafts.open_template(template.pk), "put-round", size_in=24, x_m=0.5, y_m=2.0)
        theirs = replace(read_design(template.design), name="Theirs")
        library.redraw(template.pk, theirs, wickerlark.studio)
        with pytest.raises(keeping.ChangedElsewhere, match="changed this design"):
            save(draft, wickerlark)
        assert DesignTemplate.objects.get(pk=template.pk).name == "Theirs"
        save(draft, wickerlark, anyway=True)
        assert len(DesignTemplate.objects.get(pk=template.pk).design["rounds"]) == 1
        save(draft, wickerlark)


def test_a_piece_that_undo_brought_back_is_replaced_and_stands_once(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        piece = quoted.pieces.get()
        draft = put(drafts.open_piece(quoted.pk, piece.pk), "put-round", size_in=24, x_m=0.5, y_m=2.0)
        removed = sketch.remove_piece(quoted.pk, piece.pk, version=quoted.version)
        assert [pk for pk, _ in table_drafts.find_unplaced(removed)] == [draft.pk], (
            "it can be found meanwhile"
        )
        sketch.undo(quoted.pk, version=removed.version)
        assert table_drafts.find_unplaced(removed) == []
        assert drafts.find_draft(draft.pk).piece_id == piece.pk
        assert put_in(draft).pk == piece.pk
        assert quoted.pieces.count() == 1
        assert drafts.open_piece(quoted.pk, piece.pk).pk == draft.pk


def test_a_piece_that_stays_away_becomes_a_new_one(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        piece = quoted.pieces.get()
        draft = drafts.open_piece(quoted.pk, piece.pk)
        sketch.remove_piece(quoted.pk, piece.pk, version=quoted.version)
        made = put_in(draft)
        assert made.pk != piece.pk
        assert drafts.find_draft(draft.pk).piece_id == made.pk


def test_what_was_drawn_since_the_page_was_read_is_neither_put_in_nor_saved(
    wickerlark: House, quoted: Quote
) -> None:
    with wickerlark.enter():
        draft = drafts.open_piece(quoted.pk, quoted.pieces.get().pk)
        put(draft, "put-round", size_in=24, x_m=0.5, y_m=2.0)
        with pytest.raises(drafts.StaleDraft):
            keeping.put_into_quote(draft.pk, version=1)
        with pytest.raises(drafts.StaleDraft):
            opening.quote_draft(draft.pk, scenes.event(), wickerlark.studio, version=1)
        assert quoted.pieces.get().read_design().rounds == ()
        of_design = put(drafts.open_template(scenes.starter(wickerlark.studio).pk))
        with pytest.raises(drafts.StaleDraft):
            keeping.save_design(of_design.pk, wickerlark.studio, version=1)


def test_a_name_goes_both_ways(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        piece = quoted.pieces.get()
        sketch.alter_piece(quoted.pk, piece.pk, {}, version=quoted.version, name="By the door")
        draft = drafts.open_piece(quoted.pk, piece.pk)
        assert (draft.name, drafts.design_of(draft).name) == ("By the door", "By the door")
        put(draft, "set", field="name", value="By the window")
        put_in(draft)
        assert quoted.pieces.get().name == "By the window"
        quote = Quote.objects.get(pk=quoted.pk)
        sketch.alter_piece(quoted.pk, piece.pk, {}, version=quote.version, name="By the stairs")
        again = drafts.open_piece(quoted.pk, piece.pk)
        assert drafts.design_of(again).name == "By the stairs"


def test_a_design_that_was_retired_is_saved_under_a_new_name(wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.stocked()
        template = scenes.starter(wickerlark.studio)
        draft = put(drafts.open_template(template.pk), "put-round", size_in=24, x_m=0.5, y_m=2.0)
        library.retire(template.pk)
        with pytest.raises(ValidationError, match="retired"):
            save(draft, wickerlark)
        assert [one.pk for one in drafts.loose_drafts()] == [draft.pk], "and it can be found"
        made = keeping.keep_as_design(draft.pk, "Anew", wickerlark.studio)
        assert save(draft, wickerlark).pk == made.pk


def test_the_draft_knows_whether_what_is_drawn_is_in_the_quote(wickerlark: House, quoted: Quote) -> None:
    def is_kept(draft: TableDraft) -> bool:
        found = drafts.find_draft(draft.pk)
        return drafts.is_kept(found, drafts.present_step(found))

    with wickerlark.enter():
        draft = drafts.open_piece(quoted.pk, quoted.pieces.get().pk)
        assert is_kept(draft)
        put(draft, "put-round", size_in=24, x_m=0.5, y_m=2.0)
        assert not is_kept(draft)
        drafts.undo(draft.pk, version=2)
        assert is_kept(draft)
        drafts.redo(draft.pk, version=3)
        put_in(draft)
        assert is_kept(draft)
        new = put(opening.open_for_quote(quoted.pk, wickerlark.studio))
        assert not is_kept(new)

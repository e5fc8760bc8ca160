"""Drafts: acts, undo and redo after reopening, two people, what was changed elsewhere."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.http import Http404
from django.utils import timezone

from quoting.craft.design.records import Design
from quoting.drawing_table import drafts, naming, opening
from quoting.models import QuoteState, TableDraft, TableStep
from quoting.quotes import sketch
from quoting.quotes.steps import ClosedSketch
from tests.people import House
from tests.quoting import scenes


def named(name: str) -> drafts.Change:
    """An act that gives the design another name."""
    return lambda design: (replace(design, name=name), f"called {name}")


def names(draft: TableDraft) -> list[str]:
    return [step.what for step in draft.steps.all()]


def now(draft: TableDraft) -> Design:
    return drafts.design_of(drafts.find_draft(draft.pk))


def test_an_act_is_a_step_and_counts_the_version(wickerlark: House) -> None:
    with wickerlark.enter("staff"):
        draft = drafts.act(opening.open_empty(wickerlark.studio).pk, named("Six"), version=1)
        assert (draft.version, draft.at, draft.name) == (2, 1, "Six")
        assert draft.changed_by_id == wickerlark.staff.pk
        assert names(draft) == ["opened", "called Six"]


def test_undo_and_redo_move_along_the_steps(wickerlark: House) -> None:
    with wickerlark.enter():
        pk = opening.open_empty(wickerlark.studio).pk
        drafts.act(pk, named("Six"), version=1)
        drafts.act(pk, named("Seven"), version=2)
        assert drafts.undo(pk, version=3).name == "Six"
        assert drafts.undo(pk, version=4).name == naming.UNNAMED
        with pytest.raises(ValidationError, match="nothing to undo"):
            drafts.undo(pk, version=5)
        assert drafts.redo(pk, version=5).name == "Six"
        assert drafts.neighbours(drafts.find_draft(pk)) == ("called Six", "called Seven")


def test_a_new_act_drops_what_was_undone(wickerlark: House) -> None:
    with wickerlark.enter():
        pk = opening.open_empty(wickerlark.studio).pk
        drafts.act(pk, named("Six"), version=1)
        drafts.undo(pk, version=2)
        draft = drafts.act(pk, named("Seven"), version=3)
        assert names(draft) == ["opened", "called Seven"]
        with pytest.raises(ValidationError, match="nothing to redo"):
            drafts.redo(pk, version=4)


def test_who_saw_an_older_version_is_refused_with_what_somebody_did(wickerlark: House) -> None:
    with wickerlark.enter("staff"):
        pk = opening.open_empty(wickerlark.studio).pk
        drafts.act(pk, named("Six"), version=1)
    with wickerlark.enter(), pytest.raises(drafts.StaleDraft, match="called Six"):
        drafts.act(pk, named("Mine"), version=1)
    with wickerlark.enter():
        assert now(TableDraft.objects.get(pk=pk)).name == "Six", "nothing was overwritten"


def test_an_act_that_is_sent_again_is_made_once(wickerlark: House) -> None:
    with wickerlark.enter():
        pk = opening.open_empty(wickerlark.studio).pk
        drafts.act(pk, named("Six"), version=1, key="k1")
        again = drafts.act(pk, named("Six and more"), version=1, key="k1")
        assert (again.version, again.name, again.steps.count()) == (2, "Six", 2)


def test_an_act_that_is_sent_again_after_somebody_else_s_is_made_once(wickerlark: House) -> None:
    with wickerlark.enter():
        pk = opening.open_empty(wickerlark.studio).pk
        drafts.act(pk, named("Six"), version=1, key="k1")
        drafts.act(pk, named("Theirs"), version=2, key="k2")
        again = drafts.act(pk, named("Six"), version=1, key="k1")
        assert (again.version, again.name, again.steps.count()) == (3, "Theirs", 3)
        drafts.undo(pk, version=3)
        drafts.undo(pk, version=4)
        assert drafts.act(pk, named("Six"), version=1, key="k1").version == 5, "nor is what was undone"


def test_an_undo_that_is_sent_again_goes_back_once(wickerlark: House) -> None:
    with wickerlark.enter():
        pk = opening.open_empty(wickerlark.studio).pk
        drafts.act(pk, named("Six"), version=1)
        drafts.act(pk, named("Seven"), version=2)
        drafts.undo(pk, version=3, key="u1")
        assert drafts.undo(pk, version=3, key="u1").name == "Six"
        drafts.act(pk, named("Eight"), version=4)
        assert drafts.undo(pk, version=3, key="u1").name == "Eight"
        drafts.undo(pk, version=5, key="u2")
        drafts.redo(pk, version=6, key="r1")
        assert drafts.redo(pk, version=6, key="r1").version == 7


def test_an_act_that_changes_nothing_is_no_step(wickerlark: House) -> None:
    with wickerlark.enter():
        draft = opening.open_empty(wickerlark.studio)
        same = drafts.act(draft.pk, lambda design: (design, "nothing"), version=1)
        assert (same.version, same.at) == (1, 0)


def test_a_piece_has_one_draft_that_is_opened_again_where_it_stood(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        piece = quote.pieces.get()
        first = drafts.open_piece(quote.pk, piece.pk)
        drafts.act(first.pk, named("Six"), version=1)
        again = drafts.open_piece(quote.pk, piece.pk)
        assert (again.pk, again.at, now(again).name) == (first.pk, 1, "Six")


def test_what_was_changed_on_the_quote_is_a_step_of_the_draft(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        piece = quote.pieces.get()
        first = drafts.open_piece(quote.pk, piece.pk)
        sketch.alter_piece(quote.pk, piece.pk, {"fullness": 0.85}, version=quote.version)
        again = drafts.open_piece(quote.pk, piece.pk)
        assert names(again) == ["opened", "changed on the quote"]
        assert now(again).garlands[0].fullness == 0.85
        assert drafts.undo(first.pk, version=again.version).at == 0, "and can be undone like any other"


def test_another_studio_has_no_such_draft_piece_or_design(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        piece, draft = quote.pieces.get(), opening.open_empty(wickerlark.studio)
        template = scenes.starter(wickerlark.studio)
    with federkorn.enter():
        asks: tuple[Callable[[], object], ...] = (
            lambda: drafts.find_draft(draft.pk),
            lambda: drafts.open_piece(quote.pk, piece.pk),
            lambda: drafts.open_template(template.pk),
            lambda: drafts.undo(draft.pk, version=1),
            lambda: drafts.throw_away(draft.pk),
        )
        for ask in asks:
            with pytest.raises(Http404):
                ask()
        assert not TableStep.objects.exists()


def test_the_database_keeps_one_draft_of_a_piece(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        piece = quote.pieces.get()
        drafts.open_piece(quote.pk, piece.pk)
        with pytest.raises(IntegrityError), transaction.atomic():
            TableDraft.objects.create(name="twice", quote=quote, piece=piece, piece_was=piece.pk)


def test_old_steps_are_let_go(wickerlark: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drafts, "UNDO_STEPS", 3)
    monkeypatch.setattr(drafts, "LET_GO_EVERY", 2)
    with wickerlark.enter():
        pk = opening.open_empty(wickerlark.studio).pk
        for k in range(8):
            drafts.act(pk, named(f"N{k}"), version=k + 1)
        assert [step.number for step in TableDraft.objects.get(pk=pk).steps.all()] == [5, 6, 7, 8]


def test_only_drawn_drafts_of_no_quote_are_listed(wickerlark: House) -> None:
    with wickerlark.enter():
        untouched, drawn = (opening.open_empty(wickerlark.studio) for _ in range(2))
        drafts.act(drawn.pk, named("Six"), version=1)
        quote = scenes.quote(wickerlark)
        drafts.act(opening.open_for_quote(quote.pk, wickerlark.studio).pk, named("In a quote"), version=1)
        assert [each.pk for each in drafts.loose_drafts()] == [drawn.pk]
        assert TableDraft.objects.filter(pk=untouched.pk).exists()


def test_a_deleted_draft_is_brought_back_or_let_go_after_a_month(wickerlark: House) -> None:
    with wickerlark.enter():
        old, new = (opening.open_empty(wickerlark.studio) for _ in range(2))
        for draft in (old, new):
            drafts.act(draft.pk, named("Six"), version=1)
        drafts.throw_away(old.pk)
        assert [each.pk for each in drafts.loose_drafts()] == [new.pk]
        drafts.bring_back(old.pk)
        assert len(drafts.loose_drafts()) == 2
        drafts.throw_away(old.pk)
        drafts.act(old.pk, named("Seven"), version=2)
        assert len(drafts.loose_drafts()) == 2, "who goes on drawing keeps it"
        drafts.throw_away(old.pk)
        long_ago = timezone.now() - timedelta(days=31)
        TableDraft.objects.filter(pk=old.pk).update(thrown_at=long_ago)
        drafts.throw_away(new.pk)
        assert list(TableDraft.objects.values_list("pk", flat=True)) == [new.pk]


def test_an_agreed_quote_opens_no_draft(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        scenes.set_state(quote, QuoteState.AGREED)
        with pytest.raises(ClosedSketch):
            drafts.open_piece(quote.pk, quote.pieces.get().pk)
        with pytest.raises(ClosedSketch):
            opening.open_for_quote(quote.pk, wickerlark.studio)
        assert not TableDraft.objects.exists()


def test_the_database_keeps_the_piece_s_id_beside_the_piece(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        draft = drafts.open_piece(quote.pk, quote.pieces.get().pk)
        with pytest.raises(IntegrityError, match="piece_was_it"), transaction.atomic():
            TableDraft.objects.filter(pk=draft.pk).update(piece_was=None)

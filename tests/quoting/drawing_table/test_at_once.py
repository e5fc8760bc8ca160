"""Two people at the same moment: neither waits for the other for ever, and nothing is put in twice."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest
from django.db import OperationalError

from quoting.craft.design.records import Design
from quoting.drawing_table import drafts, keeping, opening
from quoting.models import Quote, TableDraft
from quoting.quotes import sketch
from quoting.quotes.steps import StaleSketch
from tests import people
from tests.events.loadout.test_at_once import all_at_once
from tests.people import House
from tests.quoting import scenes
from tests.quoting.drawing_table.test_keeping import put

pytestmark = pytest.mark.django_db(transaction=True)
A_MOMENT_S = 0.6


@pytest.fixture
def slowly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever puts a drawing in takes their time, with the draft locked."""
    quick = keeping.drawn

    def drawn(draft: TableDraft) -> Design:
        time.sleep(A_MOMENT_S)
        return quick(draft)

    monkeypatch.setattr(keeping, "drawn", drawn)


def together(house: House, first: Callable[[], object], second: Callable[[], object]) -> list[object]:
    """What each gave or raised, the second begun while the first was at it."""

    def later() -> object:
        time.sleep(A_MOMENT_S / 3)
        return second()

    return all_at_once(house, [first, later])


@pytest.fixture
def drawn_piece() -> tuple[House, Quote, TableDraft]:
    house = people.wickerlark()
    with house.enter():
        quote = scenes.quote(house)
        draft = drafts.open_piece(quote.pk, quote.pieces.get().pk)
        put(draft, "put-round", size_in=24, x_m=0.5, y_m=2.0)
    return house, quote, draft


@pytest.mark.usefixtures("slowly")
def test_a_piece_is_taken_out_while_its_drawing_is_put_in(
    drawn_piece: tuple[House, Quote, TableDraft],
) -> None:
    house, quote, draft = drawn_piece
    with house.enter():
        piece = quote.pieces.get()
    put_in, taken_out = together(
        house,
        lambda: keeping.put_into_quote(draft.pk, version=2).pk,
        lambda: sketch.remove_piece(quote.pk, piece.pk, version=quote.version),
    )
    assert put_in == piece.pk
    assert isinstance(taken_out, StaleSketch), "who took it out had not seen the drawing"


@pytest.mark.usefixtures("slowly")
def test_a_piece_is_opened_while_its_drawing_is_put_in(
    drawn_piece: tuple[House, Quote, TableDraft],
) -> None:
    house, quote, draft = drawn_piece
    with house.enter():
        piece = quote.pieces.get()
    put_in, opened = together(
        house,
        lambda: keeping.put_into_quote(draft.pk, version=2).pk,
        lambda: drafts.open_piece(quote.pk, piece.pk).version,
    )
    assert (put_in, opened) == (piece.pk, 2), "and what was put in is no change of somebody else's"


@pytest.mark.usefixtures("slowly")
def test_a_design_is_opened_while_its_drawing_is_saved() -> None:
    house = people.wickerlark()
    with house.enter():
        scenes.stocked()
        template = scenes.starter(house.studio)
        draft = drafts.open_template(template.pk)
        put(draft, "put-round", size_in=24, x_m=0.5, y_m=2.0)
    saved, opened = together(
        house,
        lambda: keeping.save_design(draft.pk, house.studio, version=2).pk,
        lambda: drafts.open_template(template.pk).version,
    )
    assert (saved, opened) == (template.pk, 2)


def test_nothing_is_opened_twice_for_a_quote_at_once() -> None:
    house = people.wickerlark()
    with house.enter():
        quote = scenes.quote(house)
    opened = all_at_once(house, [lambda: opening.open_for_quote(quote.pk, house.studio).pk] * 3)
    assert not [one for one in opened if isinstance(one, OperationalError)]
    assert len(set(opened)) == 1

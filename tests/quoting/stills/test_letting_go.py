"""Stills that nothing shows any more."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from quoting.models import SetPiece, Still, StillState
from quoting.offers import offering
from quoting.quotes import sketch
from quoting.stills import letting_go, stills
from quoting.tasks import render_still
from studio.models import StoredFile
from tests import worker
from tests.people import House
from tests.quoting import offer_scenes, scenes


def grown_old() -> None:
    Still.objects.update(asked_at=timezone.now() - letting_go.KEPT - timedelta(hours=1))


def test_an_old_still_that_nothing_shows_goes_with_its_pictures(
    wickerlark: House, renderer: list[Any]
) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        piece = quote.pieces.get()
        stills.ask(piece)
    worker.do_tasks(wickerlark, render_still)
    with wickerlark.enter():
        kept = StoredFile.objects.filter(name__startswith="still-")
        assert kept.count() == 2
        grown_old()
        assert letting_go.let_go_unused() == 0, "the piece shows it"
        sketch.alter_piece(quote.pk, piece.pk, {"fullness": 0.8}, version=quote.version)
        assert letting_go.let_go_unused() == 1
        assert not kept.exists()
        assert not Still.objects.exists()


def test_a_still_of_an_offer_stays(wickerlark: House, renderer: list[Any]) -> None:
    with wickerlark.enter():
        quote = offering.offer(offer_scenes.quote(wickerlark)).offer.quote
        piece = quote.pieces.get()
        sketch.alter_piece(quote.pk, piece.pk, {"fullness": 0.8}, version=quote.version)
        grown_old()
        assert letting_go.let_go_unused() == 0
        assert Still.objects.exists()


@pytest.mark.parametrize("state", [StillState.ASKED, StillState.FAILED])
def test_a_young_still_stays_whatever_became_of_it(
    wickerlark: House, renderer: list[Any], state: str
) -> None:
    with wickerlark.enter():
        piece: SetPiece = scenes.quote(wickerlark).pieces.get()
        stills.ask(piece)
        Still.objects.update(state=state, key="0" * 64)
        assert letting_go.let_go_unused() == 0
        grown_old()
        assert letting_go.let_go_unused() == 1

"""The crew of a day: other agreed events of the same hours take the crew that their agreed pieces ask for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from events.models import Event, Stage, Status
from quoting.craft.design.design_file import read_design
from quoting.models import Quote, QuoteState
from quoting.quotes import sketch, staffing
from quoting.set_pieces.worked import worked
from tests.people import House
from tests.quoting import scenes


def beside(house: House, event: Event, *, crew: int | None) -> Event:
    """Another event of the same hours, confirmed; with a quote of two pieces, the larger asking for ``crew``."""
    other = Event.objects.get(pk=event.pk)
    other.pk, other.title = None, f"Supper for {crew}"
    other.status, other.stage = Status.CONFIRMED, Stage.AGREED
    other.save(force_insert=True)
    if crew is not None:
        quote = Quote.objects.create(event=other, title=other.title)
        template = scenes.starter(house.studio)
        for people in (1, crew):
            quote = sketch.add_piece(quote.pk, template.pk, version=quote.version)
            piece = quote.pieces.last()
            assert piece is not None
            design = read_design(piece.design)
            result = worked(replace(design, rates=replace(design.rates, crew=people)))
            piece.design, piece.takeoff = result.design, result.takeoff
            piece.save()
        Quote.objects.filter(pk=quote.pk).update(state=QuoteState.AGREED)
    return other


@pytest.mark.parametrize(("crew", "taken"), [(3, 3), (1, 1), (None, 1)])
def test_an_agreed_event_of_the_same_hours_takes_its_largest_crew(
    wickerlark: House, crew: int | None, taken: int
) -> None:
    with wickerlark.enter():
        event = scenes.quote(wickerlark).event
        other = beside(wickerlark, event, crew=crew)
        found = staffing.crew_among(staffing.roles(), event, has_others=True)
    assert found.others == ((other.title, taken),)
    assert found.taken == taken


def test_an_event_that_is_not_agreed_takes_nobody(wickerlark: House) -> None:
    with wickerlark.enter():
        event = scenes.quote(wickerlark).event
        other = beside(wickerlark, event, crew=3)
        Event.objects.filter(pk=other.pk).update(status=Status.TENTATIVE, stage=Stage.SKETCH)
        assert staffing.crew_among(staffing.roles(), event, has_others=True).others == ()

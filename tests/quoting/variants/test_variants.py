"""Versions of a quote: copied, named, left out, put back, and exchanged when one is picked."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.http import Http404

from quoting.models import Quote, QuoteState, SetPiece, SketchVersion
from quoting.quotes import sheet, sketch
from quoting.quotes.on_event import find_event_quotes
from quoting.quotes.steps import ClosedSketch
from quoting.variants import variants
from quoting.variants.variants import CannotVary, Way
from studio.models import entered_studio
from tests.people import House
from tests.quoting import offer_scenes, scenes
from tests.quoting.variants.scenes import fresh, three

pytestmark = pytest.mark.django_db


def quoted(quote: Quote) -> tuple[object, ...]:
    """What a quote quotes: its pieces, lines, supplies and price."""
    return (
        [(piece.name, piece.design, piece.takeoff.balloons) for piece in quote.pieces.order_by("position")],
        [(line.label, line.unit_price) for line in quote.free_lines.all()],
        sorted(quote.supplies.values_list("code", "kind")),
        fresh(quote).priced_total,
    )


def florals_of(piece: SetPiece) -> int:
    return sum(line.quantity for line in piece.takeoff.bill if line.part == "florals")


def test_a_version_starts_as_the_quote_it_was_copied_from(wickerlark: House) -> None:
    with wickerlark.enter():
        lead = offer_scenes.quote(wickerlark)
        made = variants.add_variant(lead.pk, name="With roses")
        assert quoted(made) == quoted(lead)
        assert (made.variant_name, fresh(lead).variant_name) == ("With roses", "Simple")
        assert {each.pk for each in made.pieces.all()}.isdisjoint(each.pk for each in lead.pieces.all())


def test_a_version_is_changed_without_the_others(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, fuller, grand = three(wickerlark)
        before = quoted(lead), quoted(grand)
        (piece,) = fuller.pieces.all()
        sketch.remove_piece(fuller.pk, piece.pk, version=fuller.version)
        assert (quoted(lead), quoted(grand)) == before
        sketch.undo(fuller.pk, version=fuller.version + 1)
        assert fuller.pieces.count() == 1


def test_the_usual_names_are_given_in_their_order(wickerlark: House) -> None:
    with wickerlark.enter():
        assert [each.variant_name for each in three(wickerlark)] == ["Simple", "Fuller", "Grand"]


def test_a_simpler_version_has_fewer_balloons_and_no_florals_and_costs_less(wickerlark: House) -> None:
    with wickerlark.enter():
        lead = offer_scenes.quote(wickerlark)
        made = variants.add_variant(lead.pk, name="", way=Way.SIMPLER)
        assert (made.variant_name, fresh(lead).variant_name) == ("Simple", "Fuller")
        (before,), (after,) = lead.pieces.all(), made.pieces.all()
        assert after.takeoff.balloons < before.takeoff.balloons
        assert florals_of(before) > 0 == florals_of(after)
        priced, then = fresh(made).priced_total, fresh(lead).priced_total
        assert priced is not None
        assert then is not None
        assert priced < then


def test_a_fuller_version_is_never_less(wickerlark: House) -> None:
    with wickerlark.enter():
        lead = offer_scenes.quote(wickerlark)
        made = variants.add_variant(lead.pk, name="", way=Way.FULLER)
        (before,), (after,) = lead.pieces.all(), made.pieces.all()
        assert after.takeoff.balloons >= before.takeoff.balloons
        assert florals_of(after) >= florals_of(before)
        more = after.takeoff.balloons + florals_of(after) - before.takeoff.balloons - florals_of(before)
        assert more > 0


def test_there_are_at_most_three_and_a_left_out_one_makes_room(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, fuller, _ = three(wickerlark)
        with pytest.raises(CannotVary, match="At most 3"):
            variants.add_variant(lead.pk, name="Fourth")
        variants.leave_out(fuller.pk)
        variants.add_variant(lead.pk, name="Fourth")
        with pytest.raises(CannotVary, match="At most 3"):
            variants.put_back(fuller.pk)


@pytest.mark.parametrize(
    ("name", "said"), [("grand", "called grand"), ("x" * 41, "at most 40"), ("  ", "Give it")]
)
def test_a_name_that_cannot_be_is_refused(wickerlark: House, name: str, said: str) -> None:
    with wickerlark.enter():
        _, fuller, _ = three(wickerlark)
        with pytest.raises(CannotVary, match=said):
            variants.rename(fuller.pk, name)
        assert fresh(fuller).variant_name == "Fuller"


def test_a_left_out_version_is_not_changed_until_it_is_put_back(wickerlark: House) -> None:
    with wickerlark.enter():
        _, fuller, _ = three(wickerlark)
        (piece,) = fuller.pieces.all()
        variants.leave_out(fuller.pk)
        with pytest.raises(ClosedSketch, match="left out"):
            sketch.remove_piece(fuller.pk, piece.pk, version=fuller.version)
        variants.put_back(fuller.pk)
        sketch.remove_piece(fuller.pk, piece.pk, version=fuller.version)


def test_where_the_lead_is_left_out_the_next_takes_its_place(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, fuller, grand = three(wickerlark)
        simple, next_one = quoted(lead), quoted(fuller)
        variants.leave_out(lead.pk)
        rows = variants.find_set(lead.pk)
        assert [each.variant_name for each in variants.offered_of(rows)] == ["Fuller", "Grand"]
        assert quoted(lead) == next_one
        assert quoted(fuller) == simple
        assert fresh(fuller).state == QuoteState.SET_ASIDE
        variants.leave_out(grand.pk)
        with pytest.raises(CannotVary, match="only version"):
            variants.leave_out(lead.pk)


def test_picking_exchanges_what_is_quoted_and_twice_gives_it_back(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, _, grand = three(wickerlark)
        simple, best = quoted(lead), quoted(grand)
        variants.settle(lead, grand.pk)
        assert (quoted(lead), quoted(grand)) == (best, simple)
        assert not SketchVersion.objects.filter(quote__in=[lead.pk, grand.pk]).exists()
        variants.settle(fresh(lead), grand.pk)
        assert (quoted(lead), quoted(grand)) == (simple, best)


def test_lists_show_a_quote_once(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, fuller, grand = three(wickerlark)
        assert [each.pk for each in find_event_quotes(lead.event)] == [lead.pk]
    page = wickerlark.client().get(wickerlark.url("quoting:quotes")).content.decode()
    assert f"/quotes/{lead.pk}/" in page
    assert f"/quotes/{fuller.pk}/" not in page
    assert f"/quotes/{grand.pk}/" not in page


def test_another_studios_quote_has_no_versions(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        lead = scenes.quote(wickerlark)
    with federkorn.enter(), pytest.raises(Http404):
        variants.add_variant(lead.pk, name="Mine")


def test_the_database_wants_a_name_and_no_state_of_an_offer(wickerlark: House) -> None:
    with wickerlark.enter():
        _, fuller, _ = three(wickerlark)
        faults: list[dict[str, Any]] = [
            {"variant_name": ""}, {"state": QuoteState.AGREED}, {"variant_of": fuller.pk},
        ]  # fmt: skip
        for wrong in faults:
            with pytest.raises(IntegrityError), transaction.atomic():
                Quote.objects.filter(pk=fuller.pk).update(**wrong)


def test_the_sheets_of_a_set_are_those_that_are_offered(wickerlark: House) -> None:
    with wickerlark.enter():
        lead, fuller, grand = three(wickerlark)
        variants.leave_out(grand.pk)
        read = sheet.read_sheet(fresh(fuller), entered_studio(), pictures=False)
        assert [each.quote.pk for each in variants.read_set(read)] == [lead.pk, fuller.pk]


def test_a_version_of_an_agreed_quote_is_not_made(wickerlark: House) -> None:
    with wickerlark.enter():
        lead = offer_scenes.quote(wickerlark)
        Quote.objects.filter(pk=lead.pk).update(state=QuoteState.AGREED)
        with pytest.raises(ValidationError, match="agreed"):
            variants.add_variant(lead.pk, name="")

"""Sketching: what is started, scaled, altered and undone, and what is refused."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404
from msgspec import structs

from events.models import Event, Stage
from quoting.craft.design.design_file import read_design
from quoting.craft.design.faults import DesignError
from quoting.design_library import library
from quoting.models import Quote, QuoteState, Rates, SetPiece
from quoting.offers import freezing
from quoting.pricing import rates
from quoting.pricing.frozen import canonical
from quoting.quotes import sheet, sketch, steps
from quoting.set_pieces import faults
from quoting.set_pieces.presenter import frame_words
from stock.models import Item
from studio.measures import lengths
from tests.people import House
from tests.quoting import scenes

D = Decimal


def reloaded(quote: Quote) -> Quote:
    return sheet.find_quote(quote.pk)


def piece_of(quote: Quote) -> SetPiece:
    return quote.pieces.get()


def test_a_quote_starts_at_the_size_the_client_asked_for(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark, width_m=D("2.743"), height_m=D("2.438"))
        piece = piece_of(quote)
        assert (piece.width_m, piece.height_m) == (D("2.743"), D("2.438"))
        assert piece.takeoff.width_m == pytest.approx(2.743, rel=0.02)
        assert piece.takeoff.height_m == pytest.approx(2.438, rel=0.02)
        assert piece.takeoff.balloons == sum(count.placed for count in piece.takeoff.counts)
        assert "<svg" in piece.picture


def test_a_quote_between_two_sizes_starts_at_the_nearest_and_keeps_its_arches_unlike(
    wickerlark: House,
) -> None:
    with wickerlark.enter():
        piece = piece_of(scenes.quote(wickerlark, width_m=D("2.794"), height_m=D("2.286")))
        assert float(piece.height_m) == pytest.approx(piece.takeoff.height_m, abs=0.006)
        assert float(piece.width_m) == pytest.approx(piece.takeoff.width_m, abs=0.006)
        assert piece.takeoff.height_m == pytest.approx(2.286, rel=0.06)
        assert len(set(piece.takeoff.frames)) == 2


def test_a_size_between_two_that_the_frames_make_is_refused_with_the_nearest(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark, width_m=D("2.743"), height_m=D("2.438"))
        with pytest.raises(faults.CannotSketch) as refused:
            sketch.alter_piece(quote.pk, piece_of(quote).pk, {}, height_m=D("2.6"), version=quote.version)
        (words,) = refused.value.faults["height_m"]
        nearest = re.fullmatch(r"That height can't be built\. The nearest are (.+) and (.+)\.", words)
        assert nearest, words
        below, above = (lengths.parsed(one, "feet") for one in nearest.groups())
        assert D("2.4") < below < D("2.6") < above < D("2.9")


def test_the_same_width_costs_the_same_whatever_was_tried_between(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark, width_m=D("2.743"), height_m=D("2.438"))
        totals: dict[str, set[D | None]] = {}
        for feet in ("8", "9", "8", "10", "8", "9"):
            quote = sketch.alter_piece(
                quote.pk, piece_of(quote).pk, {}, width_m=D(feet) * D("0.3048"), version=quote.version
            )
            totals.setdefault(feet, set()).add(quote.priced_total)
        (eight,), (nine,), (ten,) = totals["8"], totals["9"], totals["10"]
        assert eight is not None
        assert nine is not None
        assert ten is not None
        assert eight <= nine <= ten


def test_starting_a_quote_brings_the_event_to_the_sketch(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        assert Event.objects.get(pk=quote.event_id).stage == Stage.SKETCH


def test_a_size_no_frame_makes_leaves_the_design_s_own(wickerlark: House) -> None:
    with wickerlark.enter():
        piece = piece_of(scenes.quote(wickerlark, width_m=D(30), height_m=D(2)))
        assert piece.width_m < D(5)


def test_no_quote_for_an_event_that_was_called_off(wickerlark: House) -> None:
    with wickerlark.enter():
        event = scenes.event()
        event.status = "CANCELLED"
        with pytest.raises(steps.ClosedSketch, match="canceled"):
            sketch.start_quote(event, scenes.starter(wickerlark.studio))


def test_a_new_sketch_takes_the_studio_s_own_rule_for_spares(wickerlark: House) -> None:
    with wickerlark.enter():
        usual = piece_of(scenes.quote(wickerlark))
        rates.keep_rates(Rates(loss_percent=D(12), service_percent=D("97.5")))
        Item.objects.filter(kind="latex", size_in=11).update(bag_size=144)
        Item.objects.filter(code="latex-11-oat").update(bag_size=72)
        piece = piece_of(scenes.quote(wickerlark))
    design = piece.design
    assert (design["loss"], design["service"]) == (pytest.approx(0.12), pytest.approx(0.975))
    assert {"size_in": 11, "pieces": 72} in design["bags"]
    assert brought(piece) > brought(usual)


def brought(piece: SetPiece) -> int:
    return sum(count.to_bring for count in piece.takeoff.counts)


def test_frames_are_those_the_studio_owns(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        codes = set(sheet.read_sheet(quote, wickerlark.studio).needs)
        assert {code for code in codes if code.startswith(("frame-", "cover-"))} <= set(
            Item.objects.values_list("code", flat=True)
        )


def test_scaling_gives_another_take_off_and_another_price(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark, width_m=D("2.743"), height_m=D("2.438"))
        before, small = piece_of(quote).takeoff.balloons, quote.priced_total
        sketch.alter_piece(
            quote.pk, piece_of(quote).pk, {}, width_m=D("3.6"), height_m=D("2.9"), version=quote.version
        )
        quote = reloaded(quote)
        assert piece_of(quote).takeoff.balloons > before
        assert quote.priced_total is not None
        assert small is not None
        assert quote.priced_total > small


@pytest.mark.parametrize(("house", "width"), [("wickerlark", "ft"), ("federkorn", " m")])
def test_a_width_no_frame_makes_is_refused_at_the_width_in_the_studio_s_units(
    house: str, width: str, request: pytest.FixtureRequest
) -> None:
    studio: House = request.getfixturevalue(house)
    with studio.enter():
        quote = scenes.quote(studio)
        with pytest.raises(faults.CannotSketch) as refused:
            sketch.alter_piece(
                quote.pk, piece_of(quote).pk, {}, width_m=D(20), height_m=D("2.3"), version=quote.version
            )
        (sentence,) = refused.value.faults["width_m"]
        assert sentence.startswith("No frame makes that width: these frames make ")
        assert f"{width} wide" in sentence or "in wide" in sentence
        assert reloaded(quote).version == quote.version, "nothing was changed"


ALTERATIONS: list[tuple[str, Any, Callable[[dict[str, Any]], Any], Any]] = [
    ("fullness", 0.5, lambda design: design["garlands"][0]["fullness"], 0.5),
    ("loss", 0.2, lambda design: design["loss"], 0.2),
    ("share.oat", 0.6, lambda design: design["palette"][0]["share"], 0.6),
    (
        "swap.ink",
        "sage",
        lambda design: [c["colour"] for c in design["palette"]],
        ["oat", "harbour", "straw", "sage"],
    ),
    ("add_colour", "sage", lambda design: design["palette"][-1]["colour"], "sage"),
    (
        "sizes",
        {5, 36},
        lambda design: sorted(m["size_in"] for m in design["garlands"][0]["mix"]),
        [5, 11, 36],
    ),
    ("frame.tall", "frame-arch-8ft", lambda design: design["frames"][0]["item"], "frame-arch-8ft"),
    (
        "cover.low",
        "cover-arch-5ft-sage",
        lambda design: design["frames"][1]["cover"]["item"],
        "cover-arch-5ft-sage",
    ),
    ("cover.low", "bare", lambda design: design["frames"][1].get("cover"), None),
    ("floral.0", 0.2, lambda design: design["florals"][0]["share"], 0.2),
    ("crew", 4, lambda design: design["rates"]["crew"], 4),
]


@pytest.mark.parametrize(
    ("key", "value", "look", "expected"), ALTERATIONS, ids=[row[0] for row in ALTERATIONS]
)
def test_a_piece_is_altered(
    key: str, value: Any, look: Callable[[dict[str, Any]], Any], expected: Any, wickerlark: House
) -> None:
    with wickerlark.enter("owner"):
        quote = scenes.quote(wickerlark)
        sketch.alter_piece(quote.pk, piece_of(quote).pk, {key: value}, version=quote.version)
        wanted = pytest.approx(expected) if isinstance(expected, float) else expected
        assert look(piece_of(quote).design) == wanted
        assert reloaded(quote).version == quote.version + 1


def test_one_share_takes_what_was_asked_and_the_others_divide_the_rest_as_before(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        sketch.alter_piece(quote.pk, piece_of(quote).pk, {"share.oat": 0.69}, version=quote.version)
        shares = {colour["colour"]: colour["share"] for colour in piece_of(quote).design["palette"]}
        assert shares == pytest.approx({"oat": 0.69, "harbour": 0.15, "straw": 0.11, "ink": 0.05})


def test_a_share_of_nothing_takes_the_colour_out(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        sketch.alter_piece(quote.pk, piece_of(quote).pk, {"share.ink": 0.0}, version=quote.version)
        assert [colour["colour"] for colour in piece_of(quote).design["palette"]] == [
            "oat",
            "harbour",
            "straw",
        ]
        assert not any("ink" in line.code for line in piece_of(quote).takeoff.bill)


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("share.oat", 1.4, "outside 0 to 100"),
        ("swap.ink", "no-such", "no colour of the studio"),
        ("add_colour", "oat", "in the palette already"),
        ("frame.tall", "frame-ring-9ft", "no arch-top frame of the studio"),
        ("frame.nowhere", "fits", "no frame of this set piece"),
        ("cover.low", "cover-none", "no cover of the studio"),
        ("sign.item", "sign-none", "no sign of the studio"),
        ("fullness", 1.5, "allowed is 0 to 0.97"),
        ("crew", 99, "allowed is 1 to 30"),
    ],
)
def test_what_cannot_be_is_refused_at_its_key(key: str, value: Any, says: str, wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        with pytest.raises(faults.CannotSketch) as refused:
            sketch.alter_piece(quote.pk, piece_of(quote).pk, {key: value}, version=quote.version)
        assert says in refused.value.faults[key][0]


def test_undo_goes_back_step_by_step_and_counts_as_a_change(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        first = (piece_of(quote).design, piece_of(quote).takeoff, quote.priced_total)
        sketch.alter_piece(quote.pk, piece_of(quote).pk, {"fullness": 0.4}, version=1)
        sketch.add_free_line(
            quote.pk, label="Plinth", quantity=D(2), unit_price=D("15.50"), tax_id=None, version=2
        )
        assert sketch.undo(quote.pk, version=3).free_lines.count() == 0
        quote = sketch.undo(quote.pk, version=4)
        assert (piece_of(quote).design, piece_of(quote).takeoff, quote.priced_total) == first
        assert quote.version == 5
        with pytest.raises(ValidationError, match="nothing to undo"):
            sketch.undo(quote.pk, version=5)


def test_undo_brings_back_a_piece_that_was_taken_out(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        design = piece_of(quote).design
        quote = sketch.remove_piece(quote.pk, piece_of(quote).pk, version=1)
        assert quote.pieces.count() == 0
        quote = sketch.undo(quote.pk, version=quote.version)
        assert piece_of(quote).design == design


def test_who_saw_an_older_sketch_is_refused_and_told_who_was_faster(wickerlark: House) -> None:
    with wickerlark.enter("owner"):
        quote = scenes.quote(wickerlark)
        sketch.alter_piece(quote.pk, piece_of(quote).pk, {"fullness": 0.4}, version=1)
    with wickerlark.enter("staff"):
        with pytest.raises(
            steps.StaleSketch, match="Wickerlark Decor Owner changed this quote in the meantime"
        ):
            sketch.alter_piece(quote.pk, piece_of(quote).pk, {"fullness": 0.9}, version=1)
        assert piece_of(quote).design["garlands"][0]["fullness"] == 0.4


def test_what_was_agreed_is_not_sketched_over(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        scenes.set_state(quote, QuoteState.AGREED)
        with pytest.raises(steps.ClosedSketch, match="agreed"):
            sketch.alter_piece(quote.pk, piece_of(quote).pk, {"fullness": 0.4}, version=1)


def test_a_discount_larger_than_the_price_is_refused(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        with pytest.raises(faults.CannotSketch, match="below zero"):
            sketch.add_free_line(
                quote.pk, label="Gift", quantity=D(1), unit_price=D(-9000), tax_id=None, version=1
            )
        assert reloaded(quote).free_lines.count() == 0


def test_two_pieces_stand_on_one_tape_under_their_names(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        alone = sheet.read_sheet(quote, wickerlark.studio)
        quote = sketch.add_piece(quote.pk, scenes.starter(wickerlark.studio).pk, version=1)
        both = sheet.read_sheet(quote, wickerlark.studio)
        assert both.needs["frame-arch-7ft"] == 2 * alone.needs["frame-arch-7ft"]
        assert sum(line.label.endswith("balloons") for line in both.tape.lines) == 2
        assert all(
            minutes == pytest.approx(2 * alone.minutes[task], abs=0.02)
            for task, minutes in both.minutes.items()
        )


def test_frames_of_one_kind_are_counted() -> None:
    assert frame_words(["Ring 6 ft", "Panel 4 × 7 ft"]) == "ring 6 ft and panel 4 × 7 ft"
    assert frame_words(["Arch 6 ft", "Arch 6 ft"]) == "arch 6 ft × 2"
    assert frame_words([]) == ""


def test_a_piece_of_another_quote_is_not_found(wickerlark: House) -> None:
    with wickerlark.enter():
        mine, other = scenes.quote(wickerlark), scenes.quote(wickerlark, title="Bakery opening")
        with pytest.raises(Http404):
            sketch.alter_piece(mine.pk, piece_of(other).pk, {"fullness": 0.4}, version=1)


def test_another_studio_s_quote_is_not_found(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        theirs = scenes.quote(wickerlark)
    with federkorn.enter():
        assert Quote.objects.count() == 0
        with pytest.raises(Http404):
            sketch.undo(theirs.pk, version=1)


def test_crew_may_neither_see_nor_change_a_quote(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        piece = piece_of(quote)
    with wickerlark.enter("crew"):
        with pytest.raises(PermissionDenied, match="see quotes"):
            sheet.find_quote(quote.pk)
        with pytest.raises(PermissionDenied, match="edit quotes"):
            sketch.alter_piece(quote.pk, piece.pk, {"fullness": 0.4}, version=1)


def test_staff_get_the_price_without_cost_and_margin(wickerlark: House) -> None:
    with wickerlark.enter("owner"):
        quote = scenes.quote(wickerlark)
        whole = sheet.read_sheet(quote, wickerlark.studio).tape
    with wickerlark.enter("staff"):
        seen = sheet.read_sheet(quote, wickerlark.studio).tape
    assert whole.inside is not None
    assert seen.inside is None
    assert (seen.total, [line.amount for line in seen.lines]) == (
        whole.total,
        [line.amount for line in whole.lines],
    )


def test_the_frozen_copy_says_what_the_page_says_and_nothing_of_costs(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = sheet.find_quote(scenes.quote(wickerlark).pk)
        read = sheet.read_sheet(quote, wickerlark.studio)
        tape = read.tape
        frozen = freezing.frozen_copy(quote)
    assert sum(line.amount for line in frozen.lines) == frozen.net == tape.net
    assert frozen.net + sum(tax.amount for tax in frozen.taxes) == frozen.total == tape.total
    assert {line.code: line.quantity for line in frozen.bill} == read.needs
    assert sum(row.count for row in frozen.pieces[0].counts) == read.pieces[0].takeoff.balloons
    written = json.loads(canonical(frozen))
    assert not {"cost", "margin", "origin", "inside"} & {key for line in written["lines"] for key in line}
    assert any("CHOKING" in words for words in frozen.cautions)


def test_frames_of_one_kind_are_counted_in_the_words_below_a_picture(wickerlark: House) -> None:
    with wickerlark.enter():
        piece = sheet.find_quote(scenes.quote(wickerlark).pk).pieces.get()
        piece.takeoff = structs.replace(
            piece.takeoff, frames=("Arch frame 5 ft", "Arch frame 5 ft", "Ring 6 ft")
        )
        assert freezing.piece_facts(piece, "feet")[-1] == "Arch frame 5 ft × 2 and ring 6 ft"


def test_a_design_that_asks_for_too_much_says_so(wickerlark: House) -> None:
    with wickerlark.enter():
        design = {**scenes.starter(wickerlark.studio).design, "name": "Endless"}
        design["garlands"] = [
            {**design["garlands"][0], "route": [{"kind": "through", "points": [[0, 1], [900, 1]]}]}
        ]
        with pytest.raises(DesignError, match="-60 to 60"):
            read_design(design)


def test_starters_are_brought_in_once(wickerlark: House) -> None:
    with wickerlark.enter():
        assert library.bring_in_starters(wickerlark.studio)
        assert library.bring_in_starters(wickerlark.studio) == []

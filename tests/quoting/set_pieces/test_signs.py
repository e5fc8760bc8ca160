"""Signs: hung where they are seen, no wider than their frame, no heavier than their line, and saying what was typed."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest
import shapely

from quoting.craft.design.design_file import STARTERS, load_design, read_design, write_design
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.frames import face
from quoting.craft.design.records import Design, Sign
from quoting.craft.design.signs import HEAVIEST_ON_A_LINE_KG, own_words, sign_faults
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.sheets.stored import stored_prep, stored_takeoff
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from quoting.design_library import files
from quoting.quote_page.site_presenter import site_words
from quoting.quotes import sheet, sketch
from quoting.set_pieces import alter
from quoting.set_pieces.alter import Owned
from quoting.set_pieces.faults import cannot_sketch
from quoting.supplies import supplies
from stock.models import Kind
from studio.models import entered_studio
from tests import shelf
from tests.people import House
from tests.quoting import scenes

OWNED = Owned(
    colours={},
    frames={},
    covers={},
    signs={"sign-light-hello": "Light sign “hello”", "sign-board": "Acrylic board"},
)
FRAMED = (
    "classic-arch", "garland-nested-arches", "half-arch-doorway", "ring-and-panel", "ring-half-moon",
    "stage-three-frames", "table-garland", "terrace-frame-bouquets",
)  # fmt: skip
"""Starters with a frame that a sign can hang from, and no wall that it hangs before."""


def starter(name: str) -> Design:
    return load_design(STARTERS / f"{name}.json")


def hung(name: str) -> Design:
    return alter.altered(replace(starter(name), signs=()), {"sign.item": "sign-light-hello"}, OWNED)


def signed(**facts: object) -> Design:
    """The half-moon on a ring with another sign: its ring is 1.88 m wide."""
    design = starter("ring-half-moon")
    assert design.sign
    return replace(design, signs=(replace(design.sign, **facts),))  # type: ignore[arg-type] # each has its field's type


def shape_of(sign: Sign) -> shapely.Polygon:
    wide, high = sign.width_m / 2, sign.height_m / 2
    return shapely.box(sign.x_m - wide, sign.y_m - high, sign.x_m + wide, sign.y_m + high)


def hidden(takeoff: TakeOff, sign: Sign, depth: float) -> float:
    """Share of the sign behind balloons that bulge past its plane: each a disc where it is cut by that plane."""
    b = takeoff.balloons
    discs = []
    for x, y, z, r in zip(b.x, b.y, b.z, b.radius, strict=True):
        if z >= depth:
            discs.append(shapely.Point(x, y).buffer(r, 64))
        elif z + r > depth:
            discs.append(shapely.Point(x, y).buffer((r**2 - (depth - z) ** 2) ** 0.5, 64))
    return float(shape_of(sign).intersection(shapely.unary_union(discs)).area / shape_of(sign).area)


@pytest.mark.parametrize("name", FRAMED)
def test_a_sign_is_hung_in_the_room_that_its_frame_leaves_free(name: str) -> None:
    design = hung(name)
    sign = design.sign
    assert sign
    frame = next(one for one in design.frames if one.id == sign.frame)
    outside = 1 - shape_of(sign).intersection(shapely.Polygon(face(frame))).area / shape_of(sign).area
    assert hidden(take_off(design), sign, frame.z_m + 0.03) < 0.06
    assert outside < 0.06
    assert 0.29 * frame.width_m <= sign.width_m <= frame.width_m


@pytest.mark.parametrize("name", ["classic-columns", "column-wound"])
def test_no_sign_hangs_from_a_pole(name: str) -> None:
    sign = hung(name).sign
    assert sign
    assert sign.frame == ""
    assert sign.width_m == 0.9


def test_before_a_wall_of_balloons_a_sign_is_seen_whole() -> None:
    assert stored_prep(take_off(hung("ombre-wall"))).sign_hidden == 0


@pytest.mark.parametrize(("right", "up"), [(0.0, 0.0), (-0.6, -0.3), (0.7, 0.2), (0.9, 0.9)])
def test_how_much_of_a_sign_is_hidden_agrees_with_the_union_of_discs(right: float, up: float) -> None:
    design = signed()
    assert design.sign
    moved = replace(design.sign, x_m=design.sign.x_m + right, y_m=design.sign.y_m + up)
    takeoff = take_off(replace(design, signs=(moved,)))
    prep = stored_prep(takeoff)
    ring = design.frames[0]
    outside = 1 - shape_of(moved).intersection(shapely.Polygon(face(ring))).area / shape_of(moved).area
    assert prep.sign_hidden == pytest.approx(hidden(takeoff, moved, ring.z_m + 0.03), abs=0.03)
    assert prep.sign_outside == pytest.approx(outside, abs=0.03)


def test_a_sign_of_12_kg_or_wider_than_its_frame_is_refused_at_its_field() -> None:
    (heavy,) = sign_faults(signed(weight_kg=12.0))
    assert (heavy.code, heavy.field, heavy.found) == (FaultCode.SIGN_TOO_HEAVY, "signs[0].weight_kg", 12.0)
    (wide,) = sign_faults(signed(width_m=2.0))
    assert (wide.code, wide.field, wide.high) == (FaultCode.SIGN_TOO_WIDE, "signs[0].width_m", 1.88)
    assert sign_faults(signed(weight_kg=HEAVIEST_ON_A_LINE_KG, width_m=1.88)) == []
    assert sign_faults(signed(weight_kg=12.0, width_m=3.0, frame="")) == [], (
        "what stands by itself needs no line"
    )


def test_what_a_line_holds_is_no_more_than_two_drops_of_it_with_knots_and_safety() -> None:
    """By hand: 30 lb of line are 13.6 kg; a knot leaves half; two drops share it; a fifth may hang over people."""
    assert pytest.approx(2 * 30 * 0.45359237 * 0.5 / 5, abs=0.1) == HEAVIEST_ON_A_LINE_KG


def test_a_change_that_makes_a_sign_too_wide_is_refused_in_the_studio_s_units() -> None:
    with pytest.raises(DesignError) as refused:
        alter.altered(signed(width_m=2.5), {"sign.item": "sign-light-hello"}, OWNED)
    messages = cannot_sketch(refused.value, "feet").faults
    assert "ft" in messages["sign.item"][0]
    assert "frame" in messages["sign.item"][0]
    alter.altered(signed(width_m=2.5), {"sign.item": ""}, OWNED)


@pytest.mark.parametrize(
    ("label", "words"),
    [
        ("Light sign “hello”", "hello"),
        ("Leuchtschrift „at last“", "at last"),
        ('Neon "Mara & Jo"', "Mara & Jo"),
        ("Acrylic board", "Acrylic board"),
    ],
)
def test_a_sign_s_own_words_are_those_in_quotes(label: str, words: str) -> None:
    assert own_words(label) == words
    design = alter.altered(
        replace(starter("half-arch-doorway"), signs=()),
        {"sign.item": "it"},
        replace(OWNED, signs={"it": label}),
    )
    assert design.sign
    assert design.sign.text == words


def sign_lines(design: Design) -> list[tuple[str, str]]:
    return [(line.code, line.label) for line in take_off(design).bill() if line.part == "sign"][:2]


def test_a_name_typed_into_a_light_sign_is_what_is_made() -> None:
    design = hung("half-arch-doorway")
    assert sign_lines(design)[0] == ("sign-light-hello", "Light sign “hello”")
    typed = alter.altered(design, {"sign.text": "Mara & Jo"}, OWNED)
    code, label = sign_lines(typed)[0]
    assert code not in OWNED.signs, "the shelf's sign says something else"
    assert label == "Sign “Mara & Jo”, to be made"
    assert "Hang the sign: Sign “Mara & Jo”." in build_sheet(take_off(typed)).steps
    other = alter.altered(design, {"sign.text": "Jo & Mara"}, OWNED)
    assert sign_lines(other)[0][0] != code, "another name is another sign"
    assert sign_lines(alter.altered(typed, {"sign.text": "hello"}, OWNED))[0][0] == "sign-light-hello"


def test_a_name_on_a_plain_board_is_lettering_on_the_board() -> None:
    plain = alter.altered(replace(starter("half-arch-doorway"), signs=()), {"sign.item": "sign-board"}, OWNED)
    assert "lettering" not in " ".join(code for code, _ in sign_lines(plain))
    typed = sign_lines(alter.altered(plain, {"sign.text": "Mara & Jo"}, OWNED))
    assert typed[0] == ("sign-board", "Acrylic board")
    assert typed[1][1] == "Lettering “Mara & Jo”"


def test_a_file_with_a_sign_of_12_kg_is_refused_at_its_field() -> None:
    with pytest.raises(DesignError) as refused:
        files.read(json.dumps(write_design(signed(weight_kg=12.0))))
    assert [fault.field for fault in refused.value.faults] == ["signs[0].weight_kg"]
    assert "the line that it hangs from holds 2.7 kg" in str(refused.value)


def test_a_design_that_was_kept_with_a_heavy_sign_still_reads() -> None:
    heavy = signed(weight_kg=12.0)
    assert read_design(write_design(heavy)) == heavy
    assert alter.altered(heavy, {"loss": 0.1}, OWNED).loss == 0.1, "and is changed elsewhere"


def test_a_sign_that_balloons_hide_is_cautioned_on_the_quote_page(wickerlark: House) -> None:
    design = signed()
    assert design.sign
    low = replace(design, signs=(replace(design.sign, x_m=-0.75, y_m=0.7),))
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        piece = quote.pieces.get()
        piece.design, piece.takeoff = write_design(low), stored_takeoff(take_off(low))
        words = site_words(piece, quote.event, "metric")
    share = hidden(take_off(low), low.sign, design.frames[0].z_m + 0.03) if low.sign else 0.0
    said = [re.search(r"Balloons hide about (\d+) % of the sign", mind) for mind in words.minds]
    (found,) = [one for one in said if one]
    assert float(found[1]) == pytest.approx(100 * share, abs=3)


def test_a_name_typed_on_the_quote_is_a_line_that_somebody_must_supply(wickerlark: House) -> None:
    with wickerlark.enter():
        shelf.put([(shelf.thing(Kind.SIGN, "Light sign “hello”", code="sign-light-hello"), 1)])
        quote = scenes.quote(wickerlark)
        piece = quote.pieces.get()
        for changes in ({"sign.item": "sign-light-hello"}, {"sign.text": "Mara & Jo"}):
            quote = sketch.alter_piece(quote.pk, piece.pk, changes, version=quote.version)
        read = sheet.read_sheet(sheet.find_quote(quote.pk), entered_studio())
        missing = [one.label for one in supplies.find_missing(read)]
    assert "Sign “Mara & Jo”, to be made" in missing
    assert "sign-light-hello" not in read.needs

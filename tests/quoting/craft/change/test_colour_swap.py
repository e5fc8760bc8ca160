"""Balloons in another colour than designed: bill, counts, prep and sheets tell the same, those within others too."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from quoting.build_sheet.presenter import build_words
from quoting.craft.change.colour_swap import ColourSwap, with_colours_swapped
from quoting.craft.design.records import Design, PaletteColour, Wall
from quoting.craft.design.things import Round
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.site.prep import prep_of
from quoting.craft.takeoff.doubles import every_colour
from quoting.craft.takeoff.explain import explained_bill
from quoting.craft.takeoff.takeoff import TakeOff, take_off

OAT = PaletteColour(colour="oat", name="Oat", hex="#EFE6D6", share=0.5, finish="double-stuffed", inner="plum")
PLUM = PaletteColour(colour="plum", name="Plum", hex="#5A2A4A", share=0.5)
SKY = PaletteColour(colour="sky", name="Sky", hex="#88AACC", share=0)
WALL = Wall(id="w", width_m=1, height_m=1, size_in=11, sized_m=0.23)
BIG = Round(id="r", size_in=36, sized_m=0.8, colour="oat", x_m=2, y_m=0.4)


def wall(*, in_palette: bool = True) -> Design:
    """A wall half of which is double-stuffed, and a big round that is; what is in them may be of the palette or not."""
    if in_palette:
        return Design(version=2, name="Wall", palette=(OAT, PLUM), walls=(WALL,), rounds=(BIG,))
    outer = replace(OAT, inner="rose", inner_name="Rose", inner_hex="#C98A8A")
    return replace(wall(), palette=(outer, PLUM))


def swapped(design: Design, colour: str, into: PaletteColour = SKY, size_in: int = 11) -> TakeOff:
    return with_colours_swapped(take_off(design), [ColourSwap(size_in, colour, into)])


def counted(takeoff: TakeOff) -> Counter[tuple[int, str]]:
    """Every balloon of the picture and every one within another, counted one by one."""
    codes, b = [colour.colour for colour in every_colour(takeoff.design)], takeoff.balloons
    found = Counter((int(size), codes[colour]) for size, colour in zip(b.size_in, b.colour, strict=True))
    return found + Counter(
        (int(size), codes[inner]) for size, inner in zip(b.size_in, b.inner, strict=True) if inner >= 0
    )


@pytest.mark.parametrize(
    ("in_palette", "colour"), [(True, "oat"), (True, "plum"), (False, "oat"), (False, "rose")]
)
def test_counts_bill_rings_and_sheets_agree(in_palette: bool, colour: str) -> None:
    takeoff = swapped(wall(in_palette=in_palette), colour)
    assert (11, colour) not in takeoff.counts
    assert takeoff.counts == counted(takeoff)
    bill = {line.code: line.quantity for line, _ in explained_bill(takeoff)}
    to_bring = {f"latex-{size}-{code}": count for (size, code), count in takeoff.to_bring.items()}
    assert {code: count for code, count in bill.items() if code.startswith("latex-")} == to_bring
    assert sum(ring.count for ring in prep_of(takeoff).rings) == sum(takeoff.to_bring.values())
    assert "sky" in repr(build_words(takeoff, "metric"))


def test_the_one_within_another_comes_in_its_new_colour() -> None:
    takeoff, before = swapped(wall(), "plum"), take_off(wall()).counts
    assert takeoff.counts == {
        (36, "oat"): 1,
        (36, "plum"): 1,
        (11, "oat"): before[11, "oat"],
        (11, "sky"): before[11, "plum"],
    }
    words = " ".join(recipe.words for piece in build_sheet(takeoff).pieces for recipe in piece.recipes)
    assert "oat over sky 11 in" in words
    assert "plum" not in words
    assert "Place 1 x Oat over plum 36 in." in build_sheet(takeoff).steps


def test_what_is_within_stays_where_the_outer_one_is_swapped() -> None:
    words = [one.words for piece in build_sheet(swapped(wall(), "oat")).pieces for one in piece.recipes]
    assert any("sky over plum 11 in" in one for one in words)
    mixed = swapped(wall(), "oat", PLUM)
    words = [one.words for piece in build_sheet(mixed).pieces for one in piece.recipes]
    assert any("plum, some over plum 11 in" in one for one in words)


def test_a_swapped_round_is_told_in_its_new_colour() -> None:
    assert "Place 1 x Sky over plum 36 in." in build_sheet(swapped(wall(), "oat", size_in=36)).steps


def test_the_picture_shows_through_what_is_within_now() -> None:
    tinted, after = (elevation_svg(one) for one in (take_off(wall()), swapped(wall(), "plum")))
    lit = elevation_svg(
        take_off(
            replace(wall(), palette=(replace(OAT, inner="sky", inner_name="Sky", inner_hex=SKY.hex), PLUM))
        )
    )
    first = [svg[svg.index('id="g0"') :].split("</radialGradient>")[0] for svg in (tinted, after, lit)]
    assert first[0] != first[1] == first[2]

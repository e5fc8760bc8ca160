"""Drawn walls: what the grid says is what hangs there, and letters are whole."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from quoting.craft.change.edit import mirrored, swap_colour
from quoting.craft.colour.grids import ALPHABET, LETTER_COLUMNS, LETTER_ROWS, lettered_grid
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.records import Design, PaletteColour, Wall
from quoting.craft.settle.classic import wall_cells
from quoting.craft.table.acts import apply, read_act
from quoting.craft.table.shelf import Shelf
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from tests.quoting.craft.design.thing_designs import INK, OAT, PROP
from tests.quoting.craft.starter_designs import starter

WALL = Wall(id="wall", width_m=5.0, height_m=2.2, size_in=11, sized_m=0.23, pattern="drawn")


def lettered(word: str) -> tuple[Design, tuple[str, ...]]:
    grid = lettered_grid(word, *wall_cells(WALL))
    wall = replace(WALL, grid=grid)
    return Design(version=2, name="Wall", palette=(OAT, INK), walls=(wall,)), grid


def seen_from_the_front(takeoff: TakeOff, columns: int, rows: int) -> list[str]:
    """The foremost balloon about the middle of every cell, as the mark of its colour."""
    b = takeoff.balloons
    across = np.linspace(b.x.min(), b.x.max(), columns)
    up = np.linspace(b.y.max(), b.y.min(), rows)
    found = []
    for y in up:
        row = ""
        for x in across:
            near = np.flatnonzero(np.hypot(b.x - x, b.y - y) < 0.6 * 2 * b.radius)
            row += str(int(b.colour[near[np.argmax(b.z[near])]])) if len(near) else "0"
        found.append(row)
    return found


def test_a_word_stands_on_the_wall_as_it_is_drawn() -> None:
    design, grid = lettered("MAX")
    seen = seen_from_the_front(take_off(design), *wall_cells(WALL))
    alike = [
        a == b for seen_row, row in zip(seen, grid, strict=True) for a, b in zip(seen_row, row, strict=True)
    ]
    assert np.mean(alike) > 0.9
    assert wall_cells(WALL) == (len(grid[0]), len(grid))


def test_the_counts_follow_the_grid_and_not_the_shares() -> None:
    whole = Design(version=2, name="Wall", palette=(OAT, INK), walls=(replace(WALL, grid=("1",)),))
    assert {colour for _, colour in take_off(whole).counts} == {"ink"}
    halves = replace(whole, walls=(replace(WALL, grid=("01",)),))
    left, right = take_off(halves).counts.values()
    assert abs(left - right) <= 0.05 * (left + right)


def test_shares_hold_for_what_is_not_drawn() -> None:
    design = starter("ombre-wall")
    drawn = replace(design.walls[0], id="drawn", pattern="drawn", grid=("0",), x_m=10.0)
    alone, both = take_off(design).counts, take_off(replace(design, walls=(*design.walls, drawn))).counts
    size, first = design.walls[0].size_in, design.palette[0].colour
    more = both.pop((size, first)) - alone[size, first]
    assert more > 0
    assert both == {key: count for key, count in alone.items() if key != (size, first)}


def test_the_mirror_image_reads_as_before() -> None:
    design, _ = lettered("MAX")
    cells = wall_cells(WALL)
    assert seen_from_the_front(take_off(mirrored(design)), *cells) == pytest.approx(
        seen_from_the_front(take_off(design), *cells)
    )


@pytest.mark.parametrize("sign", [sign for sign in ALPHABET if sign != " "])
def test_each_letter_fills_its_rows_and_looks_like_no_other(sign: str) -> None:
    grid = lettered_grid(sign, LETTER_COLUMNS, LETTER_ROWS)
    assert {len(row) for row in grid} == {LETTER_COLUMNS}
    assert (
        sum(grid == lettered_grid(other, LETTER_COLUMNS, LETTER_ROWS) for other in ALPHABET if other != " ")
        == 1
    )


def test_letters_grow_by_whole_cells_and_stand_in_the_middle() -> None:
    grid = lettered_grid("I", 12, 15)
    assert (grid[0], grid[1], grid[14]) == ("000111111000", "000111111000", "0" * 12)
    assert sum(row.count("1") for row in grid) == 4 * sum(row.count("1") for row in lettered_grid("I", 5, 7))


@pytest.mark.parametrize(
    ("word", "columns", "rows", "found", "most"), [("LOVE", 22, 9, 23.0, 22.0), ("A", 9, 6, 7.0, 6.0)]
)
def test_a_word_too_long_for_the_wall_is_refused(
    word: str, columns: int, rows: int, found: float, most: float
) -> None:
    with pytest.raises(DesignError) as refused:
        lettered_grid(word, columns, rows)
    (fault,) = refused.value.faults
    assert (fault.code, fault.found, fault.high) == (FaultCode.WORD_TOO_LONG, found, most)


@pytest.mark.parametrize("word", ["", "  ", "花", "a_b"])
def test_a_sign_without_a_letter_is_refused(word: str) -> None:
    with pytest.raises(DesignError) as refused:
        lettered_grid(word, 99, 20)
    assert [fault.code for fault in refused.value.faults] == [FaultCode.UNKNOWN_CHOICE]


def test_a_drawn_wall_beside_a_prop_is_worked_out() -> None:
    design, _ = lettered("A")
    assert take_off(replace(design, props=(PROP,))).counts


def test_a_drawn_wall_keeps_its_picture_where_two_colours_become_one() -> None:
    plum = replace(INK, colour="plum", name="Plum", hex="#5A2A4A", share=0.0)
    design = replace(lettered("A")[0], palette=(OAT, INK, plum), walls=(replace(WALL, grid=("012", "210")),))
    one = swap_colour(design, "oat", replace(plum, share=0.0))
    assert [colour.colour for colour in one.palette] == ["ink", "plum"]
    assert one.walls[0].grid == ("101", "101")
    other = swap_colour(design, "oat", PaletteColour(colour="brick", name="Brick", hex="#A4553F", share=0.0))
    assert other.walls[0].grid == ("012", "210")


def test_a_word_is_put_on_a_wall_at_the_drawing_table() -> None:
    act = read_act("put-wall", {"width_m": 5.0, "height_m": 2.2, "x_m": 0.0, "word": "MAX"})
    (wall,) = apply(replace(lettered("A")[0], walls=(), props=(PROP,)), act, Shelf()).design.walls
    assert (wall.pattern, wall.grid) == ("drawn", lettered_grid("MAX", *wall_cells(wall)))
    longer = read_act("put-wall", {"width_m": 1.0, "height_m": 2.2, "word": "MAXIMILIAN"})
    with pytest.raises(DesignError):
        apply(lettered("A")[0], longer, Shelf())

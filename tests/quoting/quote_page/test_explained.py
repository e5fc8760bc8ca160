"""Every count of "Materials and labor" is traced to its parts, and the parts add up to it, spares included."""

from __future__ import annotations

import re

import pytest
from scipy.stats import binom

from quoting.craft.design.design_file import load_design
from quoting.craft.design.records import ROLES
from quoting.craft.takeoff.explain import explain
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from quoting.design_library.library import STARTERS

DESIGNS = sorted(STARTERS.glob("*.json"))
PARTS = re.compile(r"(?:^|, )(\d+) (?:in quads|as bigger rounds|tied on|in fillers|afloat)")


@pytest.fixture(params=DESIGNS, ids=[path.stem for path in DESIGNS])
def result(request: pytest.FixtureRequest) -> TakeOff:
    return take_off(load_design(request.param))


def test_every_line_of_the_bill_says_how_it_came_about(result: TakeOff) -> None:
    for line in result.bill():
        told = explain(result, line.code)
        assert told.startswith(f"{line.label}: ")
        assert re.search(rf"\b{line.quantity}\b", told), f"{line.code} ends at its quantity: {told}"


def test_parts_and_spares_of_latex_add_up_to_the_count(result: TakeOff) -> None:
    rounds = [line for line in result.bill() if re.match(r"latex-(?!260)", line.code)]
    assert rounds
    for line in rounds:
        told = explain(result, line.code).removeprefix(f"{line.label}: ")
        parts, _, rest = told.partition(" = ")
        found = re.fullmatch(r"(\d+) placed; \+ (\d+) spare \((.+)\) = (\d+)\.", rest)
        assert found, told
        placed, spare, quantity = int(found[1]), int(found[2]), int(found[4])
        assert sum(int(count) for count in PARTS.findall(parts)) == placed, told
        assert placed + spare == quantity == line.quantity
        why = re.fullmatch(
            r"(?:(\d+) for all (\d+) of .* in, )?enough in ([\d.]+) % of jobs where ([\d.]+) % of what is brought "
            r"is lost; for the whole piece in ([\d.]+) %",
            found[3],
        )
        assert why, told
        # Of what is brought, spares and all, no more may be lost than there are spares.
        spares, all_placed = (int(why[1]), int(why[2])) if why[1] else (spare, placed)
        chance = binom.cdf(spares, all_placed + spares, float(why[4]) / 100)
        assert float(why[3]) == pytest.approx(100 * chance, abs=0.051), told
        assert float(why[5]) >= 90


def test_parts_of_the_twisting_latex_add_up_to_the_count(result: TakeOff) -> None:
    for line in result.bill():
        if line.code.startswith("latex-260-"):
            told = explain(result, line.code)
            parts = re.findall(
                r"(\d+) (?:as string|as tails|cut in half|to tie on big rounds|to tie in end quads)", told
            )
            assert sum(map(int, parts)) == line.quantity, told
            big_rounds = int((result.balloons.role == ROLES.index("accent")).sum())
            assert ("to tie on big rounds" in told) == (big_rounds > 0)
            assert ("to tie in end quads" in told) == bool(result.ends)
            assert ("cut in half" in told) == bool((result.balloons.role == ROLES.index("filler")).any())


def test_frames_and_covers_are_counted_by_what_they_stand_for(result: TakeOff) -> None:
    frames = {frame.item: frame.label for frame in result.design.frames}
    for line in result.bill():
        if line.code in frames:
            told = explain(result, line.code)
            assert told.count(frames[line.code]) - 1 == line.quantity, told

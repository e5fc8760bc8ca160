"""What each balloon of the model is to the crew, against the lists of the build sheet."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.design.things import Round
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.sheets.order_of_building import balls_built, everything_built, solids_built
from quoting.craft.sheets.steps import steps_of
from quoting.craft.solid.scene import scene_of
from quoting.craft.takeoff.takeoff import TakeOff, take_off

NAMES = [path.stem for path in sorted(STARTERS.glob("*.json"))]


def worked(name: str) -> TakeOff:
    return take_off(load_design(STARTERS / f"{name}.json"))


@pytest.mark.parametrize("name", NAMES)
def test_as_many_balloons_have_a_recipe_as_the_lists_make(name: str) -> None:
    takeoff = worked(name)
    built, sheet = balls_built(takeoff), build_sheet(takeoff)
    made = sum(one.recipe.count * len(one.recipe.balloons) for piece in sheet.pieces for one in piece.recipes)
    assert sum(bool(one.recipe) for one in built) == made
    by_recipe = Counter(
        (int(takeoff.balloons.garland[k]), one.recipe) for k, one in enumerate(built) if one.recipe
    )
    for index, piece in enumerate(sheet.pieces):
        for one in piece.recipes:
            assert by_recipe[index, one.name] == one.recipe.count * len(one.recipe.balloons)


@pytest.mark.parametrize("name", NAMES)
def test_a_quad_on_the_string_has_the_recipe_that_the_order_says(name: str) -> None:
    takeoff = worked(name)
    built = balls_built(takeoff)
    for index, piece in enumerate(build_sheet(takeoff).pieces):
        order = {q: run.recipe for run in piece.order for q in range(run.first, run.last + 1)}
        mine = [built[k] for k in np.flatnonzero(takeoff.balloons.garland == index) if built[k].on_string]
        assert {one.on_string: one.recipe for one in mine} == order


@pytest.mark.parametrize("name", NAMES)
def test_every_numbered_place_is_on_the_balloons_that_are_there(name: str) -> None:
    takeoff = worked(name)
    built, centres = balls_built(takeoff), takeoff.balloons.centres
    rows = [row for piece in build_sheet(takeoff).pieces for _, rows in piece.placed for row in rows]
    numbers = [row.number for row in rows if row.number]
    assert numbers == list(range(1, len(numbers) + 1)), "each number once, in the order of the lists"
    for row in rows:
        if row.balloons:
            assert {k for k, one in enumerate(built) if one.place == row.number} == set(row.balloons)
            assert (row.x_m, row.y_m) == pytest.approx(centres[list(row.balloons), :2].mean(axis=0))


@pytest.mark.parametrize("name", NAMES)
def test_every_step_that_puts_something_up_has_it_in_the_model(name: str) -> None:
    takeoff = worked(name)
    steps, scene = steps_of(takeoff), scene_of(takeoff)
    built = everything_built(takeoff, scene)
    assert len(built) == len(scene.balls) + len(scene.solids)
    shown = {steps[one.step - 1].kind for one in built if one.step}
    # A table and its cloth are one board in the model.
    cloth = {"covers"} if name == "table-garland" else set()
    assert shown == {step.kind for step in steps} - {"ballast", "ties", "look"} - cloth


def test_steps_put_up_what_they_say() -> None:
    takeoff = worked("garland-nested-arches")
    steps, scene = steps_of(takeoff), scene_of(takeoff)
    told = Counter(steps[one.step - 1].kind for one in balls_built(takeoff))
    texts = {step.kind: step.text for step in steps}
    assert texts["ends"].startswith(f"Tie in {told['ends'] // 4} end quads")
    assert texts["big rounds"].startswith(f"Tie on {told['big rounds']} big rounds")
    assert texts["fillers"].startswith(f"Wrap {told['fillers'] // 8} fillers")
    stood = {
        solid.name: steps[one.step - 1].kind
        for solid, one in zip(scene.solids, solids_built(takeoff, scene.solids), strict=True)
    }
    assert (stood["Arch frame 7 ft"], stood["Cover for arch 7 ft, sage"]) == ("frames", "covers")


def test_a_round_by_itself_goes_up_with_the_rounds_and_has_no_recipe() -> None:
    design = load_design(STARTERS / "classic-arch.json")
    alone = Round(
        id="one", label="Round", size_in=36, sized_m=0.8, colour=design.palette[0].colour, x_m=2.0, y_m=0.4
    )
    takeoff = take_off(replace(design, rounds=(alone,)))
    last = balls_built(takeoff)[-1]
    assert steps_of(takeoff)[last.step - 1].kind == "rounds"
    assert (last.recipe, last.on_string, last.place, last.station_m) == ("", 0, 0, None)


def test_a_pillar_of_the_house_stands_before_the_first_step() -> None:
    takeoff = worked("column-wound")
    scene = scene_of(takeoff)
    steps = {
        solid.name: one.step
        for solid, one in zip(scene.solids, solids_built(takeoff, scene.solids), strict=True)
    }
    assert steps["Pillar of the hall"] == 0

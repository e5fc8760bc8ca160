"""Two frames can't stand in one place: refused in a new file, on the command line and by a change."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from shapely import LineString

from quoting.craft.design.design_file import write_design
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.frame_places import frame_place_faults
from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Frame, OwnedSize
from quoting.craft.sheets.command import run
from quoting.design_library import files
from quoting.set_pieces import alter
from quoting.set_pieces.faults import cannot_sketch
from tests.quoting.craft.starter_designs import NAMES, starter


def with_frames(*frames: Frame) -> Design:
    return replace(starter("classic-arch"), frames=frames, garlands=(), signs=())


def ring(name: str, **moved: float) -> Frame:
    """A ring of 2 m, its tube 3 cm."""
    sides: dict[str, Any] = {"width_m": 2.0, "height_m": 2.0, "tube_m": 0.03, **moved}
    return Frame(id=name, shape="ring", item="ring", label=f"Ring {name}", **sides)


@pytest.mark.parametrize("name", NAMES)
def test_no_starter_has_two_frames_in_one_place(name: str) -> None:
    assert frame_place_faults(starter(name)) == []


@pytest.mark.parametrize(
    ("moved", "collides"),
    [
        ({}, True),  # the same place
        ({"x_m": 1.0}, True),  # two rings that cross at two points
        ({"x_m": 1.99}, True),  # their tubes run 1 cm into each other
        ({"x_m": 2.03}, False),  # side by side, they touch
        ({"width_m": 1.5, "height_m": 1.5, "base_m": 0.25}, False),  # one within the other
        (
            {"width_m": 1.98, "height_m": 1.98, "base_m": 0.01},
            True,
        ),  # one within the other, 1 cm apart at most
        ({"z_m": 0.029}, True),  # one behind the other, their tubes 3 cm thick
        ({"z_m": 0.03}, False),
        ({"z_m": -0.35}, False),
    ],
)
def test_tubes_that_run_through_each_other_are_in_one_place(moved: dict[str, float], collides: bool) -> None:
    faults = frame_place_faults(with_frames(ring("a"), ring("b", **moved)))
    assert [(fault.code, fault.field, fault.found) for fault in faults] == (
        [(FaultCode.FRAMES_IN_ONE_PLACE, "frames[1].z_m", "Ring a")] if collides else []
    )


def test_a_column_takes_its_whole_width() -> None:
    pole = Frame(id="pole", shape="column", item="pole", label="Pole", width_m=0.4, height_m=2.0)
    assert frame_place_faults(with_frames(pole, replace(pole, id="next", x_m=0.39, z_m=0.0)))
    assert frame_place_faults(with_frames(pole, replace(pole, id="next", x_m=0.0, z_m=0.39)))
    assert not frame_place_faults(with_frames(pole, replace(pole, id="next", x_m=0.3, z_m=0.3)))


def doubled() -> Design:
    design = starter("classic-arch")
    return replace(design, frames=(*design.frames, replace(design.frames[0], id="again")))


def test_a_file_with_two_is_refused_and_says_where() -> None:
    with pytest.raises(DesignError) as refused:
        files.read(json.dumps(write_design(doubled())))
    (fault,) = refused.value.faults
    assert fault.field == "frames[1].z_m"
    assert str(fault).startswith("frames[1].z_m: puts the frame where ")


def test_the_command_refuses_it_as_well(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "doubled.json"
    path.write_text(json.dumps(write_design(doubled())), encoding="utf-8")
    assert run([str(path)]) == 1
    assert "frames[1].z_m: puts the frame where " in capsys.readouterr().err


def test_the_command_refuses_a_sign_of_12_kg(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    design = starter("ring-half-moon")
    assert design.sign is not None
    path = tmp_path / "heavy.json"
    heavy = replace(design, signs=(replace(design.sign, weight_kg=12.0),))
    path.write_text(json.dumps(write_design(heavy)), encoding="utf-8")
    assert run([str(path)]) == 1
    assert "signs[0].weight_kg: is 12; the line that it hangs from holds 2.7 kg" in capsys.readouterr().err


def test_a_change_that_puts_a_frame_into_another_is_refused_at_the_frame() -> None:
    """A smaller ring within a bigger one grows to the size of the other."""
    sizes = {"big": 2.0, "small": 1.5}
    owned_sizes = [OwnedSize(item=k, label=k, width_m=side, height_m=side) for k, side in sizes.items()]
    owned = alter.Owned({}, {"ring": owned_sizes}, {}, {})
    frames = with_frames(ring("a"), ring("b", width_m=1.5, height_m=1.5, base_m=0.25))
    design = replace(frames, walls=starter("ombre-wall").walls)
    assert alter.altered(design, {"frame.b": "small"}, owned).frames[1].width_m == 1.5
    with pytest.raises(DesignError) as refused:
        alter.altered(design, {"frame.b": "big"}, owned)
    words = cannot_sketch(refused.value, "feet").faults
    assert words == {"frame.b": ["This frame would stand where Ring a stands. Choose another size."]}


def test_what_was_kept_in_one_place_before_still_changes_otherwise() -> None:
    owned = alter.Owned({}, {}, {}, {})
    assert alter.altered(doubled(), {"loss": 0.1}, owned).loss == 0.1


@pytest.mark.parametrize("seed", range(30))
def test_two_frames_are_in_one_place_where_shapely_has_their_tubes_meet(seed: int) -> None:
    # Source: shapely, the distance of the two outlines.
    rng = np.random.default_rng(seed)
    shapes = [str(shape) for shape in rng.choice(["arch-top", "ring", "panel", "half-arch", "polygon"], 2)]
    pair = [
        replace(ring(name), shape=shape, x_m=float(x), width_m=float(width), height_m=2.2)
        for name, shape, x, width in zip(
            "ab", shapes, rng.uniform(-2, 2, 2), rng.uniform(0.5, 1.5, 2), strict=True
        )
    ]
    apart = LineString(outline(pair[0]).points).distance(LineString(outline(pair[1]).points))
    if abs(apart - 0.03) > 0.002:
        assert (frame_place_faults(with_frames(*pair)) != []) == (apart < 0.03)

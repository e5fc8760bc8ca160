"""Another size: met within two per cent or refused with the nearest, by whatever way it was asked for."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from quoting.craft.change.edit import edited
from quoting.craft.change.resize import scale_to
from quoting.craft.design.design_file import STARTERS, load_design, read_design, write_design
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.settle.laying import routes_of
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.change.resize_checks import (
    Asked,
    cheaper_though_wider,
    differs_by_path,
    misses,
    random_wishes,
    with_sizes,
)


@pytest.mark.parametrize(
    "asked",
    [Asked("ring-half-moon", 0.9, 1.0), Asked("garland-nested-arches", 1.25, 1.0), *random_wishes(10, 41)],
)
def test_a_size_is_met_or_refused_with_the_nearest(asked: Asked) -> None:
    assert misses(asked) == ""


@pytest.mark.parametrize("asked", [*random_wishes(5, 42)])
def test_the_same_wish_gives_the_same_piece_whatever_was_asked_before(asked: Asked) -> None:
    assert differs_by_path(asked, (1.12, 1.0, 1.25)) == ""


@pytest.mark.parametrize(
    ("name", "shares"),
    [
        ("garland-nested-arches", (0.8, 0.9)),
        ("ring-and-panel", (1.11, 1.165)),
        ("half-arch-doorway", (1.3223355381707345, 1.387614178491597)),
        ("table-garland", (0.9223915000273442, 0.9419640915465907)),
    ],
)
def test_wider_costs_no_less(name: str, shares: tuple[float, float]) -> None:
    assert cheaper_though_wider(name, shares) == ""


def test_random_widths_are_never_cheaper_for_being_wider() -> None:
    rng = random.Random(43)  # noqa: S311
    found = []
    for _ in range(4):
        low = rng.uniform(0.75, 1.3)
        found.append(cheaper_though_wider("garland-nested-arches", (low, low * rng.uniform(1.05, 1.2))))
    assert any(one is not None for one in found)
    assert [one for one in found if one] == []


@pytest.mark.parametrize("high", [0.8, 0.9, 1.0, 1.1, 1.2])
def test_two_nested_arches_never_become_two_equal_ones(high: float) -> None:
    design, wide, height = Asked("garland-nested-arches", 1.05, high).sizes()
    tall, low = scale_to(design, width_m=wide, height_m=height, must=()).frames
    assert tall.height_m > low.height_m + 0.1
    assert tall.width_m > low.width_m


@pytest.mark.parametrize("cover_codes", [True, False])
def test_a_cover_fits_the_frame_that_was_taken(cover_codes: bool) -> None:
    design = with_sizes(load_design(STARTERS / "garland-nested-arches.json"), cover_codes=cover_codes)
    scaled = scale_to(design, width_m=3.45, height_m=2.93, must=())
    for frame in scaled.frames:
        assert frame.cover is not None
        size = frame.label.removeprefix("Arch frame ")
        assert size in frame.cover.label
        assert size.replace(" ", "") in frame.cover.item
    assert [frame.label for frame in scaled.frames] == ["Arch frame 8 ft", "Arch frame 7 ft"]


def test_a_change_and_a_size_may_come_in_either_order() -> None:
    design = load_design(STARTERS / "garland-nested-arches.json")
    changes = {"fullness": 0.95, "rounds": 0.2, "share.ink": 0.4}
    size = {"width_m": 3.3, "height_m": 2.5}
    first = edited(scale_to(design, **size, must=()), changes)
    assert first == scale_to(edited(design, changes), **size, must=())
    assert take_off(first).fullness > 0.92


def test_a_scaled_design_survives_its_file() -> None:
    design = scale_to(load_design(STARTERS / "half-arch-doorway.json"), width_m=2.3, height_m=2.6, must=())
    assert design.chosen is not None
    assert read_design(write_design(design)) == design


@pytest.mark.parametrize("which", ["low", "high"])
def test_between_two_sizes_of_its_frames_both_are_named_and_can_be_had(which: str) -> None:
    design, wide, high = Asked("classic-columns", 1.0, 0.88).sizes()
    with pytest.raises(DesignError) as refused:
        scale_to(design, width_m=wide, height_m=high)
    (fault,) = refused.value.faults
    assert (fault.code, fault.field) == (FaultCode.BETWEEN_SIZES, "height_m")
    assert fault.low is not None
    assert fault.high is not None
    assert 1.6 < fault.low < 1.7  # a pole of 5 ft: 1.52 m, and the top ring of balloons
    assert 2.0 < fault.high < 2.1  # one of 6½ ft
    wish = fault.low if which == "low" else fault.high
    size = take_off(scale_to(design, width_m=wide, height_m=wish)).dimensions
    assert size.height_m == pytest.approx(wish, rel=0.02)


def test_between_two_counts_of_columns_a_wall_names_the_narrower_and_the_wider() -> None:
    design, wide, high = Asked("ombre-wall", 0.93, 1.0).sizes()
    with pytest.raises(DesignError) as refused:
        scale_to(design, width_m=wide, height_m=high, must=("width_m",))
    (fault,) = refused.value.faults
    assert fault.low is not None
    assert fault.high is not None
    assert fault.low < wide < fault.high
    for wish in (fault.low, fault.high):
        size = take_off(scale_to(design, width_m=wish, height_m=high, must=("width_m",))).dimensions
        assert size.width_m == pytest.approx(wish, rel=0.02)


def test_a_studio_that_owns_one_size_of_arch_keeps_the_frames_as_they_are() -> None:
    design, wide, high = Asked("garland-nested-arches", 1.05, 1.0).sizes()
    one_size = design.frames[0].sizes[:1]
    alike = replace(design, frames=tuple(replace(frame, sizes=one_size) for frame in design.frames))
    scaled = scale_to(alike, width_m=wide, height_m=high, must=())
    assert [frame.label for frame in scaled.frames] == [frame.label for frame in design.frames]


def test_no_wider_wish_is_answered_by_a_shorter_string() -> None:
    """Steps of less than a scale of the grid, then one after which the frames are bigger ones."""
    design, wide, high = Asked("garland-nested-arches", 1.0, 1.0).sizes()
    strings = [
        sum(
            route.length_m
            for route in routes_of(scale_to(design, width_m=share * wide, height_m=high, must=()))
        )
        for share in (0.9, 0.903, 0.906, 1.3)
    ]
    assert strings == sorted(strings)
    assert strings[2] < strings[3]

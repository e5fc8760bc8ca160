"""Outlines of frames: what is kept of them, and every fault at its own key."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError

from quoting.craft.design.records import FRAME_SHAPES
from quoting.craft.design.things import FOIL_SHAPES, PROP_LOOKS
from stock.catalogue.frame_outlines import (
    RANGES_M,
    SHAPES,
    fields_of,
    shape_name,
    shapes_of,
    validate_outline,
)

RING: dict[str, str | float | None] = {"shape": "ring", "width_m": 2, "height_m": 2}


@pytest.mark.parametrize("shape", sorted(SHAPES))
def test_a_shape_with_its_size_is_an_outline(shape: str) -> None:
    assert validate_outline(RING | {"shape": shape, "tube_m": None}) == {
        "shape": shape, "width_m": 2.0, "height_m": 2.0,
    }  # fmt: skip


def test_tube_foot_and_the_degrees_of_a_part_of_a_ring_are_kept_as_numbers() -> None:
    more: dict[str, str | float | None] = {
        "tube_m": "0.02",
        "foot_depth_m": 0,
        "start_deg": "30",
        "end_deg": 330,
    }
    assert validate_outline(RING | more) == {
        "shape": "ring", "width_m": 2.0, "height_m": 2.0, "tube_m": 0.02, "foot_depth_m": 0.0, "start_deg": 30.0,
        "end_deg": 330.0,
    }  # fmt: skip


@pytest.mark.parametrize("key", sorted(RANGES_M))
def test_each_dimension_may_be_as_small_and_as_great_as_its_range_and_no_more(key: str) -> None:
    least, most = RANGES_M[key]
    for within in (least, most):
        assert validate_outline(RING | {key: within})[key] == within
    for beyond in (least - 0.001, most + 0.001):
        with pytest.raises(ValidationError, match=f"Between {least:g} and {most:g} m") as refused:
            validate_outline(RING | {key: beyond})
        assert set(refused.value.message_dict) == {key}


def test_every_fault_is_told_at_once() -> None:
    with pytest.raises(ValidationError) as refused:
        validate_outline({"shape": "heptagon", "width_m": None, "tube_m": 9, "colour": "ink"})
    assert set(refused.value.message_dict) == {"shape", "width_m", "height_m", "tube_m", "outline"}
    assert refused.value.message_dict["outline"] == ["Not part of an outline: colour."]


PLINTH: dict[str, str | float | None] = {"shape": "plinth", "width_m": 0.4, "height_m": 0.9, "depth_m": 0.4}


@pytest.mark.parametrize("kind", ["prop", "foil"])
def test_every_shape_of_a_prop_or_a_foil_balloon_is_known_to_the_design_file(kind: str) -> None:
    """The names are told here too, since the shelf knows no designs; they are those of the design file."""
    assert tuple(shapes_of(kind)) == {"prop": PROP_LOOKS, "foil": FOIL_SHAPES}[kind]
    for shape in shapes_of(kind):
        sizes = {name: 0.5 for name in fields_of(kind) if name != "shape"}
        assert validate_outline({"shape": shape, **sizes}, kind=kind) == {"shape": shape, **sizes}
        assert shape_name(shape)


def test_a_prop_needs_its_depth_and_has_no_tube() -> None:
    with pytest.raises(ValidationError) as refused:
        validate_outline({**PLINTH, "depth_m": None, "tube_m": 0.02}, kind="prop")
    assert set(refused.value.message_dict) == {"depth_m", "outline"}


def test_frames_come_in_the_shapes_of_the_design_file() -> None:
    assert set(SHAPES) == set(FRAME_SHAPES) - {"free"}
    assert fields_of("cover") == ()

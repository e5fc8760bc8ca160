"""Rules between the fields of single things and the rest of a design."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from quoting.craft.design.checks import cross_faults
from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.records import Design, Garland, Leg, MixEntry, Wall
from tests.quoting.craft.design.thing_designs import (
    FOIL,
    INK,
    LETTERING,
    OAT,
    PANEL,
    PROP,
    ROUND,
    SIGN,
    SPRAY,
    furnished,
)

WALL = Wall(
    id="wall", width_m=1.0, height_m=1.0, size_in=11, sized_m=0.23, pattern="drawn", grid=("01", "10")
)
STUFFED = replace(OAT, finish="double-stuffed", inner="ink")
DEEP = Garland(
    id="main", route=(Leg(kind="through", points=((0, 1), (1, 1), (2, 1)), depths=(0.0, 0.3, 0.0)),),
    mix=(MixEntry(size_in=11, role="body", sized_low_m=0.2, sized_high_m=0.25, share=1.0),),
)  # fmt: skip


def bare() -> Design:
    return replace(furnished(), letterings=(), frames=(replace(PANEL, cover=None),))


SPOILED: dict[str, tuple[Callable[[], Design], FaultCode, str]] = {
    "two signs of one name": (
        lambda: replace(furnished(), signs=(SIGN, SIGN)), FaultCode.REPEATED, "signs[1].id",
    ),
    "two rounds of one name": (
        lambda: replace(furnished(), rounds=(ROUND, ROUND)), FaultCode.REPEATED, "rounds[1].id",
    ),
    "two props of one name": (lambda: replace(furnished(), props=(PROP, PROP)), FaultCode.REPEATED, "props[1].id"),
    "two foils of one name": (lambda: replace(furnished(), foils=(FOIL, FOIL)), FaultCode.REPEATED, "foils[1].id"),
    "two florals of one name": (
        lambda: replace(furnished(), sprays=(SPRAY, SPRAY)), FaultCode.REPEATED, "sprays[1].id",
    ),
    "two letterings of one name": (
        lambda: replace(furnished(), letterings=(LETTERING, LETTERING)), FaultCode.REPEATED, "letterings[1].id",
    ),
    "a round of a colour that is not there": (
        lambda: replace(furnished(), rounds=(replace(ROUND, colour="plum"),)),
        FaultCode.UNKNOWN_COLOUR, "rounds[0].colour",
    ),
    "a round above its own size": (
        lambda: replace(furnished(), rounds=(replace(ROUND, size_in=24),)),
        FaultCode.SIZED_OUT_OF_RANGE, "rounds[0].sized_m",
    ),
    "a round on a frame that is not there": (
        lambda: replace(furnished(), rounds=(replace(ROUND, frame="nowhere"),)),
        FaultCode.UNKNOWN_FRAME, "rounds[0].frame",
    ),
    "words on a frame that is not there": (
        lambda: replace(furnished(), letterings=(replace(LETTERING, frame="nowhere"),)),
        FaultCode.UNKNOWN_FRAME, "letterings[0].frame",
    ),
    "words on a frame without a cover": (
        lambda: replace(bare(), letterings=(LETTERING,)), FaultCode.NO_SURFACE, "letterings[0].frame",
    ),
    "foil letters without a letter": (
        lambda: replace(furnished(), foils=(replace(FOIL, text=""),)), FaultCode.WRONG_LENGTH, "foils[0].text",
    ),
    "a foil star with letters": (
        lambda: replace(furnished(), foils=(replace(FOIL, shape="star"),)),
        FaultCode.WRONG_LENGTH, "foils[0].text",
    ),
    "a double-stuffed colour without an inner one": (
        lambda: replace(furnished(), palette=(replace(STUFFED, inner=""), INK)),
        FaultCode.NO_INNER_COLOUR, "palette[0].inner",
    ),
    "an inner colour that nobody knows": (
        lambda: replace(furnished(), palette=(replace(STUFFED, inner="plum"), INK)),
        FaultCode.UNKNOWN_COLOUR, "palette[0].inner",
    ),
    "a drawn wall without rows": (
        lambda: replace(furnished(), walls=(replace(WALL, grid=()),)), FaultCode.NO_GRID, "walls[0].grid",
    ),
    "a drawn wall with a short row": (
        lambda: replace(furnished(), walls=(replace(WALL, grid=("01", "1")),)),
        FaultCode.WRONG_LENGTH, "walls[0].grid[1]",
    ),
    "a drawn wall with a colour too many": (
        lambda: replace(furnished(), walls=(replace(WALL, grid=("01", "12")),)),
        FaultCode.UNKNOWN_CHOICE, "walls[0].grid[1]",
    ),
    "fewer depths than points": (
        lambda: replace(furnished(), garlands=(replace(DEEP, route=(replace(DEEP.route[0], depths=(0.1,)),)),)),
        FaultCode.DEPTH_COUNT, "garlands[0].route[0].depths",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("spoiled", "code", "field"), SPOILED.values(), ids=SPOILED)
def test_a_fault_of_a_thing_is_named_at_its_field(
    spoiled: Callable[[], Design], code: FaultCode, field: str
) -> None:
    assert [(fault.code, fault.field) for fault in cross_faults(spoiled())] == [(code, field)]
    with pytest.raises(DesignError):
        read_design(write_design(spoiled()))


@pytest.mark.parametrize(
    "design",
    [
        furnished(),
        replace(furnished(), palette=(STUFFED, INK)),
        replace(furnished(), palette=(replace(STUFFED, inner="plum", inner_name="Plum", inner_hex="#5A2A4A"), INK)),
        replace(furnished(), walls=(WALL,), garlands=(DEEP,)),
        replace(furnished(), letterings=(replace(LETTERING, text="مارا ٤٠"),)),
    ],
)  # fmt: skip
def test_a_sound_design_is_written_and_read_alike(design: Design) -> None:
    assert cross_faults(design) == []
    assert read_design(write_design(design)) == design


def test_a_design_may_hold_nothing_but_a_prop_and_only_an_empty_table_may_hold_nothing() -> None:
    alone = Design(version=2, name="Alone", palette=(replace(OAT, share=1.0),), props=(PROP,))
    empty = replace(alone, props=())
    assert cross_faults(alone) == []
    assert [fault.code for fault in cross_faults(empty)] == [FaultCode.EMPTY_DESIGN]
    assert read_design(write_design(empty), may_be_empty=True) == empty


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"palette": [{"colour": "oat", "name": "Oat", "hex": "#EFE6D6", "share": 1, "inner_hex": "red"}]}, "palette"),
        ({"foils": [{"id": "a", "item": "a", "label": "A", "shape": "glyphs", "text": "4!"}]}, "foils[0].text"),
        ({"walls": [{"id": "w", "grid": ["0g"]}]}, "walls[0].grid[0]"),
        ({"garlands": [{"id": "g", "route": [{"kind": "through", "depths": ["far"]}]}]}, "depths[0]"),
    ],
)  # fmt: skip
def test_a_list_of_texts_or_numbers_is_read_by_its_rule(values: dict[str, object], field: str) -> None:
    with pytest.raises(DesignError) as refused:
        read_design({**write_design(furnished()), **values})
    assert any(field in fault.field for fault in refused.value.faults)

"""A scaled design is the same, whether its frames and strings were scaled before for another fullness or not."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from quoting.craft.change.scaling import as_they_are, forget, spread, taken
from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.design.records import Design, Garland

NAMES = ("garland-nested-arches", "ceiling-swags", "table-garland", "classic-arch")


def filled(design: Design, **said: Any) -> Design:
    """With this said of every garland."""
    return replace(design, garlands=tuple(replace(one, **said) for one in design.garlands))


def said_of(garland: Garland) -> tuple[object, ...]:
    return garland.fullness, garland.fillers, garland.strung, garland.fullest


@pytest.mark.parametrize("name", NAMES)
def test_another_fullness_is_scaled_as_if_nothing_were_kept(name: str) -> None:
    design = load_design(STARTERS / f"{name}.json")
    other = filled(design, fullness=0.7, fillers=None, strung=0.6, fullest=0.9)
    for factor in (0.8, 1.0, 1.3):
        spread(design, factor)
        after = spread(other, factor)
        forget()
        assert after == spread(other, factor)
        assert [said_of(one) for one in after.design.garlands] == [said_of(one) for one in other.garlands]


@pytest.mark.parametrize("name", NAMES)
def test_frames_are_taken_as_if_nothing_were_kept(name: str) -> None:
    design = load_design(STARTERS / f"{name}.json")
    other = filled(design, fullness=0.7, strung=0.6, fullest=0.9)
    choice = as_they_are(design) if design.frames else ()
    taken(design, choice, 2.6)
    after = taken(other, choice, 2.6)
    forget()
    assert after == taken(other, choice, 2.6)
    assert [said_of(one) for one in after.garlands] == [said_of(one) for one in other.garlands]
    assert [one.fullness for one in taken(design, choice, 2.6).garlands] == [
        one.fullness for one in design.garlands
    ]

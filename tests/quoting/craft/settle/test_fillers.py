"""Gaps that were searched once are found as they would be anew, whatever was asked of them before."""

from __future__ import annotations

import hashlib
from dataclasses import replace

import numpy as np
import pytest

from quoting.craft.change.resize import scale_to
from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.design.records import Design
from quoting.craft.settle import fillers
from quoting.craft.settle.build import built, forget
from quoting.craft.settle.garland import string_quads
from quoting.craft.settle.laying import routes_of

ASKED = (0.93, 0.7, 0.85, 0.96)
STRUNG = ("ceiling-swags.json", "garland-nested-arches.json", "terrace-frame-bouquets.json")
"""Several garlands, frames, and big rounds beside a garland."""


def as_full(design: Design, fullness: float) -> Design:
    return replace(design, garlands=tuple(replace(one, fullness=fullness) for one in design.garlands))


def marks(design: Design) -> str:
    """Every balloon and what was measured, to the last bit."""
    found = built(design)
    seen = hashlib.sha256(repr(found.garlands).encode())
    for name in sorted(found.columns):
        seen.update(found.columns[name].tobytes())
    return seen.hexdigest()


@pytest.mark.parametrize("name", STRUNG)
def test_a_fullness_comes_out_the_same_after_others_as_if_it_was_asked_for_first(name: str) -> None:
    design = load_design(STARTERS / name)
    scaled = scale_to(design, width_m=1.1 * 2.6, height_m=2.4, must=())
    for one in (design, scaled):
        forget()
        after_others = [marks(as_full(one, fullness)) for fullness in ASKED]
        for fullness, found in zip(ASKED, after_others, strict=True):
            forget()
            assert marks(as_full(one, fullness)) == found


def test_another_fullness_searches_no_gap_again(monkeypatch: pytest.MonkeyPatch) -> None:
    design = load_design(STARTERS / "garland-nested-arches.json")
    forget()
    built(as_full(design, 0.9))
    monkeypatch.setattr(fillers, "envelope_of", None)
    assert built(as_full(design, 0.93)).garlands[0].fullness == pytest.approx(0.93, abs=fillers.WITHIN)


def test_what_is_too_far_to_be_met_is_left_out_and_what_is_near_is_not() -> None:
    design = load_design(STARTERS / "garland-nested-arches.json")
    garland, (route,) = design.garlands[0], routes_of(design)
    strung = string_quads(garland, route, np.random.default_rng([design.seed, 0]))
    count, top = len(strung.radii), route.points[:, 1].max()
    ball = np.full(1, 0.12)
    none = fillers.near_gaps(garland, route, strung, (np.zeros((0, 3)), np.zeros(0)))
    far = fillers.near_gaps(garland, route, strung, (np.array([[0.0, top + 3.0, 0.0]]), ball))
    near = fillers.near_gaps(garland, route, strung, (np.array([[0.0, top + 0.3, 0.0]]), ball))
    assert (len(none.radii), len(far.radii), len(near.radii)) == (count, count, count + 1)
    assert none.key == far.key != near.key


def test_no_more_fillers_are_planned_than_there_are_holes_for() -> None:
    design = load_design(STARTERS / "garland-nested-arches.json")
    fullest = built(as_full(design, 0.97)).garlands[0].filler_quads
    asked = tuple(replace(one, fillers=1000) for one in design.garlands)
    found = built(replace(design, garlands=asked)).garlands[0].filler_quads
    assert fullest <= found < 2000

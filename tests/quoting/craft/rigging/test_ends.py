"""End quads: a batch of their own at every end of an organic garland, and nowhere else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from quoting.craft.design.records import Leg
from quoting.craft.rigging.ends import ON_THE_FLOOR_M
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from tests.quoting.craft.starter_designs import NAMES, starter, straight_garland, worked

ENDS = {
    "ceiling-swags": [2, 2], "classic-arch": [], "classic-columns": [], "column-wound": [4, 4],
    "garland-nested-arches": [4, 4], "half-arch-doorway": [4, 4], "ombre-wall": [], "ring-and-panel": [4, 4],
    "ring-half-moon": [4, 4], "stage-three-frames": [4, 4], "table-garland": [4, 4],
    "terrace-frame-bouquets": [4, 4],
}  # fmt: skip
"""Counted by hand from the pictures: two ends of each organic garland; of three swags end to end the outer two."""


def counts(takeoff: TakeOff) -> list[int]:
    return [end.count for end in takeoff.ends]


@pytest.mark.parametrize("name", NAMES)
def test_every_end_has_its_batch(name: str) -> None:
    assert counts(worked(name)) == ENDS[name]


def test_a_garland_that_closes_on_itself_has_no_end() -> None:
    design = starter("ring-half-moon")
    ring = next(frame for frame in design.frames if frame.shape == "ring")
    (garland,) = design.garlands
    route = (Leg(kind="along", frame=ring.id, start=0.0, end=1.0),)
    closed = replace(design, garlands=(replace(garland, route=route),))
    assert take_off(closed).ends == ()
    half = (replace(route[0], end=0.5),)
    assert len(take_off(replace(design, garlands=(replace(garland, route=half),))).ends) == 2


def test_two_garlands_that_meet_have_one_end_each() -> None:
    left = straight_garland(3.0)
    (garland,) = left.garlands
    onward = replace(garland, id="on", route=(Leg(kind="through", points=((3.1, 1.5), (6.0, 1.5))),))
    meeting = take_off(replace(left, garlands=(garland, onward)))
    assert [(end.garland, round(end.x, 1)) for end in meeting.ends] == [(0, 0.0), (1, 6.0)]
    apart = replace(onward, route=(Leg(kind="through", points=((4.0, 1.5), (7.0, 1.5))),))
    assert len(take_off(replace(left, garlands=(garland, apart))).ends) == 4


@pytest.mark.parametrize("name", [name for name in NAMES if ENDS[name]])
def test_they_are_the_quads_next_to_the_end_and_not_on_the_string(name: str) -> None:
    takeoff = worked(name)
    balloons, sheet = takeoff.balloons, build_sheet(takeoff)
    for end in takeoff.ends:
        quads = takeoff.garlands[end.garland].quads
        mine = (balloons.garland == end.garland) & (balloons.quad >= 0) & (balloons.quad < quads)
        away = {
            q: abs(balloons.station[mine & (balloons.quad == q)].mean() - end.station_m) for q in range(quads)
        }
        assert set(range(end.first, end.last + 1)) == set(sorted(away, key=lambda q: away[q])[: end.count])
        order = sheet.pieces[end.garland].order
        assert all(run.last <= end.first or run.first > end.last + 1 for run in order)
    listed = sum(len(piece.ends) for piece in sheet.pieces)
    assert listed == sum(ENDS[name])
    assert f"Tie in {listed} end quads at the foot and at free ends." in sheet.steps


def test_each_is_tied_in_on_site_with_a_260_of_its_own() -> None:
    takeoff = worked("garland-nested-arches")
    (line,) = [line for line in takeoff.rigging.lines if line.code.startswith("latex-260-")]
    assert "8 to tie in end quads" in line.reason
    minutes = dict(takeoff.work())
    rates, quads = takeoff.design.rates, takeoff.garlands[0].quads
    assert minutes["Tie in end quads"] == pytest.approx(8 * rates.accent_s / 60)
    assert minutes["String the garland"] == pytest.approx((quads - 8) * rates.string_s / 60)


def test_an_end_on_the_floor_is_told_from_a_free_one() -> None:
    foot, top = worked("column-wound").ends
    assert foot.y < ON_THE_FLOOR_M < top.y
    assert np.isclose(foot.station_m, 0.0)

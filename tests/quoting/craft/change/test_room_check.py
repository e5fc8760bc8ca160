"""A site is filled by the frames owned, never beyond what is clear, and every other choice says why not."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.craft.change.room_check import Clearances, fit_site
from quoting.craft.change.scaling import spread, taken
from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import Design
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.starter_designs import starter, straight_garland

SLACK_M = 0.005


def at_site(name: str, **site: float) -> Design:
    design = starter(name)
    return replace(design, site=replace(design.site, **site))  # type: ignore[arg-type] # each has its field's type


@pytest.mark.parametrize(
    "name", ["garland-nested-arches", "half-arch-doorway", "ombre-wall", "table-garland"]
)
@settings(max_examples=6)
@given(st.floats(2.2, 5.0), st.floats(2.0, 3.2), st.floats(0.0, 0.2))
def test_what_is_chosen_stays_within_the_site_and_its_clearances(
    name: str, width_m: float, ceiling_m: float, free_m: float
) -> None:
    design = at_site(name, width_m=width_m, height_m=3.0, ceiling_m=ceiling_m, depth_m=1.5)
    answer = fit_site(design, clearances=Clearances(sides_m=free_m, above_m=free_m))
    if answer.chosen is None:
        assert all(one.refusals for one in answer.others)
        return
    assert answer.chosen.design is not None
    size = take_off(answer.chosen.design).dimensions
    assert size.width_m <= width_m - 2 * free_m + SLACK_M
    assert size.height_m <= min(3.0, ceiling_m - free_m) + SLACK_M
    assert answer.chosen.width_m == pytest.approx(size.width_m)
    assert answer.chosen.height_m == pytest.approx(size.height_m)


@pytest.mark.parametrize("name", ["garland-nested-arches", "stage-three-frames"])
@pytest.mark.parametrize("size", [(2.6, 2.2), (3.4, 2.6), (5.0, 3.3)])
def test_frames_of_unlike_height_stay_unlike_in_the_same_order(name: str, size: tuple[float, float]) -> None:
    design = at_site(name, width_m=size[0], height_m=3.0, ceiling_m=size[1], depth_m=1.5)
    answer = fit_site(design)
    feet = [[int(label.split()[2]) for label in one.frames] for one in answer.others]
    feet += [[int(label.split()[2]) for label in answer.chosen.frames]] if answer.chosen else []
    own = [frame.height_m for frame in design.frames]
    pairs = list(combinations(range(len(own)), 2))
    assert feet
    for taken_feet in feet:
        assert all((own[i] > own[j]) == (taken_feet[i] > taken_feet[j]) for i, j in pairs)
        assert all((own[i] == own[j]) == (taken_feet[i] == taken_feet[j]) for i, j in pairs)


def test_every_choice_that_is_refused_says_what_it_needs_and_what_there_is() -> None:
    answer = fit_site(at_site("garland-nested-arches", width_m=3.3, height_m=3.0, ceiling_m=2.5))
    refused = [one for one in answer.others if one.refusals]
    assert (
        len(answer.others) + (answer.chosen is not None) == 6
    )  # one arch higher than the other, of four sizes
    assert refused
    for one in refused:
        assert one.design is None
        for refusal in one.refusals:
            assert refusal.needed > refusal.there_is
            assert f"{refusal.there_is:.2f} m is clear" in refusal.words
    tallest = [one for one in answer.others if "Arch frame 8 ft" in one.frames]
    assert len(tallest) == 3  # 2.44 m of frame with a garland over it
    assert all(any(refusal.at == "height_m" for refusal in one.refusals) for one in tallest)


def test_a_low_ceiling_is_named_and_a_shallow_stage_too() -> None:
    low = fit_site(at_site("ring-half-moon", width_m=4, height_m=3, ceiling_m=1.7))
    assert low.chosen is None
    assert "1.70 m is clear under the ceiling" in low.others[0].refusals[0].words
    shallow = fit_site(at_site("ring-half-moon", width_m=4, height_m=3, ceiling_m=3.3, depth_m=0.6))
    assert [refusal.at for one in shallow.others for refusal in one.refusals] == ["depth_m"] * 3


def test_a_frame_owned_once_is_not_taken_twice() -> None:
    design = at_site("classic-columns", width_m=3.4, height_m=3.0, ceiling_m=3.0)
    owned = {size.item: 1 for frame in design.frames for size in frame.sizes}
    answer = fit_site(design, owned=owned)
    assert answer.chosen is None
    assert len(answer.others) == 3
    assert all(one.refusals[0].at == "frames" for one in answer.others)
    assert "takes 2 of Column pole 8 ft and base; 1 there" in {one.refusals[0].words for one in answer.others}
    two = dict.fromkeys(owned, 2)
    assert fit_site(design, owned=two).chosen is not None


def test_no_owned_ring_moved_by_hand_in_small_steps_fills_the_site_better() -> None:
    """Every size, every place in steps of 5 %, worked out in full: an answer of its own, by brute force."""
    design = at_site("ring-half-moon", width_m=3.0, height_m=2.8, ceiling_m=2.8)
    answer = fit_site(design)
    assert answer.chosen is not None
    best = 0.0
    for size in design.frames[0].sizes:
        for step in range(12, 32, 2):
            one = spread(taken(design, (size,), 2.8), step / 20).design
            found = take_off(one).dimensions
            if found.width_m <= 3.0 + SLACK_M and found.height_m <= 2.8 + SLACK_M:
                best = max(best, found.width_m * found.height_m / (3.0 * 2.8))
    assert answer.chosen.filled >= best - 0.05


def test_a_symmetric_pair_of_columns_grows_together() -> None:
    answer = fit_site(at_site("classic-columns", width_m=3.4, height_m=3.0, ceiling_m=3.0))
    assert answer.chosen is not None
    assert answer.chosen.frames == ("Column pole 8 ft and base",) * 2


def test_a_design_that_cannot_be_strung_is_an_error_not_an_answer() -> None:
    with pytest.raises(DesignError, match="can be strung"):
        fit_site(straight_garland(0.2))

"""Colours that stand in for others: nearest by CIEDE2000, never two for one, within the limit or not at all."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.craft.colour.substitutes import ColourAtHand, substitutes
from quoting.craft.design.records import PaletteColour
from studio.trade.colour import lab_from_srgb, srgb_from_hex
from studio.trade.colour_difference import ciede2000
from studio.trade.errors import CraftError

SHELF = (
    ColourAtHand("pearl", "Pearl", "#F4EFE6"),
    ColourAtHand("sage", "Sage", "#9CAF88"),
    ColourAtHand("brick", "Brick", "#A4553F"),
)


def wanted(colour: str, code: str) -> PaletteColour:
    return PaletteColour(colour=colour, name=colour.title(), hex=code, share=0.5)


def apart(one: str, other: str) -> float:
    return float(ciede2000(lab_from_srgb(srgb_from_hex(one)), lab_from_srgb(srgb_from_hex(other))))


def test_a_colour_at_hand_stays_itself_and_another_takes_its_nearest() -> None:
    oat, sage = substitutes([wanted("oat", "#EFE6D6"), wanted("sage", "#9FB08C")], SHELF)
    assert oat.proposal is not None
    assert oat.proposal.colour.colour == "pearl"
    assert oat.proposal.difference == pytest.approx(apart("#EFE6D6", "#F4EFE6"))
    assert sage.proposal is not None
    assert sage.proposal.colour.colour == sage.wanted.colour
    assert sage.proposal.difference == 0.0


def test_what_is_too_far_is_not_proposed_but_the_nearest_is_told() -> None:
    (ink,) = substitutes([wanted("ink", "#2E4454")], SHELF, limit=10)
    assert ink.proposal is None
    assert ink.others == ()
    assert ink.nearest is not None
    assert ink.nearest.difference == min(apart("#2E4454", one.hex) for one in SHELF)


def test_two_colours_never_become_one() -> None:
    found = substitutes([wanted("oat", "#EFE6D6"), wanted("cream", "#F4EDE0")], SHELF, limit=10)
    assert [one.proposal and one.proposal.colour.colour for one in found] == [None, "pearl"]
    assert [one.colour.colour for one in found[0].others] == ["pearl"]


def test_a_measured_colour_goes_before_its_screen_code() -> None:
    lab = tuple(lab_from_srgb(srgb_from_hex("#EFE6D6")).tolist())
    shelf = [*SHELF, ColourAtHand("linen", "Linen", "#000000", lab=(lab[0], lab[1], lab[2]))]
    (oat,) = substitutes([wanted("oat", "#EFE6D6")], shelf)
    assert oat.proposal is not None
    assert oat.proposal.colour.colour == "linen"
    assert oat.proposal.difference == pytest.approx(0.0, abs=1e-9)


def test_an_empty_shelf_proposes_nothing_and_a_colour_listed_twice_is_an_error() -> None:
    (oat,) = substitutes([wanted("oat", "#EFE6D6")], [])
    assert (oat.proposal, oat.nearest) == (None, None)
    with pytest.raises(CraftError, match="hold one twice"):
        substitutes([wanted("oat", "#EFE6D6")], [SHELF[0], SHELF[0]])
    with pytest.raises(CraftError, match="limit"):
        substitutes([wanted("oat", "#EFE6D6")], SHELF, limit=-1)


hexes = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06X}")


@settings(max_examples=40)
@given(st.lists(hexes, min_size=1, max_size=3), st.lists(hexes, min_size=1, max_size=4), st.floats(0, 60))
def test_no_other_choice_meets_more_colours_or_comes_nearer(
    palette: list[str], shelf: list[str], limit: float
) -> None:
    """Against every way of taking different colours, tried one by one."""
    found = substitutes(
        [wanted(f"want-{k}", code) for k, code in enumerate(palette)],
        [ColourAtHand(f"have-{k}", f"Have {k}", code) for k, code in enumerate(shelf)],
        limit=limit,
    )
    met = [one.proposal for one in found if one.proposal is not None]
    assert len({one.colour.colour for one in met}) == len(met)
    table = np.array([[apart(a, b) for b in shelf] for a in palette])
    best = (0, 0.0)
    options = [*range(len(shelf)), None]
    for choice in itertools.product(options, repeat=len(palette)):
        used = [c for c in choice if c is not None]
        costs = [table[k, c] for k, c in enumerate(choice) if c is not None]
        if len(set(used)) == len(used) and all(cost <= limit for cost in costs):
            best = min(best, (-len(used), float(sum(costs))))
    assert -len(met) == best[0]
    assert sum(one.difference for one in met) == pytest.approx(best[1], abs=1e-6)

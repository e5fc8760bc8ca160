"""Layers of frames, patterns and the mirror image, as the quote page changes them."""

from __future__ import annotations

import pytest

from quoting.craft.design.design_file import load_design, read_design, write_design
from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import Design, OwnedSize
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.takeoff.takeoff import take_off
from quoting.design_library.library import STARTERS
from quoting.set_pieces import alter, arranging
from quoting.set_pieces.alter import Owned

RING = OwnedSize(item="frame-ring-6ft", label="Ring frame 6 ft", width_m=1.88, height_m=1.88, weight_kg=6.4)
OWNED = Owned({}, {"ring": [RING]}, {}, {})


def arches() -> Design:
    return load_design(STARTERS / "garland-nested-arches.json")


def test_a_layer_stands_behind_all_others_and_is_on_the_bill_and_in_the_picture() -> None:
    before = arches()
    after = alter.altered(before, {"add_frame": RING.item}, OWNED)
    added = after.frames[-1]
    assert added.z_m < min(frame.z_m for frame in before.frames)
    assert after.frames[:-1] == before.frames
    assert read_design(write_design(after)) == after, "it can be kept and read again"
    plain, layered = take_off(before), take_off(after)
    assert {line.code: line.quantity for line in layered.bill()}[RING.item] == 1
    assert layered.counts == plain.counts, "the garland stays as it was"
    assert len(elevation_svg(layered)) > len(elevation_svg(plain))
    assert layered.minutes("install") > plain.minutes("install")


def test_a_layer_is_taken_away_again() -> None:
    layered = alter.altered(arches(), {"add_frame": RING.item}, OWNED)
    twice = alter.altered(layered, {"add_frame": RING.item}, OWNED)
    assert len({frame.id for frame in twice.frames}) == 4
    back = alter.altered(twice, {"frame.layer-2": arranging.TAKEN_AWAY}, OWNED)
    assert back == layered


@pytest.mark.parametrize("frame", ["low", "tall"])
def test_a_frame_that_carries_the_garland_stays(frame: str) -> None:
    with pytest.raises(DesignError, match="carries the garland"):
        alter.altered(arches(), {f"frame.{frame}": arranging.TAKEN_AWAY}, OWNED)


def test_a_frame_that_the_studio_lacks_is_no_layer() -> None:
    with pytest.raises(DesignError, match="add_frame: is no frame of the studio"):
        alter.altered(arches(), {"add_frame": "frame-of-nobody"}, OWNED)


def test_layers_come_to_an_end() -> None:
    design = arches()
    for _ in range(arranging.MOST_FRAMES - len(design.frames)):
        design = arranging.with_layer(design, RING.item, OWNED.frames)
    with pytest.raises(DesignError, match="at most 20 frames"):
        arranging.with_layer(design, RING.item, OWNED.frames)


@pytest.mark.parametrize("pattern", list(arranging.PATTERN_WORDS))
def test_every_pattern_lays_the_same_shares(pattern: str) -> None:
    plain = take_off(arches())
    laid = take_off(arranging.with_bands(arranging.with_pattern(arches(), pattern), 4))
    for colour in plain.design.palette:
        counts = [
            sum(n for (_, code), n in one.counts.items() if code == colour.colour) for one in (plain, laid)
        ]
        assert abs(counts[0] - counts[1]) <= 1
    assert sum(laid.counts.values()) == sum(plain.counts.values())


def test_the_mirror_image_twice_is_the_piece_itself() -> None:
    turned = alter.altered(arches(), {"mirrored": True}, OWNED)
    assert turned != arches()
    assert take_off(turned).counts == take_off(arches()).counts
    assert alter.altered(turned, {"mirrored": False}, OWNED) == arches()


@pytest.mark.parametrize("bands", [0, arranging.MOST_BANDS + 1])
def test_no_bands_and_too_many_are_refused_at_the_field(bands: int) -> None:
    with pytest.raises(DesignError) as refused:
        arranging.with_bands(arches(), bands)
    assert [(fault.field, fault.found) for fault in refused.value.faults] == [("bands", bands)]


def test_a_pattern_that_is_none_is_refused_with_those_that_are() -> None:
    with pytest.raises(DesignError) as refused:
        arranging.with_pattern(arches(), "plaid")
    (fault,) = refused.value.faults
    assert (fault.field, "spiral" in fault.names, "plaid" in fault.names) == ("pattern", True, False)


def test_a_frame_that_the_piece_has_not_cannot_be_taken_away() -> None:
    with pytest.raises(DesignError) as refused:
        arranging.without_layer(arches(), "nowhere")
    assert [fault.field for fault in refused.value.faults] == ["frame.nowhere"]

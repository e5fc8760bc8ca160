"""Printed covers: the sheet with its bleed, and where the image lies on it."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.frames import face
from quoting.craft.design.prints import image_place, printed_sheet
from quoting.craft.design.records import CoverPrint, Frame
from tests.quoting.craft.table.tables import LOW, table

PRINT = CoverPrint(digest="ab" * 32, aspect=1.5)
STAR = ((0.0, 0.0), (-0.3, 0.9), (0.0, 1.6), (0.5, 0.8), (0.1, 0.7), (0.0, 0.0))
FRAMES = [
    LOW,
    replace(LOW, shape="ring", width_m=1.8, height_m=1.8, base_m=0.3),
    replace(LOW, shape="part-ring", width_m=1.8, height_m=1.8),
    replace(LOW, shape="half-arch"),
    replace(LOW, shape="panel"),
    replace(LOW, shape="polygon", sides=5),
    replace(LOW, shape="free", points=STAR),
    replace(LOW, shape="free", points=STAR, turned=True),
]


@pytest.mark.parametrize("bleed_m", [0.0, 0.05, 0.3])
@pytest.mark.parametrize("frame", FRAMES, ids=lambda frame: frame.shape)
def test_the_sheet_is_the_envelope_of_the_outline_grown_by_the_bleed(frame: Frame, bleed_m: float) -> None:
    """Against shapely: the envelope of the face's buffer with mitred corners, and no less than the buffer itself."""
    sheet = printed_sheet(frame, bleed_m)
    polygon = shapely.Polygon(face(frame))
    grown = polygon.buffer(bleed_m, quad_segs=64)
    left, _, _, top = grown.bounds
    assert (sheet.left_m, sheet.top_m) == pytest.approx((left, top), abs=2e-4)
    assert sheet.area_m2 == pytest.approx(grown.envelope.area, rel=1e-3)
    assert sheet.area_m2 >= grown.area - 1e-6


@pytest.mark.parametrize("shares", [(0.0, 0.0), (0.5, 0.5), (1.0, 0.2)])
@pytest.mark.parametrize("aspect", [0.4, 1.0, 2.5])
@pytest.mark.parametrize("frame", FRAMES, ids=lambda frame: frame.shape)
def test_an_image_that_covers_leaves_no_part_of_the_bleed_bare(
    frame: Frame, aspect: float, shares: tuple[float, float]
) -> None:
    """Against shapely: the image's box contains the face grown by its bleed, and keeps its own proportions."""
    laid = replace(PRINT, aspect=aspect, x_share=shares[0], y_share=shares[1])
    place = image_place(frame, laid)
    box = shapely.box(place.left_m, place.top_m - place.height_m, place.left_m + place.width_m, place.top_m)
    assert box.buffer(1e-9).contains(shapely.Polygon(face(frame)).buffer(laid.bleed_m - 1e-4))
    assert place.width_m / place.height_m == pytest.approx(aspect)


@pytest.mark.parametrize("aspect", [0.4, 1.0, 2.5])
@pytest.mark.parametrize("frame", FRAMES, ids=lambda frame: frame.shape)
def test_an_image_that_is_seen_whole_stays_within_the_face_s_box(frame: Frame, aspect: float) -> None:
    place = image_place(frame, replace(PRINT, aspect=aspect, fit="contain"))
    box = shapely.box(place.left_m, place.top_m - place.height_m, place.left_m + place.width_m, place.top_m)
    assert shapely.Polygon(face(frame)).envelope.buffer(1e-9).contains(box)
    assert place.width_m / place.height_m == pytest.approx(aspect)


def test_what_is_left_over_goes_where_the_shares_say() -> None:
    """By hand: a square image on a sheet 1.1 m by 2.1 m is 2.1 m wide, 1.0 m of it beyond."""
    board = replace(LOW, shape="panel", width_m=1.0, height_m=2.0, x_m=0.0)
    lefts = [
        image_place(board, replace(PRINT, aspect=1.0, x_share=share)).left_m for share in (0.0, 0.5, 1.0)
    ]
    assert lefts == pytest.approx([-0.55, -1.05, -1.55])


def test_a_design_without_a_print_keeps_its_bytes() -> None:
    assert "cover_print" not in str(write_design(table(LOW)))


def test_a_print_is_written_and_read_again() -> None:
    design = table(replace(LOW, cover_print=PRINT))
    assert read_design(write_design(design)) == design


def test_a_print_without_a_cover_is_a_fault_at_its_place() -> None:
    with pytest.raises(DesignError) as refused:
        read_design(write_design(table(replace(LOW, cover=None, cover_print=PRINT))))
    assert [(fault.code, fault.field) for fault in refused.value.faults] == [
        (FaultCode.PRINT_NEEDS_COVER, "frames[0].cover_print")
    ]

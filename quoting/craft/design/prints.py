"""Printed covers: the sheet that is printed, and where the image lies on it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from quoting.craft.design.faults import Fault, FaultCode
from quoting.craft.design.frames import face
from quoting.craft.design.records import CoverPrint, Frame

MARK: Final = "print:"
"""What stands before the digest of an image where a picture refers to it; whoever shows the picture puts an address
there."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A rectangle in the wall plane [m]: its left and upper edge, its width and height."""

    left_m: float
    top_m: float
    width_m: float
    height_m: float

    @property
    def area_m2(self) -> float:
        """Its area [m2]."""
        return self.width_m * self.height_m


def printed_sheet(frame: Frame, bleed_m: float) -> Sheet:
    """The sheet that a print for the frame's face is cut from, with its bleed [m]. Cloth is printed and charged by such
    a sheet, not by the outline: common practice, no source.

    >>> board = Frame(id="b", shape="rectangle", item="b", label="B", width_m=1.0, height_m=2.0)
    >>> sheet = printed_sheet(board, 0.05)
    >>> round(sheet.width_m, 3), round(sheet.height_m, 3), round(sheet.area_m2, 3)
    (1.1, 2.1, 2.31)
    """
    points = face(frame)
    (left, bottom), (right, top) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return Sheet(left - bleed_m, top + bleed_m, right - left + 2 * bleed_m, top - bottom + 2 * bleed_m)


def image_place(frame: Frame, print_: CoverPrint) -> Sheet:
    """Where the whole image lies [m], as if nothing were cut off. It fills the sheet with its bleed, or is seen whole
    within the face; its shares say to which side the rest goes.

    >>> board = Frame(id="b", shape="rectangle", item="b", label="B", width_m=1.0, height_m=2.0)
    >>> whole = CoverPrint(digest="0" * 64, aspect=1.0, fit="contain", y_share=1.0)
    >>> image_place(board, whole)
    Sheet(left_m=-0.5, top_m=1.0, width_m=1.0, height_m=1.0)
    """
    fills = print_.fit == "cover"
    room = printed_sheet(frame, print_.bleed_m if fills else 0.0)
    by_width, by_height = room.width_m, room.height_m * print_.aspect
    width = max(by_width, by_height) if fills else min(by_width, by_height)
    height = width / print_.aspect
    left = room.left_m + (room.width_m - width) * print_.x_share
    top = room.top_m - (room.height_m - height) * print_.y_share
    return Sheet(left, top, width, height)


def print_faults(frame: Frame, path: str) -> list[Fault]:
    """Why a print can't be on this frame: nothing of cloth is stretched over a face."""
    if frame.cover_print is None or takes_print(frame):
        return []
    return [Fault(code=FaultCode.PRINT_NEEDS_COVER, field=f"{path}.cover_print")]


def takes_print(frame: Frame) -> bool:
    """Whether something can be printed on it: it has a cover over a face.

    >>> takes_print(Frame(id="b", shape="rectangle", item="b", label="B", width_m=1.0, height_m=2.0))
    False
    """
    return frame.cover is not None and frame.shape != "column"

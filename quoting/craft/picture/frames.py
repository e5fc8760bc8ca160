"""Frames in the picture: tube, cover, and what fills them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from quoting.craft.design.fillings import BAR_M, bars_of
from quoting.craft.design.frames import face, outline
from quoting.craft.design.prints import MARK, image_place
from quoting.craft.design.records import Frame
from quoting.craft.design.resting import is_table
from quoting.craft.picture.cloth import cloth_svg, draped_svg
from quoting.craft.picture.drawing import PAPER_SHADE, WARM_DARK, many, mixed, outline_path, short
from quoting.craft.picture.view import PX_PER_M, Layer, View

# Settings of the drawing.
TUBE_TONE, BOARD_TONE = "#c3b399", "#e6dccb"
THIN_M = 0.12
"""A column thinner than this is drawn as a pole on a base plate (setting)."""
PLATE_SEEN = 0.22
"""How high a base plate looks over how broad it is, seen a little from above (setting)."""
SEQUIN_M = 0.035  # one spangle of a shimmering panel with its gap; common practice, no source


def frame_layer(index: int, frame: Frame, view: View) -> Layer:
    """Draw a frame with its cover and its filling."""
    if frame.shape == "column":
        return Layer(frame.z_m, "frames", _pillar(index, frame, view), f"frame:{frame.id}")
    drawn = _covered(index, frame, view) if is_closed(frame) else _open(index, frame, view)
    return Layer(frame.z_m, "frames", drawn, f"frame:{frame.id}")


def is_closed(frame: Frame) -> bool:
    """Whether cloth or a board is drawn over all of it."""
    return frame.shape != "column" and (frame.cover is not None or frame.shape == "panel")


def face_tone(frame: Frame) -> str:
    """The colour of its cover; of board where it has none."""
    if frame.cover:
        return frame.cover.hex
    return TUBE_TONE if frame.shape == "column" else BOARD_TONE


def face_shapes(frames: Sequence[Frame], view: View) -> str:
    """Give the faces of the frames that are closed as paths, to be drawn and to throw their shade."""
    return "".join(
        f'<path id="{view.prefix}o{k}" d="{outline_path(view.points(face(frame)), closed=True)}"/>'
        for k, frame in enumerate(frames)
        if frame.is_filled
    )


def print_clip(name: str, frame: Frame, view: View) -> str:
    """Give the face of a frame as the path that cuts off what is printed on its cover."""
    return (
        f'<clipPath id="{name}"><path d="{outline_path(view.points(face(frame)), closed=True)}"/></clipPath>'
    )


def shimmer_pattern(name: str, tone: str) -> str:
    """Draw the spangles of a shimmering panel as a pattern: rows of discs that catch the light in different ways.

    >>> shimmer_pattern("s0", "#CFB578").count("<circle")
    6
    """
    size = SEQUIN_M * PX_PER_M
    glints = ((0.0, 0.55), (1.0, 0.1), (2.0, 0.35), (0.0, 0.0), (1.0, 0.42), (2.0, 0.2))
    discs = "".join(
        f'<circle cx="{short(size * (column + 0.5))}" cy="{short(size * (k // 3 + 0.5))}" r="{short(size * 0.44)}" '
        f'fill="{mixed(tone, "#ffffff", light) if light else mixed(tone, PAPER_SHADE, 0.2)}"/>'
        for k, (column, light) in enumerate(glints)
    )
    return (
        f'<pattern id="{name}" width="{short(3 * size)}" height="{short(2 * size)}" patternUnits="userSpaceOnUse">'
        f'<rect width="{short(3 * size)}" height="{short(2 * size)}" fill="{mixed(tone, PAPER_SHADE, 0.32)}"/>'
        f"{discs}</pattern>"
    )


def feet_from_above(frame: Frame, x: Callable[[float], float], z: Callable[[float], float]) -> str:
    """Draw the feet of a frame from above."""
    depth = frame.foot_depth_m / 2
    half = frame.width_m / 2
    sides = (0.0,) if frame.shape == "column" else (-half, half)
    return "".join(
        f'<path d="M{many(x(frame.x_m + side), z(frame.z_m - depth))}V{short(z(frame.z_m + depth))}" '
        'stroke="#9a8a70" stroke-width="7" stroke-linecap="round"/>'
        for side in sides
    )


def frame_from_above(frame: Frame, x: Callable[[float], float], z: Callable[[float], float]) -> str:
    """Draw a frame from above."""
    if frame.shape == "column":
        return (
            f'<circle cx="{short(x(frame.x_m))}" cy="{short(z(frame.z_m))}" '
            f'r="{short(frame.width_m / 2 * PX_PER_M)}" fill="#d9cdb8" stroke="#9a8a70"/>'
        )
    line = outline(frame).points[:, 0]
    tone = frame.cover.hex if frame.cover else "#b9a88c"
    return (
        f'<path d="M{short(x(float(line.min())))} {short(z(frame.z_m))}H{short(x(float(line.max())))}" '
        f'stroke="{mixed(tone, PAPER_SHADE, 0.2)}" stroke-width="{short(max(frame.tube_m * PX_PER_M, 4.0))}" '
        'stroke-linecap="round"/>'
    )


# Private


def _covered(index: int, frame: Frame, view: View) -> str:
    """A frame that is closed: cloth or board over its face; of a table the cloth falls from its top."""
    if is_table(frame):
        return _laid_table(index, frame, view)
    return _faced(index, frame, view)


def _laid_table(index: int, frame: Frame, view: View) -> str:
    left, top = view.x(frame.x_m - frame.width_m / 2), view.y(frame.base_m + frame.height_m)
    wide, high = frame.width_m * PX_PER_M, frame.height_m * PX_PER_M
    cloth = draped_svg(left, top, wide, high, face_tone(frame), f"{view.prefix}c{index}", view.prefix)
    return cloth + _print(index, frame, view) + _filling(index, frame, view)


def _faced(index: int, frame: Frame, view: View) -> str:
    shape, tone, name = f"{view.prefix}o{index}", face_tone(frame), f"{view.prefix}c{index}"
    if frame.cover:
        drawn = cloth_svg(shape, view.points(face(frame)), name, tone, view.prefix)
    else:
        side = mixed(tone, PAPER_SHADE, 0.5)
        drawn = (
            f'<use href="#{shape}" fill="{side}" transform="translate(4 1.2)"/>'
            f'<use href="#{shape}" fill="url(#{name})" stroke="{mixed(tone, PAPER_SHADE, 0.3)}" stroke-width="1"/>'
        )
    return drawn + _print(index, frame, view) + _filling(index, frame, view)


def _open(index: int, frame: Frame, view: View) -> str:
    """A bare tube: its shaded side, and the light along it."""
    line = outline(frame)
    path = outline_path(view.points(line.points), closed=line.closed)
    broad = max(frame.tube_m * PX_PER_M, 3.0)
    strokes = (
        (mixed(TUBE_TONE, WARM_DARK, 0.45), 1.0, 0.0), (TUBE_TONE, 0.8, 0.06), ("#f2e9d9", 0.28, 0.16),
    )  # fmt: skip
    return _filling(index, frame, view) + "".join(
        f'<path d="{path}" fill="none" stroke="{tone}" stroke-width="{short(broad * share)}" '
        f'stroke-linejoin="round" transform="translate({many(-broad * off, -broad * off)})"/>'
        for tone, share, off in strokes
    )


def _pillar(index: int, frame: Frame, view: View) -> str:
    """A round column from the front: its shaft, and the rings at its foot and its head; a thin pole with its base
    plate and its knob."""
    if frame.width_m < THIN_M:
        return _pole(frame, view)
    left, wide = view.x(frame.x_m - frame.width_m / 2), frame.width_m * PX_PER_M
    top, foot = view.y(frame.base_m + frame.height_m), view.y(frame.base_m)
    ring = min(wide * 0.16, (foot - top) * 0.06)
    edge = mixed(face_tone(frame), WARM_DARK, 0.28)
    fill = f'fill="url(#{view.prefix}c{index})"'
    shaft = (
        f'<rect x="{short(left + wide * 0.03)}" y="{short(top)}" width="{short(wide * 0.94)}" '
        f'height="{short(foot - top)}" {fill}/>'
    )
    rings = "".join(
        f'<rect x="{short(left - wide * more)}" y="{short(y)}" width="{short(wide * (1 + 2 * more))}" '
        f'height="{short(ring * share)}" rx="{short(ring * 0.2)}" {fill} stroke="{edge}" stroke-opacity=".5" '
        'stroke-width=".8"/>'
        for y, share, more in (
            (top, 0.8, 0.14),
            (top + ring * 0.8, 0.5, 0.06),
            (foot - ring * 1.5, 0.5, 0.06),
            (foot - ring, 1.0, 0.16),
        )
    )
    return shaft + rings


def _pole(frame: Frame, view: View) -> str:
    x, top, foot = view.x(frame.x_m), view.y(frame.base_m + frame.height_m), view.y(frame.base_m)
    broad, half = max(frame.width_m * PX_PER_M, 4.0), frame.foot_depth_m / 2 * PX_PER_M
    dark, deep = mixed(TUBE_TONE, WARM_DARK, 0.2), half * PLATE_SEEN
    plate = "".join(
        f'<ellipse cx="{short(x)}" cy="{short(foot + lower)}" rx="{short(half)}" ry="{short(deep)}" fill="{tone}"/>'
        for lower, tone in ((2.5, dark), (0.0, mixed(TUBE_TONE, "#ffffff", 0.3)))
    )
    shaft = "".join(
        f'<rect x="{short(x - broad / 2)}" y="{short(top)}" width="{short(broad * share)}" '
        f'height="{short(foot - top)}" fill="{tone}"/>'
        for share, tone in ((1.0, dark), (0.66, TUBE_TONE), (0.3, "#f2e9d9"))
    )
    knob = f'<circle cx="{short(x)}" cy="{short(top)}" r="{short(broad * 0.9)}" fill="{TUBE_TONE}"/>'
    return plate + shaft + knob


def _print(index: int, frame: Frame, view: View) -> str:
    """The image on the cover, by its mark; whoever shows the picture says where it is found."""
    if frame.cover_print is None:
        return ""
    place = image_place(frame, frame.cover_print)
    return (
        f'<image x="{short(view.x(place.left_m))}" y="{short(view.y(place.top_m))}" '
        f'width="{short(place.width_m * PX_PER_M)}" height="{short(place.height_m * PX_PER_M)}" '
        f'preserveAspectRatio="none" clip-path="url(#{view.prefix}i{index})" '
        f'href="{MARK}{frame.cover_print.digest}"/>'
    )


def _filling(index: int, frame: Frame, view: View) -> str:
    if frame.filling == "shimmer":
        return f'<use href="#{view.prefix}o{index}" fill="url(#{view.prefix}s{index})"/>'
    bars = "".join(
        f"M{many(view.x(a[0]), view.y(a[1]))}L{many(view.x(b[0]), view.y(b[1]))}" for a, b in bars_of(frame)
    )
    if not bars:
        return ""
    return f'<path d="{bars}" fill="none" stroke="{TUBE_TONE}" stroke-width="{short(BAR_M * PX_PER_M)}"/>'

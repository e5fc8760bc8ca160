"""Frames in the picture: tube, cover, and what fills them."""

from __future__ import annotations

from collections.abc import Callable

from quoting.craft.design.fillings import BAR_M, bars_of
from quoting.craft.design.frames import face, outline
from quoting.craft.design.prints import MARK, image_place
from quoting.craft.design.records import Frame
from quoting.craft.picture.drawing import PAPER_SHADE, many, mixed, outline_path, short
from quoting.craft.picture.view import PX_PER_M, Layer, View

# Settings of the drawing.
TUBE_TONE = "#b9a88c"
SEQUIN_M = 0.035  # one spangle of a shimmering panel with its gap; common practice, no source


def frame_layer(index: int, frame: Frame, view: View) -> Layer:
    """Draw a frame with its cover and its filling."""
    covered = frame.cover is not None
    if covered or frame.shape == "panel":
        tone = frame.cover.hex if frame.cover else "#d9cdb8"
        fill = f"url(#{view.prefix}c{index})" if covered else tone
        drawn = (
            f'<path d="{outline_path(view.points(face(frame)), closed=True)}" fill="{fill}" '
            f'stroke="{mixed(tone, PAPER_SHADE, 0.28)}" stroke-width="1.2"/>'
        )
        drawn += _print(index, frame, view) + _filling(index, frame, view)
        return Layer(frame.z_m, "frames", drawn, f"frame:{frame.id}")
    width = frame.width_m if frame.shape == "column" else frame.tube_m
    line = outline(frame)
    path = outline_path(view.points(line.points), closed=line.closed)
    drawn = (
        f'<path d="{path}" fill="none" stroke="#b9a88c" '
        f'stroke-width="{short(max(width * PX_PER_M, 2.0))}" stroke-linejoin="round"/>'
    )
    return Layer(frame.z_m, "frames", _filling(index, frame, view) + drawn, f"frame:{frame.id}")


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
        path = outline_path(view.points(face(frame)), closed=True)
        return f'<path d="{path}" fill="url(#{view.prefix}s{index})"/>'
    bars = "".join(
        f"M{many(view.x(a[0]), view.y(a[1]))}L{many(view.x(b[0]), view.y(b[1]))}" for a, b in bars_of(frame)
    )
    if not bars:
        return ""
    return f'<path d="{bars}" fill="none" stroke="{TUBE_TONE}" stroke-width="{short(BAR_M * PX_PER_M)}"/>'

"""The picture: SVG in elevation and in plan, spheres shaded by size and colour in depth order.

Only presentation attributes are used, no style attributes and no style elements, so that a picture may be
inlined under a strict Content-Security-Policy.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from xml.sax.saxutils import escape

import numpy as np

from quoting.craft.design.boxes import thing_boxes
from quoting.craft.design.fillings import shimmer_tone
from quoting.craft.design.records import DRAWN, ZONED, Design
from quoting.craft.picture.cloth import cloth_gradient, weave
from quoting.craft.picture.drawing import (
    PAPER_SHADE,
    many,
    mixed,
    placed_round,
    short,
)
from quoting.craft.picture.finishes import lights, neck_symbol, round_symbol
from quoting.craft.picture.floating import bouquet_layers, line_layers, ribbon_layers
from quoting.craft.picture.foils import foil_from_above, foil_gradient, foil_layer
from quoting.craft.picture.frames import (
    face_shapes,
    face_tone,
    feet_from_above,
    frame_from_above,
    frame_layer,
    is_closed,
    print_clip,
    shimmer_pattern,
)
from quoting.craft.picture.person import PERSON_HEIGHT_M, person_svg
from quoting.craft.picture.props import prop_from_above, prop_gradient, prop_layer
from quoting.craft.picture.room import (
    FLOOR_TONE,
    Shown,
    ceiling_svg,
    room_svg,
    site_door,
)
from quoting.craft.picture.shades import ground_gradient, shade_svg
from quoting.craft.picture.sprays import floral_symbols, leaf_layers, spray_from_above, spray_layers
from quoting.craft.picture.tie_marks import tie_layers
from quoting.craft.picture.view import MARGIN_M, PX_PER_M, Layer, View, grouped
from quoting.craft.picture.words import lettering_layer, sign_layer
from quoting.craft.takeoff.doubles import shown_within
from quoting.craft.takeoff.takeoff import TakeOff
from studio.trade.sentences import Sentence, written_out

# Settings of the drawing.
INK = "#1D2528"
BEHIND_WALL_M = 0.12  # of wall that the plan shows


def elevation_svg(
    takeoff: TakeOff,
    *,
    ids: bool = True,
    person: bool = False,
    dimensions: bool = False,
    prefix: str = "",
    things: bool = False,
    room: bool = True,
    shade: bool = True,
    ties: bool = False,
) -> str:
    """Draw the set piece as the viewer sees it, one unit being 5 mm.

    ``ids``: parts carry ``data-part`` (garland, frames, florals, sign) so that a line of the price can point
    at its part; ``person``: a silhouette for scale; ``dimensions``: width and height with their lines;
    ``prefix`` goes before every gradient id; ``things``: parts carry ``data-thing`` as well, the kind and id of what
    is drawn (``frame:low``, ``garland:main``), one group for each; ``room``: wall and floor behind it; ``shade``: what
    it throws on the wall; ``ties``: a numbered mark at every tie point. What is printed on covers is an image at the
    address ``print:`` with its digest, which whoever shows the picture puts an address of its own for.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> picture = elevation_svg(take_off(load_design(STARTERS / "table-garland.json")))
    >>> picture.count('href="#b')
    128
    """
    view = View(takeoff, person=person, dimensions=dimensions, prefix=prefix)
    layers = [*_layers(takeoff, view), *(tie_layers(takeoff, view) if ties else ())]
    layers.sort(key=lambda layer: layer.depth_m)
    lines = _dimension_lines(takeoff, view) if dimensions else ""
    return _document(
        view.width,
        view.height,
        alt_text(takeoff),
        _gradients(takeoff, prefix)
        + _patterns(takeoff, prefix)
        + face_shapes(takeoff.design.frames, view)
        + _print_clips(takeoff.design, view)
        + ground_gradient(prefix),
        _backdrop(takeoff, view, person=person, room=room, shade=shade)
        + grouped(layers, ids=ids, things=things)
        + lines,
    )


def elevation_size(takeoff: TakeOff, *, person: bool = False, dimensions: bool = False) -> tuple[int, int]:
    """Give width and height of :func:`elevation_svg` in whole drawing units of 5 mm, as its ``viewBox`` has them.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> elevation_size(take_off(load_design(STARTERS / "table-garland.json")))
    (641, 300)
    """
    view = View(takeoff, person=person, dimensions=dimensions, prefix="")
    return round(view.width), round(view.height)


def elevation_reach(takeoff: TakeOff) -> tuple[float, float]:
    """Give what :func:`elevation_svg` without a person begins with: x of its left side and height of its top [m].

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> left, top = elevation_reach(take_off(load_design(STARTERS / "classic-arch.json")))
    >>> round(left, 2), round(top, 2)
    (-1.9, 2.97)
    """
    view = View(takeoff, person=False, dimensions=False, prefix="")
    return view.left, view.top


def plan_svg(takeoff: TakeOff, *, ids: bool = True, prefix: str = "", things: bool = False) -> str:
    """Draw the set piece from above, the viewer standing below the picture; one unit is 5 mm.

    ``ids``, ``prefix`` and ``things`` as in :func:`elevation_svg`.
    """
    plan = _plan_of(takeoff)
    wall_tone = mixed(FLOOR_TONE, PAPER_SHADE, 0.25)
    width, height = short(plan.width), short(plan.height)
    floor = (
        f'<rect width="{width}" height="{height}" fill="{FLOOR_TONE}"/>'
        f'<rect width="{width}" height="{short(plan.z(plan.wall_m))}" fill="{wall_tone}"/>'
    )
    layers = [*_balloons_from_above(takeoff, plan, prefix), *_things_from_above(takeoff.design, plan)]
    layers.sort(key=lambda layer: layer.depth_m)
    words = f"Plan of {alt_text(takeoff)}"
    body = floor + grouped(layers, ids=ids, things=things)
    return _document(plan.width, plan.height, words, _gradients(takeoff, prefix), body)


def alt_text(takeoff: TakeOff) -> str:
    """Describe what is seen, in one or two sentences; lengths in metres.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> alt_text(take_off(load_design(STARTERS / "classic-arch.json")))[:33]
    'Classic banded arch: 136 balloons'
    """
    return written_out(description(takeoff))


def description(takeoff: TakeOff) -> Sentence:
    """Describe what is seen with lengths as numbers.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> description(take_off(load_design(STARTERS / "classic-arch.json")))[1:]
    (3.1519, ' wide and ', 2.77, ' high.')
    """
    design, size = takeoff.design, takeoff.dimensions
    colours = ", ".join(
        f"{name.lower()} {share * 100:.0f} %" for name, share in _shares(takeoff) if share > 0
    )
    number = len(takeoff.balloons)
    pieces = [f"{number} balloons in {colours}"] if number else []
    if design.frames:
        pieces.append("over " + " and ".join(frame.label for frame in design.frames))
    if design.props:
        pieces.append("beside " + " and ".join(dict.fromkeys(prop.label for prop in design.props)))
    small = [item.label for item in takeoff.floral_counts if item.pieces]
    small += [spray.label for spray in design.sprays] + [foil.label for foil in design.foils]
    named = " and ".join(dict.fromkeys(small))
    seen = ", with ".join(part for part in (" ".join(pieces), named) if part)
    read = [f" A sign reads “{sign.text}”." for sign in design.signs]
    read += [f" Letters read “{one.text}”." for one in design.letterings]
    read += [f" Foil balloons read “{foil.text.upper()}”." for foil in design.foils if foil.text]
    signs = "".join(read)
    width, height = round(size.width_m, 4), round(size.height_m, 4)
    return f"{design.name}: {seen}; ", width, " wide and ", height, f" high.{signs}"


# Private


def _layers(takeoff: TakeOff, view: View) -> list[Layer]:
    """Everything of the piece, each with its depth."""
    design = takeoff.design
    layers = [frame_layer(index, frame, view) for index, frame in enumerate(design.frames)]
    layers += bouquet_layers(takeoff, view)
    layers += ribbon_layers(takeoff, view)
    layers += line_layers(takeoff, view)
    layers += _balloon_layers(takeoff, view)
    layers += leaf_layers(takeoff, view)
    layers += spray_layers(takeoff, view)
    layers += [prop_layer(k, prop, view) for k, prop in enumerate(design.props)]
    layers += [foil_layer(k, foil, view) for k, foil in enumerate(design.foils)]
    layers += [lettering_layer(k, takeoff, one, view) for k, one in enumerate(design.letterings)]
    layers += [sign_layer(k, takeoff, sign, view) for k, sign in enumerate(design.signs)]
    return layers


def _shares(takeoff: TakeOff) -> list[tuple[str, float]]:
    """Colours and their shares: of the palette, or as counted where walls are drawn or garlands lie in zones."""
    palette, counted = takeoff.design.palette, takeoff.balloons.colour
    if not any(piece.pattern in (DRAWN, ZONED) for piece in takeoff.pieces) or not len(counted):
        return [(colour.name, colour.share) for colour in palette]
    tally = np.bincount(counted, minlength=len(palette))
    return [(colour.name, float(tally[k] / len(counted))) for k, colour in enumerate(palette)]


@dataclass(frozen=True, slots=True)
class _Plan:
    """The floor from above: its left side, its rear and the wall [m], and its size in drawing units."""

    left_m: float
    back_m: float
    wall_m: float
    width: float
    height: float

    def x(self, value: float) -> float:
        return (value - self.left_m) * PX_PER_M

    def z(self, value: float) -> float:
        return (value - self.back_m) * PX_PER_M


def _plan_of(takeoff: TakeOff) -> _Plan:
    b, frames, boxes = takeoff.balloons, takeoff.design.frames, thing_boxes(takeoff.design)
    front = max([float((b.z + b.radius).max())] if len(b) else [0.0])
    front = (
        max([front, *[f.z_m + f.foot_depth_m / 2 for f in frames], *[box.front for box in boxes]]) + MARGIN_M
    )
    rear = min((frame.z_m for frame in frames), default=0.0)
    wall = min([rear - takeoff.design.site.wall_gap_m, *[box.rear for box in boxes]])
    left, back = takeoff.dimensions.left_m - MARGIN_M, wall - BEHIND_WALL_M
    width = (takeoff.dimensions.width_m + 2 * MARGIN_M) * PX_PER_M
    return _Plan(left, back, wall, width, (front - back) * PX_PER_M)


def _balloons_from_above(takeoff: TakeOff, plan: _Plan, prefix: str) -> Iterator[Layer]:
    b, names = takeoff.balloons, [piece.reference for piece in takeoff.pieces]
    columns = (b.y, b.x, b.z, b.radius, b.colour, b.garland)
    for y, cx, cz, r, c, piece in zip(*(column.tolist() for column in columns), strict=True):
        drawn = placed_round(f"{prefix}b{c}", plan.x(cx), plan.z(cz), r * PX_PER_M)
        yield Layer(float(y), "garland", drawn, names[piece])


def _things_from_above(design: Design, plan: _Plan) -> Iterator[Layer]:
    """Frames with their feet, foils, props and sprays; a rug lies under everything."""
    x, z = plan.x, plan.z
    for frame in design.frames:
        name = f"frame:{frame.id}"
        yield Layer(-1.0, "frames", feet_from_above(frame, x, z), name)
        yield Layer(frame.base_m + frame.height_m, "frames", frame_from_above(frame, x, z), name)
    for foil in design.foils:
        yield Layer(foil.y_m, "foils", foil_from_above(foil, x(foil.x_m), z(foil.z_m)), f"foil:{foil.id}")
    for prop in design.props:
        top = -2.0 if prop.look == "rug" else prop.base_m + prop.height_m
        yield Layer(top, "props", prop_from_above(prop, x(prop.x_m), z(prop.z_m)), f"prop:{prop.id}")
    for spray in design.sprays:
        drawn = spray_from_above(spray, x(spray.x_m), z(spray.z_m))
        yield Layer(spray.y_m, "florals", drawn, f"spray:{spray.id}")


def _document(width: float, height: float, words: str, definitions: str, body: str) -> str:
    label = escape(words, {'"': "&quot;"})
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" role="img" '
        f'aria-label="{label}" class="set-piece"><defs>{definitions}</defs>{body}</svg>'
    )


def _gradients(takeoff: TakeOff, prefix: str) -> str:
    within = shown_within(takeoff.design, takeoff.balloons)
    balloons = lights(prefix) + "".join(
        round_symbol(prefix, k, colour, within.get(k, ""), _snips(takeoff, k))
        for k, colour in enumerate(takeoff.design.palette)
    )
    covers = "".join(
        cloth_gradient(f"{prefix}c{k}", face_tone(frame))
        for k, frame in enumerate(takeoff.design.frames)
        if is_closed(frame) or frame.shape == "column"
    )
    foils = "".join(
        foil_gradient(f"{prefix}f{k}", foil) for k, foil in enumerate(takeoff.design.foils) if not foil.text
    )
    props = "".join(prop_gradient(f"{prefix}p{k}", prop) for k, prop in enumerate(takeoff.design.props))
    return balloons + covers + foils + props


def _patterns(takeoff: TakeOff, prefix: str) -> str:
    """Necks, shimmering panels, weave and florals, which are seen from the front only."""
    necks = (
        neck_symbol(prefix, k, takeoff.design.palette[k]) for k in sorted(set(_necked(takeoff).values()))
    )
    shimmer = (
        shimmer_pattern(f"{prefix}s{k}", shimmer_tone(frame))
        for k, frame in enumerate(takeoff.design.frames)
        if frame.filling == "shimmer"
    )
    cloth = weave(prefix) if any(frame.cover for frame in takeoff.design.frames) else ""
    return "".join((*necks, *shimmer, cloth, floral_symbols(takeoff, prefix)))


def _print_clips(design: Design, view: View) -> str:
    return "".join(
        print_clip(f"{view.prefix}i{k}", frame, view)
        for k, frame in enumerate(design.frames)
        if frame.cover_print
    )


def _necked(takeoff: TakeOff) -> dict[int, int]:
    """The balloons whose neck is seen, by their place, with their colour: those that float or stand by themselves."""
    b, kinds = takeoff.balloons, [piece.kind for piece in takeoff.pieces]
    return {
        k: colour
        for k, (piece, colour) in enumerate(zip(b.garland.tolist(), b.colour.tolist(), strict=True))
        if kinds[piece] not in ("garland", "wall")
    }


def _snips(takeoff: TakeOff, place: int) -> list[str]:
    """Confetti comes in the other colours of the palette."""
    return [colour.hex for k, colour in enumerate(takeoff.design.palette) if k != place]


def _backdrop(takeoff: TakeOff, view: View, *, person: bool, room: bool, shade: bool) -> str:
    ground, site = view.y(0.0), takeoff.design.site
    shown = Shown(0, 0, view.width, view.height, ground)
    parts = []
    if room:
        parts.append(room_svg(shown, view.prefix, is_outdoors=site.outdoors))
        parts.append(site_door(site, view))
        parts.append("" if view.ceiling_m is None else ceiling_svg(shown, view.y(view.ceiling_m)))
    parts.append(shade_svg(takeoff, view, on_the_wall=shade))
    if person:
        parts.append(person_svg(view.x(view.person_x), ground, PX_PER_M * PERSON_HEIGHT_M / 100))
    return "".join(parts)


def _balloon_layers(takeoff: TakeOff, view: View) -> list[Layer]:
    b = takeoff.balloons
    x, y, r = ((b.x - view.left) * PX_PER_M, (view.top - b.y) * PX_PER_M, b.radius * PX_PER_M)
    names, necks = [piece.reference for piece in takeoff.pieces], _necked(takeoff)
    columns = (b.z, x, y, r, b.colour, b.garland)
    layers = []
    for k, (z, cx, cy, cr, c, piece) in enumerate(zip(*(column.tolist() for column in columns), strict=True)):
        neck = placed_round(f"{view.prefix}n{c}", cx, cy, cr) if k in necks else ""
        layers.append(
            Layer(z, "garland", neck + placed_round(f"{view.prefix}b{c}", cx, cy, cr), names[piece])
        )
    return layers


def _dimension_lines(takeoff: TakeOff, view: View) -> str:
    size = takeoff.dimensions
    left, right = view.x(size.left_m), view.x(size.left_m + size.width_m)
    y = view.y(-0.36)
    x = view.x(view.left + 0.12)
    top, ground = view.y(size.height_m), view.y(0.0)
    text = f'font-family="Figtree, sans-serif" font-size="20" fill="{INK}" text-anchor="middle"'
    return (
        f'<g class="dimensions" stroke="{INK}" stroke-width="1.4" fill="none">'
        f'<path d="M{many(left, y)}H{short(right)}M{many(left, y - 8)}v16M{many(right, y - 8)}v16"/>'
        f'<path d="M{many(x, top)}V{short(ground)}M{many(x - 8, top)}h16M{many(x - 8, ground)}h16"/>'
        f'</g><text {text} x="{short((left + right) / 2)}" y="{short(y + 24)}">{size.width_m:.2f} m</text>'
        f'<text {text} transform="translate({many(x - 8, (top + ground) / 2)}) rotate(-90)">'
        f"{size.height_m:.2f} m</text>"
    )

"""Faults of a design that only show between its fields: sums, references, orders."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final

from quoting.craft.design.schema import Fault

if TYPE_CHECKING:
    # The records' own room reads designs with these checks, so they are named here for the type checker only.
    from quoting.craft.design.records import Bouquet, Design, Frame, Garland, Leg, MixEntry, Wall

INCH_M: Final = 0.0254
SHARE_TOLERANCE: Final = 1e-3
LEAST_SIZED: Final = 0.4
"""A balloon sized below this share of its nominal size is slack and not round."""
ROUND_SIZES_IN: Final = (5, 7, 9, 10, 11, 12, 14, 16, 17, 18, 24, 30, 36)


def cross_faults(design: Design) -> list[Fault]:
    """Faults that only show between fields: sums, references, orders."""
    faults = _palette_faults(design)
    seen: set[str] = set()
    for i, frame in enumerate(design.frames):
        if frame.id in seen:
            faults.append(
                Fault(f"frames[{i}].id", f"is {frame.id!r} a second time; every frame needs its own")
            )
        seen.add(frame.id)
        faults.extend(_frame_faults(frame, f"frames[{i}]"))
    if not (design.frames or design.garlands or design.walls or design.bouquets):
        faults.append(
            Fault("garlands", "is empty, and so are frames, walls and bouquets; a design needs one of them")
        )
    shapes = {frame.id: frame.shape for frame in design.frames}
    ids: set[str] = set()
    for i, garland in enumerate(design.garlands):
        if garland.id in ids:
            faults.append(
                Fault(f"garlands[{i}].id", f"is {garland.id!r} a second time; every garland needs its own")
            )
        ids.add(garland.id)
        faults.extend(_garland_faults(garland, f"garlands[{i}]", shapes))
    more: tuple[tuple[str, tuple[Wall | Bouquet, ...]], ...] = (
        ("walls", design.walls),
        ("bouquets", design.bouquets),
    )
    for kind, pieces in more:
        for i, piece in enumerate(pieces):
            if piece.id in ids:
                faults.append(
                    Fault(f"{kind}[{i}].id", f"is {piece.id!r} a second time; every piece needs its own")
                )
            ids.add(piece.id)
            faults.extend(_sized_faults(piece.size_in, {"sized_m": piece.sized_m}, f"{kind}[{i}]"))
    if design.sign and design.sign.frame and design.sign.frame not in shapes:
        faults.append(Fault("sign.frame", f"is {design.sign.frame!r}; frames are {_known(shapes)}"))
    return faults


# Private


def _known(names: Mapping[str, Any]) -> str:
    return ", ".join(names) if names else "none"


def _palette_faults(design: Design) -> list[Fault]:
    faults = []
    seen: set[str] = set()
    for i, colour in enumerate(design.palette):
        if colour.colour in seen:
            faults.append(Fault(f"palette[{i}].colour", f"is {colour.colour!r} a second time"))
        seen.add(colour.colour)
    total = sum(colour.share for colour in design.palette)
    if abs(total - 1) > SHARE_TOLERANCE:
        faults.append(
            Fault("palette", f"has shares that add up to {total:.4g}; they must add up to 1 (within 0.001)")
        )
    return faults


def _frame_faults(frame: Frame, path: str) -> list[Fault]:
    faults = []
    if frame.shape == "free" and len(frame.points) < 2:
        faults.append(
            Fault(f"{path}.points", f"has {len(frame.points)} points; a free outline needs 2 to 200")
        )
    faults.extend(_outline_faults(frame, path))
    if frame.shape == "arch-top" and frame.height_m < frame.width_m / 2:
        faults.append(
            Fault(
                f"{path}.height_m",
                f"is {frame.height_m:g}; an arch-top needs at least half its width: "
                f"{frame.width_m / 2:g} to 8",
            )
        )
    if frame.shape == "part-ring" and not 5 <= abs(frame.end_deg - frame.start_deg) <= 360:
        faults.append(Fault(f"{path}.end_deg", "must lie 5 to 360 degrees from start_deg"))
    return faults


def _outline_faults(frame: Frame, path: str) -> list[Fault]:
    """Points of a free outline far outside the width and height that the frame says it has; a handle may stand out."""
    wide, high, slack = frame.width_m, 1.5 * frame.height_m, 1e-6
    allowed = f"x is allowed from {-wide:g} to {wide:g}, y from 0 to {high:g}"
    return [
        Fault(
            f"{path}.points[{i}]",
            f"is [{x:g}, {y:g}], outside the frame; {allowed}",
        )
        for i, (x, y) in enumerate(frame.points)
        if frame.shape == "free" and not (abs(x) <= wide + slack and -slack <= y <= high + slack)
    ]


def _garland_faults(garland: Garland, path: str, shapes: Mapping[str, str]) -> list[Fault]:
    faults = []
    for i, leg in enumerate(garland.route):
        neighbours = [garland.route[k] for k in (i - 1, i + 1) if 0 <= k < len(garland.route)]
        between = len(neighbours) == 2 and all(one.kind != "hang" or one.points for one in neighbours)
        faults.extend(_leg_faults(leg, f"{path}.route[{i}]", shapes, first=i == 0, between=between))
        if leg.kind == "along" and shapes.get(leg.frame) == "column" and garland.work == "organic":
            faults.append(
                Fault(f"{path}.route[{i}].kind", "is along; a column takes wind, or classic work along it")
            )
    for i, entry in enumerate(garland.mix):
        faults.extend(_mix_faults(entry, f"{path}.mix[{i}]"))
    bodies = [entry for entry in garland.mix if entry.role == "body"]
    if not bodies:
        faults.append(Fault(f"{path}.mix", "has no entry with role body; the quads need at least one"))
    total = sum(entry.share for entry in garland.mix if entry.role in ("body", "round"))
    if bodies and abs(total - 1) > SHARE_TOLERANCE:
        faults.append(
            Fault(
                f"{path}.mix", f"has body and round shares that add up to {total:.4g}; they must add up to 1"
            )
        )
    if garland.work == "classic" and len(garland.mix) != 1:
        faults.append(
            Fault(f"{path}.mix", f"has {len(garland.mix)} entries; classic work takes exactly one size")
        )
    faults.extend(_profile_faults(garland.profile, f"{path}.profile"))
    return faults


def _leg_faults(leg: Leg, path: str, shapes: Mapping[str, str], *, first: bool, between: bool) -> list[Fault]:
    faults = []
    if leg.kind in ("along", "wind") and leg.frame not in shapes:
        faults.append(Fault(f"{path}.frame", f"is {leg.frame!r}; frames are {_known(shapes)}"))
    if leg.kind in ("along", "wind") and leg.start == leg.end:
        faults.append(Fault(f"{path}.end", f"is {leg.end:g}, the same as start; the stretch has no length"))
    if leg.kind == "hang" and not leg.points and not between:
        faults.append(
            Fault(
                f"{path}.points",
                "is empty; hang takes two ends, or none where other legs stand on either side",
            )
        )
    if leg.kind == "hang" and len(leg.points) not in (0, 2):
        faults.append(
            Fault(
                f"{path}.points", f"has {len(leg.points)} points; hang takes two ends, or none between legs"
            )
        )
    if leg.kind == "through" and len(leg.points) < 2:
        faults.append(Fault(f"{path}.points", f"has {len(leg.points)} points; through takes 2 to 200"))
    if leg.kind == "pool" and not leg.length_m > 0.05:
        faults.append(Fault(f"{path}.length_m", f"is {leg.length_m:g}; a pool needs 0.05 to 30"))
    if leg.kind == "pool" and first and len(leg.points) != 1:
        faults.append(
            Fault(f"{path}.points", "a pool that begins a route needs the one point where it begins")
        )
    return faults


def _mix_faults(entry: MixEntry, path: str) -> list[Fault]:
    faults = []
    if entry.sized_low_m > entry.sized_high_m:
        faults.append(
            Fault(
                f"{path}.sized_low_m", f"is {entry.sized_low_m:g}, above sized_high_m {entry.sized_high_m:g}"
            )
        )
    sized = {"sized_low_m": entry.sized_low_m, "sized_high_m": entry.sized_high_m}
    return faults + _sized_faults(entry.size_in, sized, path)


def _sized_faults(size_in: int, sized: Mapping[str, float], path: str) -> list[Fault]:
    faults = []
    if size_in not in ROUND_SIZES_IN:
        sizes = ", ".join(map(str, ROUND_SIZES_IN))
        faults.append(Fault(f"{path}.size_in", f"is {size_in}; rounds come in {sizes}"))
    low, high = LEAST_SIZED * size_in * INCH_M, size_in * INCH_M
    for name, value in sized.items():
        if not low - 1e-9 <= value <= high + 1e-9:
            faults.append(
                Fault(
                    f"{path}.{name}", f"is {value:g}; a {size_in}-in round is sized {low:.3f} to {high:.3f}"
                )
            )
    return faults


def _profile_faults(profile: tuple[tuple[float, float], ...], path: str) -> list[Fault]:
    faults = []
    for i, (fraction, factor) in enumerate(profile):
        if not 0 <= fraction <= 1:
            faults.append(Fault(f"{path}[{i}][0]", f"is {fraction:g}; allowed is 0 to 1"))
        if not 0.5 <= factor <= 1.8:
            faults.append(Fault(f"{path}[{i}][1]", f"is {factor:g}; allowed is 0.5 to 1.8"))
        if i and fraction <= profile[i - 1][0]:
            faults.append(Fault(f"{path}[{i}][0]", "must be larger than the fraction before it"))
    return faults

"""The name of a drawing: what stands in it, until somebody types another."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from quoting.craft.design.records import Design

UNNAMED: Final = "New design"
MOST_NAMED: Final = 3
NUMBERS: Final = ("no", "one", "two", "three", "four", "five", "six")
SHAPES: Final = {
    "arch-top": ("arch", "arches"),
    "half-arch": ("half arch", "half arches"),
    "ring": ("ring", "rings"),
    "part-ring": ("ring", "rings"),
    "panel": ("panel", "panels"),
    "column": ("column", "columns"),
}
FRAMES: Final = ("frame", "frames")


def proposed_name(design: Design) -> str:
    """What stands in a design, the frames first.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> proposed_name(load_design(STARTERS / "garland-nested-arches.json"))
    'Two arches with a garland and florals'
    """
    frames, others = list(_frames(design)), list(_others(design))
    first, rest = (frames, others) if frames else (others[:1], others[1:])
    if not first:
        return UNNAMED
    words = _listed(first) + (f" with {_listed(rest[:MOST_NAMED])}" if rest else "")
    return words[:1].upper() + words[1:]


def renamed(before: Design, after: Design) -> Design:
    """The design after an act: under a name of what stands in it now, unless somebody named it."""
    is_ours = before.name in (UNNAMED, proposed_name(before))
    if after.name != before.name or not is_ours:
        return after
    return replace(after, name=proposed_name(after))


# Private


def _frames(design: Design) -> Iterator[str]:
    shapes = Counter(SHAPES.get(frame.shape, FRAMES) for frame in design.frames)
    yield from (_counted(count, names) for names, count in shapes.items())


def _others(design: Design) -> Iterator[str]:
    kinds = (
        (len(design.garlands), ("garland", "garlands")),
        (len(design.walls), ("balloon wall", "balloon walls")),
        (len(design.bouquets), ("bouquet", "bouquets")),
        (len(design.foils), ("foil balloon", "foil balloons")),
        (len(design.rounds), ("big round", "big rounds")),
        (len(design.signs), ("sign", "signs")),
    )
    yield from (_counted(count, names) for count, names in kinds if count)
    if design.sprays or design.florals:
        yield "florals"
    if design.props:
        yield _counted(len(design.props), ("prop", "props"))


def _counted(count: int, names: tuple[str, str]) -> str:
    one, many = names
    if count == 1:
        return f"{'an' if one[0] in 'aeiou' else 'a'} {one}"
    return f"{NUMBERS[count] if count < len(NUMBERS) else count} {many}"


def _listed(words: list[str]) -> str:
    """``a, b and c``."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"

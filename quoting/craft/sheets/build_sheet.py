"""The build sheet: the take-off as instructions, in the order in which a crew needs them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count as counting
from itertools import groupby
from string import ascii_uppercase
from typing import Final

import numpy as np

from quoting.craft.colour.plan import ACCENT, units_of
from quoting.craft.colour.recipes import Index, Recipe, recipe_keys
from quoting.craft.colour.zones import zone_bounds
from quoting.craft.design.records import ROLES, ZONED
from quoting.craft.rigging.tie_points import TiePoint
from quoting.craft.settle.fullness import Fullness, fullness_of
from quoting.craft.sheets.steps import steps_of
from quoting.craft.site.prep import Prep, prep_of
from quoting.craft.takeoff.doubles import shown_names
from quoting.craft.takeoff.takeoff import TakeOff
from studio.trade.latex import round_name
from studio.trade.sentences import in_metres

ROUND = ROLES.index("round")
LEAST_SHOWN_M: Final = 0.05
"""Greenery that shows for less than a hand's width is a leaf that peeps out: nothing to place (setting)."""


@dataclass(frozen=True, slots=True)
class NamedRecipe:
    """A recipe with its name on the sheet and what goes into it, in words."""

    name: str
    recipe: Recipe
    words: str


@dataclass(frozen=True, slots=True)
class Run:
    """Quads of one recipe one after another on the string: first and last number from the start, name of the recipe,
    and whether bigger rounds are among them."""

    first: int
    last: int
    recipe: str
    bigger: bool


@dataclass(frozen=True, slots=True)
class Placed:
    """Something set at its place: name, metres from the start of the garland, and the side of it in words.

    ``x_m``, ``y_m``: where that is in the elevation; ``shows_m``: of greenery, over how many metres it shows from
    there; ``balloons``: those of it, by their place in the take-off; ``number``: its own in the whole set piece, in
    the picture as in the lists (0: it shows for less than a hand's width, which is no place to look for).
    """

    name: str
    station_m: float
    side: str
    x_m: float
    y_m: float
    shows_m: float | None = None
    balloons: tuple[int, ...] = ()
    number: int = 0


@dataclass(frozen=True, slots=True)
class ZoneRow:
    """A stretch of a garland in one colour: its name, and from where to where along it [m]."""

    colour: str
    start_m: float
    end_m: float


@dataclass(frozen=True, slots=True)
class PieceSheet:
    """One garland, wall or bouquet on the sheet."""

    label: str
    kind: str
    length_m: float
    filled: Fullness | None
    """How full an organic garland is, as asked and as measured."""
    recipes: tuple[NamedRecipe, ...]
    order: tuple[Run, ...]
    ends: tuple[Placed, ...]
    """End quads by recipe: made apart, tied in on site."""
    big_rounds: tuple[Placed, ...]
    fillers: tuple[Placed, ...]
    florals: tuple[Placed, ...]
    ties: tuple[TiePoint, ...]
    zones: tuple[ZoneRow, ...] = ()

    @property
    def placed(self) -> tuple[tuple[str, tuple[Placed, ...]], ...]:
        """What is set at numbered places, by the kind of its step."""
        return (
            ("ends", self.ends),
            ("big rounds", self.big_rounds),
            ("fillers", self.fillers),
            ("florals", self.florals),
        )


@dataclass(frozen=True, slots=True)
class BuildSheet:
    """Everything on the sheet: sizes to set the ring to, every piece, and the steps in working order."""

    prep: Prep
    pieces: tuple[PieceSheet, ...]
    steps: tuple[str, ...]


def build_sheet(takeoff: TakeOff) -> BuildSheet:
    """Write the sheet for a design, in working order.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> sheet = build_sheet(take_off(load_design(STARTERS / "classic-arch.json")))
    >>> [one.words for one in sheet.pieces[0].recipes][:2]
    ['quad of 4 x pale grey 11 in', 'quad of 4 x ink 11 in']
    """
    several = [index for index, piece in enumerate(takeoff.pieces) if piece.kind != "round"]
    pieces = _numbered([_piece_sheet(takeoff, index) for index in several])
    return BuildSheet(prep_of(takeoff), tuple(pieces), tuple(step.text for step in steps_of(takeoff)))


def sheet_text(sheet: BuildSheet) -> str:
    """Write the sheet as plain text; lengths in metres, rings in centimetres.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> sheet = build_sheet(take_off(load_design(STARTERS / "classic-arch.json")))
    >>> sheet_text(sheet).splitlines()[:2]
    ['Sizes', '  11 in  ring 22.9 cm  157 balloons']
    """
    lines = ["Sizes"]
    for ring in sheet.prep.rings:
        note = f"  {ring.note}" if ring.note else ""
        lines.append(f"  {ring.size_in:>2} in  ring {100 * ring.ring_m:.1f} cm  {ring.count} balloons{note}")
    for piece in sheet.pieces:
        lines += ["", _piece_words(piece)]
        lines += [f"  zone {one.start_m:.2f} to {one.end_m:.2f} m: {one.colour}" for one in piece.zones]
        lines += [f"  {r.recipe.count:>3} x {r.name}: {r.words}" for r in piece.recipes]
        if piece.order:
            lines.append("  order: " + ", ".join(_run_words(run) for run in piece.order))
        for title, placed in (
            ("end quads", piece.ends),
            ("big rounds", piece.big_rounds),
            ("fillers", piece.fillers),
            ("florals", piece.florals),
        ):
            lines += [f"  {title}:"] if placed else []
            lines += [f"    {one.station_m:5.2f} m  {one.side:<8} {_placed_words(one)}" for one in placed]
        lines += ["  tie points:"] if piece.ties else []
        lines += [
            f"    {tie.station_m:5.2f} m  {number}. {tie.holder}{' on ' + tie.frame if tie.frame else ''}"
            for number, tie in enumerate(piece.ties, 1)
        ]
    lines += ["", "Steps"] + [f"  {k}. {step}" for k, step in enumerate(sheet.steps, 1)]
    return "\n".join(lines)


# Private


def _numbered(pieces: Sequence[PieceSheet]) -> list[PieceSheet]:
    """Every place with a number of its own: through the pieces, in the order of the steps."""
    numbers = counting(1)

    def numbered(rows: Sequence[Placed]) -> tuple[Placed, ...]:
        seen = (row.shows_m is None or row.shows_m >= LEAST_SHOWN_M for row in rows)
        return tuple(
            replace(row, number=next(numbers) if shows else 0) for row, shows in zip(rows, seen, strict=True)
        )

    return [
        replace(
            piece,
            ends=numbered(piece.ends),
            big_rounds=numbered(piece.big_rounds),
            fillers=numbered(piece.fillers),
            florals=numbered(piece.florals),
        )
        for piece in pieces
    ]


def _piece_words(piece: PieceSheet) -> str:
    words = [piece.label]
    words += [f"{piece.length_m:.2f} m"] if piece.length_m else []
    words += [piece.filled.in_words] if piece.filled else []
    return ", ".join(words)


def _filled(takeoff: TakeOff, index: int) -> Fullness | None:
    mine = takeoff.garlands[index : index + 1]
    return fullness_of(mine) if mine and mine[0].garland.work == "organic" else None


def _placed_words(one: Placed) -> str:
    return one.name if one.shows_m is None else f"{one.name}, shows for {in_metres(one.shows_m)}"


def _run_words(run: Run) -> str:
    numbers = f"{run.first}" if run.first == run.last else f"{run.first}-{run.last}"
    return f"{numbers} {run.recipe}{' (bigger rounds)' if run.bigger else ''}"


@dataclass(frozen=True, slots=True)
class Unit:
    """What is made by a recipe: its kind, its number among its kind, its recipe's name, its balloons by index."""

    kind: str
    number: int
    recipe: str
    balloons: Index


def named_units(takeoff: TakeOff, index: int) -> tuple[list[NamedRecipe], list[Unit]]:
    """The recipes of a piece with their names, and everything that is made by them: quads by number, then fillers.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> recipes, units = named_units(take_off(load_design(STARTERS / "classic-arch.json")), 0)
    >>> len(units) == sum(one.recipe.count for one in recipes), units[0].recipe in {one.name for one in recipes}
    (True, True)
    """
    b, piece = takeoff.balloons, takeoff.pieces[index]
    mine = np.flatnonzero(b.garland == index)
    shown = shown_names(takeoff.design, b)
    recipes: list[NamedRecipe] = []
    units: list[Unit] = []
    for kind, members, unit in units_of(piece, b.role[mine], b.quad[mine]):
        at = mine[members]
        keys = recipe_keys(unit, b.size_in[at], b.colour[at])
        named = _named(shown, kind, keys, offset=len(recipes))
        recipes.extend(named)
        names = {one.recipe.balloons: one.name for one in named}
        units.extend(Unit(kind, q, names[keys[q]], at[unit == q]) for q in sorted(keys))
    return recipes, units


def _piece_sheet(takeoff: TakeOff, index: int) -> PieceSheet:
    b, piece = takeoff.balloons, takeoff.pieces[index]
    shown = shown_names(takeoff.design, b)
    recipes, units = named_units(takeoff, index)
    at_ends = {q for end in takeoff.ends if end.garland == index for q in range(end.first, end.last + 1)}
    strung = [unit for unit in units if unit.kind != "filler"]
    fillers = [(unit.recipe, unit.balloons) for unit in units if unit.kind == "filler"]
    ends = [(unit.recipe, unit.balloons) for unit in strung if unit.number in at_ends]
    accents = [
        (round_name(size := int(b.size_in[k]), shown[size, int(b.colour[k])]), np.array([k]))
        for k in np.flatnonzero((b.garland == index) & (b.role == ACCENT)).tolist()
    ]
    garlands = len(takeoff.design.garlands)
    return PieceSheet(
        piece.label,
        piece.kind,
        takeoff.garlands[index].route.length_m if index < garlands else 0.0,
        _filled(takeoff, index),
        tuple(recipes),
        tuple(_runs([unit for unit in strung if unit.number not in at_ends], b.role)),
        tuple(_placed(takeoff, ends, index)),
        tuple(_along(_placed(takeoff, accents, index))),
        tuple(_along(_placed(takeoff, fillers, index))),
        tuple(_florals(takeoff, index)),
        tuple(tie for tie in takeoff.rigging.ties if tie.garland == index),
        tuple(_zones(takeoff, index)),
    )


def _along(rows: Sequence[Placed]) -> list[Placed]:
    return sorted(rows, key=lambda one: one.station_m)


def _zones(takeoff: TakeOff, index: int) -> list[ZoneRow]:
    if takeoff.pieces[index].pattern != ZONED:
        return []
    names = {colour.colour: colour.name for colour in takeoff.design.palette}
    zones, length_m = takeoff.pieces[index].zones, takeoff.garlands[index].route.length_m
    bounds = zip(zones, zone_bounds(zones), strict=True)
    return [ZoneRow(names[zone.colour], start * length_m, end * length_m) for zone, (start, end) in bounds]


def _named(
    shown: Mapping[tuple[int, int], str], kind: str, keys: dict[int, tuple[tuple[int, int], ...]], offset: int
) -> list[NamedRecipe]:
    tally = sorted(Counter(keys.values()).items(), key=lambda item: (-item[1], item[0]))
    named = []
    for k, (balloons, count) in enumerate(tally):
        parts = Counter(balloons)
        words = ", ".join(
            f"{n} x {round_name(size, shown[size, colour].lower())}"
            for (size, colour), n in sorted(parts.items(), key=lambda item: (-item[0][0], item[0][1]))
        )
        named.append(NamedRecipe(_letter(offset + k), Recipe(kind, balloons, count), f"{kind} of {words}"))
    return named


def _letter(k: int) -> str:
    """A, B, ... Z, AA, AB, ..."""
    return (ascii_uppercase[k // 26 - 1] if k >= 26 else "") + ascii_uppercase[k % 26]


def _runs(units: Sequence[Unit], role: Index) -> list[Run]:
    bigger = {unit.number for unit in units if (role[unit.balloons] == ROUND).any()}
    runs = []
    for (name, big), group in groupby(units, key=lambda unit: (unit.recipe, unit.number in bigger)):
        numbers = [unit.number for unit in group]
        runs.append(Run(numbers[0] + 1, numbers[-1] + 1, name, big))
    return runs


def _placed(takeoff: TakeOff, named: Sequence[tuple[str, Index]], index: int) -> list[Placed]:
    """Where balloons of these names are: all of them at once, for the route is looked along from end to end."""
    b = takeoff.balloons
    if not named:
        return []
    stations = np.array([b.station[members].mean() for _, members in named])
    middles = np.array([b.centres[members].mean(axis=0) for _, members in named])
    sides = [""] * len(named)
    if index < len(takeoff.garlands):
        route = takeoff.garlands[index].route
        _, sideways, facing = route.triad(stations)
        away = middles - route.at(stations)
        sides = [_side(*ways) for ways in zip(away, sideways, facing, strict=True)]
    return [
        Placed(
            name,
            float(stations[k]),
            sides[k],
            float(middles[k, 0]),
            float(middles[k, 1]),
            balloons=tuple(members.tolist()),
        )
        for k, (name, members) in enumerate(named)
    ]


def _side(away: np.ndarray, sideways: np.ndarray, facing: np.ndarray) -> str:
    """On which side of the string something is that lies ``away`` from it."""
    across, ahead = float(away @ sideways), float(away @ facing)
    return "front" if abs(across) < 0.6 * max(ahead, 1e-9) else _side_words(sideways * np.sign(across))


def _side_words(direction: np.ndarray) -> str:
    """A direction in the wall plane in words, as the viewer sees it."""
    x, y = float(direction[0]), float(direction[1])
    if abs(x) >= abs(y):
        return "right" if x > 0 else "left"
    return "above" if y > 0 else "below"


def _florals(takeoff: TakeOff, index: int) -> list[Placed]:
    """Picks and sprays one by one; greenery by the stretches where it shows."""
    if index >= len(takeoff.garlands):
        return []
    route, reach = takeoff.garlands[index].route, takeoff.garlands[index].reach_m
    leaves = [leaf for leaf in takeoff.leaves if leaf.garland == index]
    rows: list[tuple[str, float, float | None]] = []
    for k, floral in enumerate(takeoff.design.florals):
        mine = sorted({leaf.station for leaf in leaves if leaf.floral == k})
        if floral.kind == "greenery":
            rows.extend((floral.label, a, z - a) for a, z in _stretches(mine, 1.5 * reach))
        else:
            rows.extend((floral.label, s, None) for s in mine)
    points = route.at(np.array([s for _, s, _ in rows])) if rows else ()
    placed = [
        Placed(label, s, "front", float(point[0]), float(point[1]), shows_m)
        for (label, s, shows_m), point in zip(rows, points, strict=True)
    ]
    return _along(placed)


def _stretches(stations: list[float], gap: float) -> list[tuple[float, float]]:
    runs: list[list[float]] = []
    for s in stations:
        if runs and s - runs[-1][1] < gap:
            runs[-1][1] = s
        else:
            runs.append([s, s])
    return [(a, z) for a, z in runs]

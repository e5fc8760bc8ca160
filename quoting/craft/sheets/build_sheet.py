"""The build sheet: the take-off as instructions, in the order in which a crew needs them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from string import ascii_uppercase

import numpy as np

from quoting.craft.colour.plan import ACCENT, FILLER, units_of
from quoting.craft.colour.recipes import Recipe, recipe_keys
from quoting.craft.colour.zones import zone_bounds
from quoting.craft.design.records import ROLES, ZONED, Design
from quoting.craft.design.signs import as_made
from quoting.craft.design.things import Foil, Round
from quoting.craft.design.toppers import support_label, toppers
from quoting.craft.rigging.tie_points import TiePoint
from quoting.craft.settle.fullness import Fullness, fullness_of
from quoting.craft.site.prep import Prep, prep_of
from quoting.craft.takeoff.doubles import shown_names
from quoting.craft.takeoff.holding_down import FOOT_FIXING, weight_that_holds
from quoting.craft.takeoff.singles import SINGLE
from quoting.craft.takeoff.takeoff import TakeOff
from studio.trade.latex import round_name
from studio.trade.packing import BALLAST
from studio.trade.sentences import in_metres

ROUND = ROLES.index("round")
OUNCE_G = 28.349523125  # international avoirdupois ounce, exact


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

    ``shows_m``: of greenery, over how many metres it shows from there.
    """

    name: str
    station_m: float
    side: str
    shows_m: float | None = None


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
    pieces = tuple(_piece_sheet(takeoff, index) for index in several)
    return BuildSheet(prep_of(takeoff), pieces, tuple(_steps(takeoff)))


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


def _piece_sheet(takeoff: TakeOff, index: int) -> PieceSheet:
    b, piece = takeoff.balloons, takeoff.pieces[index]
    mine = np.flatnonzero(b.garland == index)
    shown = shown_names(takeoff.design, b)
    recipes: list[NamedRecipe] = []
    order: list[Run] = []
    fillers: list[Placed] = []
    ends: list[Placed] = []
    at_ends = {q for end in takeoff.ends if end.garland == index for q in range(end.first, end.last + 1)}
    for kind, members, unit in units_of(piece, b.role[mine], b.quad[mine]):
        at = mine[members]
        keys = recipe_keys(unit, b.size_in[at], b.colour[at])
        named = _named(shown, kind, keys, offset=len(recipes))
        recipes.extend(named)
        names = {one.recipe.balloons: one.name for one in named}
        if kind == "filler":
            own = [(names[keys[number]], at[unit == number]) for number in sorted(keys)]
            fillers.extend(_placed(takeoff, own, index))
        else:
            bigger = {int(q) for q in unit[b.role[at] == ROUND]}
            order.extend(_runs({q: key for q, key in keys.items() if q not in at_ends}, names, bigger))
            ends += _placed(takeoff, [(names[keys[q]], at[unit == q]) for q in sorted(at_ends)], index)
    accents = [
        (round_name(size := int(b.size_in[k]), shown[size, int(b.colour[k])]), np.array([k]))
        for k in mine[b.role[mine] == ACCENT].tolist()
    ]
    big = _placed(takeoff, accents, index)
    garlands = len(takeoff.design.garlands)
    return PieceSheet(
        piece.label,
        piece.kind,
        takeoff.garlands[index].route.length_m if index < garlands else 0.0,
        _filled(takeoff, index),
        tuple(recipes),
        tuple(order),
        tuple(ends),
        tuple(sorted(big, key=lambda one: one.station_m)),
        tuple(sorted(fillers, key=lambda one: one.station_m)),
        tuple(_florals(takeoff, index)),
        tuple(tie for tie in takeoff.rigging.ties if tie.garland == index),
        tuple(_zones(takeoff, index)),
    )


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


def _runs(
    keys: dict[int, tuple[tuple[int, int], ...]],
    names: dict[tuple[tuple[int, int], ...], str],
    bigger: set[int],
) -> list[Run]:
    runs = []
    for (name, big), group in groupby(sorted(keys), key=lambda q: (names[keys[q]], q in bigger)):
        numbers = list(group)
        runs.append(Run(numbers[0] + 1, numbers[-1] + 1, name, big))
    return runs


def _placed(takeoff: TakeOff, named: Sequence[tuple[str, np.ndarray]], index: int) -> list[Placed]:
    """Where balloons of these names are: all of them at once, for the route is looked along from end to end."""
    b = takeoff.balloons
    if not named:
        return []
    stations = np.array([b.station[members].mean() for _, members in named])
    if index >= len(takeoff.garlands):
        return [Placed(name, float(s), "") for (name, _), s in zip(named, stations, strict=True)]
    route = takeoff.garlands[index].route
    _, sideways, facing = route.triad(stations)
    away = np.array([b.centres[members].mean(axis=0) for _, members in named]) - route.at(stations)
    return [
        Placed(name, float(stations[k]), _side(away[k], sideways[k], facing[k]))
        for k, (name, _) in enumerate(named)
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
    reach = takeoff.garlands[index].reach_m
    placed = []
    leaves = [leaf for leaf in takeoff.leaves if leaf.garland == index]
    for k, floral in enumerate(takeoff.design.florals):
        mine = sorted({leaf.station for leaf in leaves if leaf.floral == k})
        if floral.kind == "greenery":
            for a, z in _stretches(mine, 1.5 * reach):
                placed.append(Placed(floral.label, a, "front", shows_m=z - a))
        else:
            placed.extend(Placed(floral.label, s, "front") for s in mine)
    return sorted(placed, key=lambda one: one.station_m)


def _stretches(stations: list[float], gap: float) -> list[tuple[float, float]]:
    runs: list[list[float]] = []
    for s in stations:
        if runs and s - runs[-1][1] < gap:
            runs[-1][1] = s
        else:
            runs.append([s, s])
    return [(a, z) for a, z in runs]


def _steps(takeoff: TakeOff) -> list[str]:
    design, brought = takeoff.design, takeoff.design.brought_frames
    fillers = int(np.count_nonzero(takeoff.balloons.role == FILLER)) // 8
    big = int(np.count_nonzero(takeoff.balloons.role == ACCENT))
    ends = sum(end.count for end in takeoff.ends)
    on_walls = takeoff.rigging.wall_ties
    ties = len(takeoff.rigging.ties) + on_walls
    clips = sum(bool(tie.frame) for tie in takeoff.rigging.ties) + on_walls
    covers = sum(frame.cover is not None for frame in design.frames)
    billed = {line.code for line in takeoff.rigging.lines}
    in_wind = design.site.judged_gust_m_s > 0
    steps = [
        (
            bool(brought),
            f"Set up the frames, the rearmost first: {', '.join(frame.label for frame in brought)}.",
        ),
        (
            bool(design.frames) and BALLAST in billed,
            "Lay the ballast on the feet before anything catches wind.",
        ),
        (FOOT_FIXING in billed, "Fix every foot to the ground."),
        *((True, text) for text in _prop_steps(design)),
        (covers > 0, f"Dress {covers} covers, seams to the edge."),
        *((True, f"Put on the words “{one.text}”, the lowest line first.") for one in design.letterings),
        *(
            (True, f"{'Hang' if sign.frame else 'Set up'} the sign: {as_made(sign)}.")
            for sign in design.signs
        ),
        (ties > 0, f"Make {ties} tie points, {clips} of them clips on frames, their tails left long."),
        (bool(design.walls), "Build the walls row by row from the floor."),
        (bool(design.garlands), "Hang the garlands, each from its middle outward."),
        (ends > 0, f"Tie in {ends} end quads at the foot and at free ends."),
        (big > 0, f"Tie on {big} big rounds at their places."),
        (not all(one.on_top for one in design.rounds), f"Place {_single_rounds(takeoff)}."),
        *((True, text) for text in _topper_steps(takeoff)),
        *((True, _foil_step(design, foil)) for foil in design.foils if not foil.on_top),
        (fillers > 0, f"Wrap {fillers} fillers into their gaps."),
        (bool(design.florals), "Weave the greenery, ends hidden; then picks, then sprays."),
        (bool(design.sprays), f"Set the placed florals: {_placed_florals(design)}."),
        (bool(design.bouquets), f"Tie the bouquets to their {'ballast' if in_wind else 'weights'}."),
        (True, "Step back and look."),
    ]
    return [text for applies, text in steps if applies]


def _single_rounds(takeoff: TakeOff) -> str:
    """The rounds by themselves, alike ones together."""
    names = _round_names(takeoff)
    told = Counter(names[one.id] for one in takeoff.design.rounds if not one.on_top)
    return ", ".join(f"{count} x {name}" for name, count in told.items())


def _round_names(takeoff: TakeOff) -> dict[str, str]:
    """Size and colour of the rounds by themselves, by id."""
    alone = takeoff.balloons.chosen(takeoff.balloons.role == SINGLE)
    shown = shown_names(takeoff.design, alone)
    keys = zip(takeoff.design.rounds, alone.size_in.tolist(), alone.colour.tolist(), strict=True)
    return {one.id: round_name(size, shown[size, colour]) for one, size, colour in keys}


def _topper_steps(takeoff: TakeOff) -> list[str]:
    """What goes on top of what, alike ones together; what floats is tied to what bears it."""
    design, names = takeoff.design, _round_names(takeoff)
    told = Counter(
        f"{_foil_words(one) if isinstance(one, Foil) else names[one.id]} on top of "
        f"{support_label(design, one.on_top)}, {_made_fast(design, one)}"
        for one in toppers(design)
    )
    return [f"Set {words}." if count == 1 else f"Set {count} x {words}." for words, count in told.items()]


def _made_fast(design: Design, one: Round | Foil) -> str:
    pull = weight_that_holds(design, one)
    return f"tied to it: it needs {_grams(pull)} to hold it" if pull else "tied to it"


def _foil_step(design: Design, foil: Foil) -> str:
    pull = weight_that_holds(design, foil)
    weight = f", tied to a weight of {_grams(pull)} or more" if pull else ""
    return f"Set {_foil_words(foil)} in its place{weight}."


def _grams(weight_kg: float) -> str:
    """A weight rounded up to 5 g, and in ounces."""
    grams = 5 * math.ceil(200 * weight_kg - 1e-9)
    return f"{grams} g ({grams / OUNCE_G:.1f} oz)"


def _foil_words(foil: Foil) -> str:
    return f"{foil.label} “{foil.text.upper()}”" if foil.text else foil.label


def _placed_florals(design: Design) -> str:
    return _counted_labels(Counter(spray.label for spray in design.sprays))


def _prop_steps(design: Design) -> list[str]:
    """Rugs lie before anything stands on them; then everything else, candles with their caution."""
    rugs, others = (
        Counter(prop.label for prop in design.brought_props if (prop.look == "rug") == lies)
        for lies in (True, False)
    )
    steps = [f"Lay {_counted_labels(rugs)}."] if rugs else []
    steps += [f"Set up {_counted_labels(others)}."] if others else []
    lit = any(prop.look == "candle" for prop in design.props)
    return steps + ["Light the candles by battery; no open flame stands near the piece."] * lit


def _counted_labels(labels: Counter[str]) -> str:
    return ", ".join(label if count == 1 else f"{count} x {label}" for label, count in labels.items())

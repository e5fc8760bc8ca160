"""The build sheet written for the hands that use it: in the studio's units, alike places gathered."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from quoting.craft.picture.numbered import Mark, numbered_svg
from quoting.craft.rigging.ends import ON_THE_FLOOR_M
from quoting.craft.sheets.build_sheet import NamedRecipe, PieceSheet, Placed, build_sheet
from quoting.craft.sheets.order_of_building import Built, everything_built
from quoting.craft.sheets.steps import Step, steps_of
from quoting.craft.site.prep import Prep
from quoting.craft.solid.scene import Scene
from quoting.craft.takeoff.doubles import shown_names
from quoting.craft.takeoff.takeoff import TakeOff
from quoting.set_pieces import measures
from quoting.set_pieces.presenter import limit_words
from studio.models.spelling import spelled
from studio.trade.latex import round_name

PLACED_TITLES: Final = {
    "ends": "End quads, tied in on site",
    "big rounds": "Big rounds",
    "fillers": "Fillers",
    "florals": "Florals",
}
CAUTION_TITLES: Final = {
    "choking-us": "Small children",
    "choking-eu": "Small children",
    "latex-allergy": "Latex",
    "helium": "Helium",
    "foil": "Foil",
    "release": "Balloon release",
    "wind": "Wind",
    "ladder": "Ladders",
    "lifting": "Lifting",
    "flame": "Flames and exits",
}


@dataclass(frozen=True, slots=True)
class RingRow:
    """One setting of the sizing ring."""

    size: str
    ring: str
    at_site: str
    """What it measures where it hangs; empty where that is the same."""
    count: int
    note: str


@dataclass(frozen=True, slots=True)
class Round:
    """Balloons of one size and colour within a recipe."""

    count: int
    name: str
    hex: str


@dataclass(frozen=True, slots=True)
class RecipeRow:
    """One recipe: make so many of it."""

    name: str
    count: int
    kind: str
    rounds: tuple[Round, ...]


@dataclass(frozen=True, slots=True)
class RunRow:
    """Neighbours on the string that are made alike."""

    numbers: str
    recipe: str
    bigger: bool


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in words, and its number in the drawing (0: it has none)."""

    where: str
    number: int = 0


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """What goes to which places, counted from the start of the garland."""

    name: str
    count: int
    places: tuple[Spot, ...]


@dataclass(frozen=True, slots=True)
class PlaceGroup:
    """What one step sets at its places, and the drawing that has the numbers with its name among those of its piece;
    empty where there are none."""

    title: str
    rows: tuple[PlaceRow, ...]
    drawing: str = ""
    words: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True)
class GarlandWords:
    """One garland, wall or bouquet."""

    label: str
    kind: str
    length: str
    filled: str
    start: str
    recipes: tuple[RecipeRow, ...]
    order: tuple[RunRow, ...]
    placed: tuple[PlaceGroup, ...]
    ties: tuple[PlaceRow, ...]

    @property
    def has_bigger(self) -> bool:
        """Whether bigger rounds are among the quads."""
        return any(run.bigger for run in self.order)


@dataclass(frozen=True, slots=True)
class CautionWords:
    """A caution with a word to find it by."""

    title: str
    text: str


@dataclass(frozen=True, slots=True)
class BuildWords:
    """Everything on the sheet of one set piece."""

    rings: tuple[RingRow, ...]
    sized_elsewhere: bool
    air: str
    garlands: tuple[GarlandWords, ...]
    wind: tuple[str, ...]
    """What holds the piece outdoors and when it comes down; empty indoors."""
    steps: tuple[str, ...]
    cautions: tuple[CautionWords, ...]


def build_words(takeoff: TakeOff, units: str) -> BuildWords:
    """The sheet of a take-off in words."""
    sheet = build_sheet(takeoff)
    rings = tuple(ring_rows(sheet.prep, units))
    return BuildWords(
        rings,
        any(row.at_site for row in rings),
        air_words(sheet.prep),
        tuple(_garland(takeoff, place, piece, units) for place, piece in enumerate(sheet.pieces)),
        tuple(wind_words(sheet.prep, units)),
        tuple(_with_numbers(step, sheet.pieces) for step in steps_of(takeoff)),
        tuple(caution_words(sheet.prep)),
    )


def model_notes(takeoff: TakeOff, scene: Scene, units: str) -> list[dict[str, object]]:
    """What the model says beside each of its balloons and other things: the step that puts it up, and where it goes."""
    return [{"step": one.step, "says": built_words(one, units)} for one in everything_built(takeoff, scene)]


def built_words(one: Built, units: str) -> str:
    """The recipe of a balloon and its place, as the lists of the sheet have them; empty where it has neither."""
    words = [f"{one.kind} {one.recipe}"] if one.recipe else []
    words += [f"no. {one.on_string} on the string"] if one.on_string and one.station_m is not None else []
    words += [f"no. {one.on_string}"] if one.on_string and one.station_m is None else []
    words += [f"place {one.place}"] if one.place else []
    if one.station_m is not None:
        words.append(f"{measures.place(one.station_m, units)} from the start")
    return ", ".join(words)


def ring_rows(prep: Prep, units: str) -> list[RingRow]:
    """Settings of the ring, those that read alike joined."""
    told: Counter[tuple[int, str, str, str]] = Counter()
    for one in prep.rings:
        ring, site = measures.ring(one.ring_m, units), measures.ring(one.site_m, units)
        note = one.note
        told[one.size_in, ring, "" if site == ring else site, note] += one.count
    return [RingRow(f"{size} in", ring, site, n, note) for (size, ring, site, note), n in told.items()]


def air_words(prep: Prep) -> str:
    """How long inflating takes at one nozzle, and by hand."""
    if not prep.air.strokes:
        return ""
    at_nozzle = measures.minutes(prep.inflating_minutes * 60)
    return f"{at_nozzle} at one nozzle, or {prep.air.strokes:,.0f} strokes of a hand pump"


def wind_words(prep: Prep, units: str) -> list[str]:
    """The ballast of frames and bouquets, and the gusts to act at."""
    if prep.wind_plan is None:
        return []
    words = []
    if prep.wind and prep.wind.ballast_for_tipping > 0:
        words.append(f"{measures.weight_up(prep.wind.ballast_for_tipping, units)} of ballast on the feet.")
    if prep.wind and prep.wind.ballast_for_sliding > prep.wind.ballast_for_tipping:
        words.append("Every foot fixed to the ground: bare steel slides before it tips.")
    words += [
        f"{one.label}: {measures.weight_up(one.lift.weight_needed, units)} of ballast."
        for one in prep.bouquets
    ]
    return [*words, limit_words(prep.wind_plan.limit, units)]


def caution_words(prep: Prep) -> list[CautionWords]:
    """The cautions that apply, gravest first."""
    return [CautionWords(CAUTION_TITLES.get(one.name, "Caution"), one.text) for one in prep.cautions]


# Private


def _garland(takeoff: TakeOff, place: int, piece: PieceSheet, units: str) -> GarlandWords:
    on_a_string = bool(piece.length_m)
    shown = shown_names(takeoff.design, takeoff.balloons)
    return GarlandWords(
        piece.label,
        piece.kind,
        measures.length(piece.length_m, units) if on_a_string else "",
        piece.filled.in_words if piece.filled else "",
        _start(takeoff, place, units) if on_a_string else "",
        tuple(_recipe(takeoff, shown, one) for one in piece.recipes),
        tuple(
            RunRow(
                str(run.first) if run.first == run.last else f"{run.first} to {run.last}",
                run.recipe,
                run.bigger,
            )
            for run in piece.order
        ),
        (*_zones(piece, units), *_groups(takeoff, piece, units)),
        tuple(_ties(takeoff, piece, units)),
    )


def _groups(takeoff: TakeOff, piece: PieceSheet, units: str) -> Iterator[PlaceGroup]:
    """What is set at numbered places, each kind with a drawing of its own: on the page as on paper."""
    for kind, rows in piece.placed:
        if numbered := [row for row in rows if row.number]:
            title = PLACED_TITLES[kind]
            words = f"{title} of {piece.label}, numbered {numbered[0].number} to {numbered[-1].number}"
            marks = [Mark(row.number, row.x_m, row.y_m) for row in numbered]
            balloons = [k for row in numbered for k in row.balloons]
            drawing = numbered_svg(takeoff, marks, balloons, words)
            name = f"places-{numbered[0].number}"
            yield PlaceGroup(title, tuple(_places(numbered, units)), drawing, words, name)


def _with_numbers(step: Step, pieces: Sequence[PieceSheet]) -> str:
    """A step with the numbers of the places that it goes to."""
    numbers = [
        [row.number for row in dict(piece.placed).get(step.kind, ()) if row.number] for piece in pieces
    ]
    spans = [f"{found[0]} to {found[-1]}" if len(found) > 1 else f"{found[0]}" for found in numbers if found]
    return f"{step.text} Numbers {', '.join(spans)}." if spans else step.text


def _zones(piece: PieceSheet, units: str) -> list[PlaceGroup]:
    """Colours of a garland in zones, each from where to where along it."""
    rows = tuple(
        PlaceRow(
            zone.colour,
            1,
            (Spot(f"{measures.place(zone.start_m, units)} to {measures.place(zone.end_m, units)}"),),
        )
        for zone in piece.zones
    )
    return [PlaceGroup(spelled("Color zones"), rows)] if rows else []


def _start(takeoff: TakeOff, place: int, units: str) -> str:
    """Where the garland's first quad hangs, as the viewer sees it."""
    route = takeoff.garlands[place].route
    x, y, _ = route.at(np.array([0.0]))[0].tolist()
    size = takeoff.dimensions
    share = (x - size.left_m) / size.width_m if size.width_m else 0.5
    side = "at the left" if share < 0.4 else "at the right" if share > 0.6 else "in the middle"
    height = "on the floor" if y < ON_THE_FLOOR_M else f"{measures.place(y, units)} up"
    return f"starts {side}, {height}"


def _recipe(takeoff: TakeOff, shown: Mapping[tuple[int, int], str], one: NamedRecipe) -> RecipeRow:
    palette = takeoff.design.palette
    parts = sorted(Counter(one.recipe.balloons).items(), key=lambda part: (-part[0][0], part[0][1]))
    rounds = tuple(
        Round(n, round_name(size, shown[size, colour].lower()), palette[colour].hex)
        for (size, colour), n in parts
    )
    return RecipeRow(one.name, one.recipe.count, one.recipe.kind, rounds)


def _places(rows: Sequence[Placed], units: str) -> list[PlaceRow]:
    """Alike things gathered, each with its places along the garland."""
    gathered: defaultdict[str, list[Spot]] = defaultdict(list)
    for row in rows:
        where = f"{measures.place(row.station_m, units)} {row.side}".strip()
        gathered[_placed_name(row, units)].append(Spot(where, row.number))
    return [PlaceRow(name, len(places), tuple(places)) for name, places in gathered.items()]


def _placed_name(row: Placed, units: str) -> str:
    return row.name if row.shows_m is None else f"{row.name}, shows for {measures.length(row.shows_m, units)}"


def _ties(takeoff: TakeOff, piece: PieceSheet, units: str) -> list[PlaceRow]:
    """What the garland is made fast with and where; each tie with the number that the picture has."""
    labels = {frame.id: frame.label for frame in takeoff.design.frames}
    gathered: defaultdict[str, list[Spot]] = defaultdict(list)
    for number, tie in enumerate(piece.ties, 1):
        frame = labels.get(tie.frame, "")
        name = f"{tie.holder[:1].upper()}{tie.holder[1:]}{f', {frame}' if frame else ''}"
        gathered[name].append(Spot(f"{measures.place(tie.station_m, units)} (no. {number})"))
    return [PlaceRow(name, len(places), tuple(places)) for name, places in gathered.items()]

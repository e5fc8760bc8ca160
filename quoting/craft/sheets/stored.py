"""A take-off as it is kept with a set piece: frozen typed records, with a writer and a reader of the JSON document.

Lengths in metres, masses in kilograms, times in minutes. The document carries no version of its own: a later field has
a default, so that rows written before it keep loading.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import TypeAlias

import msgspec

from quoting.craft.picture.elevation import description, elevation_size
from quoting.craft.site.prep import Prep, RingSize, prep_of
from quoting.craft.takeoff.doubles import every_colour
from quoting.craft.takeoff.explain import explained_bill
from quoting.craft.takeoff.takeoff import TakeOff
from quoting.craft.takeoff.wind_load import heaviest_kg
from studio.trade.errors import CraftError
from studio.trade.sentences import Sentence

LATER_FIELDS = ("highest_fullness", "evenness", "prep")
"""Fields that rows of the first months lack."""
SIGN_FIELDS = ("sign_hidden", "sign_outside")
"""Fields that are written only where a sign is out of sight."""
KeptSentence: TypeAlias = str | Sentence
"""A sentence as it is kept: text, in rows from before its lengths were numbers."""


class StoredCount(msgspec.Struct, frozen=True):
    """Balloons of one nominal size [in] and colour: as placed, and with the spares."""

    size_in: int
    colour: str
    name: str
    hex: str
    placed: int
    to_bring: int


class StoredLine(msgspec.Struct, frozen=True, omit_defaults=True):
    """One line of the bill. ``part`` names the part of the picture that it pays for; ``why`` says how it came about;
    ``area_m2``: what one piece takes of printed cloth [m2], left out where it takes none."""

    code: str
    label: str
    quantity: int
    part: str
    why: KeptSentence
    area_m2: float | None = None


class StoredTask(msgspec.Struct, frozen=True):
    """One task: its phase (prep, install, strike, washing) and the minutes of one person."""

    task: str
    phase: str
    minutes: float
    why: KeptSentence


class StoredEvenness(msgspec.Struct, frozen=True):
    """How even the colours are; fields as in :class:`quoting.craft.colour.plan.Evenness`."""

    contacts: int
    same_colour: int
    same_colour_free: int
    by_chance: float
    recipes: int
    recipes_free: int


class StoredRings(msgspec.Struct, frozen=True):
    """The sizing rings of one nominal size: least and most of ring and of diameter at the site [m], and how many."""

    size_in: int
    ring_m: tuple[float, float]
    site_m: tuple[float, float]
    count: int
    note: str


class StoredWind(msgspec.Struct, frozen=True):
    """The piece against the gust asked about: speeds [m/s] and ballast [kg]."""

    gust_m_s: float
    tips_at_m_s: float
    slides_at_m_s: float
    comes_down_at_m_s: float
    against_tipping_kg: float
    against_sliding_kg: float


class StoredBouquet(msgspec.Struct, frozen=True):
    """One helium bouquet: net lift and the weight that holds it [kg], hours afloat from and to."""

    label: str
    net_lift_kg: float
    weight_kg: float
    hours: tuple[float, float]


class StoredHelium(msgspec.Struct, frozen=True):
    """The bouquets of a piece, their gas [m³] and the cylinders it takes."""

    bouquets: tuple[StoredBouquet, ...]
    gas_m3: float
    cylinders: int


class StoredPrep(msgspec.Struct, frozen=True):
    """What prep, van and wind ask of a piece. ``fault`` says why it can't be worked out; the rest is then empty."""

    fault: str = ""
    rings: tuple[StoredRings, ...] = ()
    volume_m3: float = 0.0
    longest_m: float = 0.0
    mass_kg: float = 0.0
    wind: StoredWind | None = None
    helium: StoredHelium | None = None
    sign_hidden: float = 0.0
    """Share of the sign behind balloons; ``sign_outside`` that of it past its frame. 0 in rows from before."""
    sign_outside: float = 0.0


class StoredTakeoff(msgspec.Struct, frozen=True):
    """A take-off without its design: counts, bill, work, sizes [m] and what prep and site ask.

    ``highest_fullness``: how full it can get; None in rows from before that was worked out, as ``prep`` and
    ``evenness`` are. ``picture_size``: width and height of the elevation in drawing units. ``covers``: how many.
    ``heaviest_kg``: the heaviest frame or prop that is brought.
    """

    balloons: int
    counts: tuple[StoredCount, ...]
    bill: tuple[StoredLine, ...]
    tasks: tuple[StoredTask, ...]
    crew: int
    frames: tuple[str, ...]
    covers: int
    width_m: float
    height_m: float
    depth_m: float
    garland_m: float
    per_foot: float
    fullness: float
    highest_fullness: float | None = None
    evenness: StoredEvenness | None = None
    alt: KeptSentence = ""
    picture_size: tuple[int, int] = (0, 0)
    heaviest_kg: float = 0.0
    outdoors: bool = False
    prep: StoredPrep | None = None


def stored_takeoff(takeoff: TakeOff) -> StoredTakeoff:
    """Make the record that is kept of a take-off. Deterministic; figures are rounded as the document has them.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> stored_takeoff(take_off(load_design(STARTERS / "classic-arch.json"))).counts[0]
    StoredCount(size_in=11, colour='ink', name='Ink', hex='#2E4454', placed=41, to_bring=48)
    """
    design, size = takeoff.design, takeoff.dimensions
    return StoredTakeoff(
        balloons=len(takeoff.balloons),
        counts=_counts(takeoff),
        bill=tuple(
            StoredLine(line.code, line.label, line.quantity, line.part, sentence, line.area_m2)
            for line, sentence in explained_bill(takeoff)
        ),
        tasks=stored_tasks(takeoff),
        crew=design.rates.crew,
        frames=tuple(frame.label for frame in design.frames),
        covers=sum(frame.cover is not None for frame in design.frames),
        width_m=round(size.width_m, 4),
        height_m=round(size.height_m, 4),
        depth_m=round(size.depth_m, 4),
        garland_m=round(size.garland_m, 4),
        per_foot=round(size.balloons_per_foot, 1),
        fullness=round(takeoff.fullness, 3),
        highest_fullness=round(takeoff.highest_fullness, 3),
        evenness=StoredEvenness(**asdict(takeoff.evenness)),
        alt=description(takeoff),
        picture_size=elevation_size(takeoff),
        heaviest_kg=heaviest_kg(design),
        outdoors=design.site.outdoors,
        prep=stored_prep(takeoff),
    )


def stored_tasks(takeoff: TakeOff) -> tuple[StoredTask, ...]:
    """Make the records of the tasks. They and the crew are all of a take-off that follows the design's rates.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> stored_tasks(take_off(load_design(STARTERS / "classic-arch.json")))[0].task
    'Inflate and size'
    """
    return tuple(
        StoredTask(task.name, task.phase, round(task.minutes, 2), task.reason) for task in takeoff.tasks
    )


def stored_prep(takeoff: TakeOff) -> StoredPrep:
    """Make the record of prep, van and wind; where that can't be worked out, of the fault.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> stored_prep(take_off(load_design(STARTERS / "classic-arch.json"))).rings[0]
    StoredRings(size_in=11, ring_m=(0.2286, 0.2286), site_m=(0.2286, 0.2286), count=157, note='')
    """
    try:
        prep = prep_of(takeoff)
    except CraftError as error:
        return StoredPrep(fault=str(error))
    return StoredPrep(
        rings=_rings(prep.rings),
        volume_m3=round(prep.load.volume_m3, 3),
        longest_m=round(prep.load.longest_m, 3),
        mass_kg=round(prep.frames_kg, 2),
        wind=_wind(takeoff, prep),
        helium=_helium(prep),
        sign_hidden=round(prep.sign.hidden, 2),
        sign_outside=round(prep.sign.outside, 2),
    )


def write_takeoff(takeoff: StoredTakeoff) -> dict[str, object]:
    """Write a take-off as the JSON document that is kept: plain values, lists, fields in their order.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> kept = stored_takeoff(take_off(load_design(STARTERS / "classic-arch.json")))
    >>> read_takeoff(write_takeoff(kept)) == kept
    True
    """
    document: dict[str, object] = msgspec.json.decode(msgspec.json.encode(takeoff))
    for name in LATER_FIELDS:
        if document[name] is None:
            del document[name]
    if takeoff.prep:
        document["prep"] = write_prep(takeoff.prep)
    return document


def write_prep(prep: StoredPrep) -> dict[str, object]:
    """Write the part ``prep`` of the document; where it could not be worked out, the fault alone.

    >>> write_prep(StoredPrep(fault="height is 9000 m; it must be from -500 to 5000 m."))
    {'fault': 'height is 9000 m; it must be from -500 to 5000 m.'}
    """
    if prep.fault:
        return {"fault": prep.fault}
    document: dict[str, object] = msgspec.json.decode(msgspec.json.encode(prep))
    return {name: value for name, value in document.items() if value or name not in SIGN_FIELDS}


def read_takeoff(document: object) -> StoredTakeoff:
    """Read a take-off from its JSON document, also one of an earlier version. Unknown fields are passed over.

    Raises CraftError for what is no take-off, naming the place.

    >>> read_takeoff({"balloons": "many"})
    Traceback (most recent call last):
    ...
    studio.trade.errors.CraftError: This is no take-off: Expected `int`, got `str` - at `$.balloons`
    """
    try:
        return msgspec.convert(document, StoredTakeoff)
    except msgspec.ValidationError as error:
        raise CraftError(f"This is no take-off: {error}") from None


# Private


def _counts(takeoff: TakeOff) -> tuple[StoredCount, ...]:
    palette = {colour.colour: colour for colour in every_colour(takeoff.design)}
    to_bring = takeoff.to_bring
    return tuple(
        StoredCount(size, code, palette[code].name, palette[code].hex, placed, to_bring[size, code])
        for (size, code), placed in takeoff.counts.items()
    )


def _rings(rings: tuple[RingSize, ...]) -> tuple[StoredRings, ...]:
    sizes = sorted({ring.size_in for ring in rings}, reverse=True)
    return tuple(_rings_of_size(size, [ring for ring in rings if ring.size_in == size]) for size in sizes)


def _rings_of_size(size_in: int, rings: list[RingSize]) -> StoredRings:
    return StoredRings(
        size_in,
        _range([ring.ring_m for ring in rings]),
        _range([ring.site_m for ring in rings]),
        sum(ring.count for ring in rings),
        next((ring.note for ring in rings if ring.note), ""),
    )


def _range(values: list[float]) -> tuple[float, float]:
    return round(min(values), 4), round(max(values), 4)


def _wind(takeoff: TakeOff, prep: Prep) -> StoredWind | None:
    if prep.wind is None:
        return None
    return StoredWind(
        takeoff.design.site.gust_m_s,
        round(prep.wind.tipping_speed, 2),
        round(prep.wind.sliding_speed, 2),
        round(prep.wind.comes_down_at, 2),
        round(prep.wind.ballast_for_tipping, 1),
        round(prep.wind.ballast_for_sliding, 1),
    )


def _helium(prep: Prep) -> StoredHelium | None:
    if not prep.bouquets or prep.cylinders is None:
        return None
    bouquets = tuple(
        StoredBouquet(
            one.label,
            round(one.lift.net_lift, 4),
            round(one.lift.weight_needed, 4),
            (round(one.hours[0], 1), round(one.hours[1], 1)),
        )
        for one in prep.bouquets
    )
    return StoredHelium(bouquets, round(prep.cylinders.gas, 3), prep.cylinders.whole)

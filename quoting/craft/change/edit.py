"""Changes to a design that need no file: what may be changed, and how a change is applied."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import cast

from quoting.craft.change.extent import measured_extent
from quoting.craft.change.palette import with_palette
from quoting.craft.change.resize import SIDES, change_scaled, scale_to
from quoting.craft.design.checks import cross_faults
from quoting.craft.design.chosen import as_chosen
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import MOST_FULL, Design, Leg, MixEntry, PaletteColour
from quoting.craft.design.signs import with_sign
from quoting.craft.design.things import Foil
from quoting.craft.settle.build import built
from quoting.craft.settle.fullness import fullness_of

MOST_PARTS = 1000.0  # of one colour, where shares are given as parts (setting)


@dataclass(frozen=True, slots=True)
class Editable:
    """One value that may be changed: ``key`` for ``edited``, its present value and the allowed range.

    ``unit`` is m (length), share (0 to 1), count, flag, text or code. ``at_most``: how far this design gets, where that
    is known to be less than ``high``.
    """

    key: str
    label: str
    unit: str
    value: float | int | str | bool
    low: float = 0.0
    high: float = 0.0
    at_most: float | None = None


def editable(design: Design) -> tuple[Editable, ...]:
    """List everything that may be changed, with present values, in the order of a form.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "table-garland.json")
    >>> [row.key for row in editable(design)][:4]
    ['width_m', 'height_m', 'fullness', 'rounds']
    """
    extent = measured_extent(design)
    rows = _rows(design, width_m=round(extent.width, 3), height_m=round(extent.top, 3))
    highest = round(fullness_of(built(design).garlands).highest, 2)
    return tuple(
        replace(row, at_most=min(highest, row.high)) if row.key == "fullness" else row for row in rows
    )


def edited(design: Design, changes: Mapping[str, object]) -> Design:
    """The design with ``changes`` applied, keyed as in ``editable``.

    Palette shares may be given in any unit that adds up (percent, parts): they are taken in proportion.
    Raises DesignError whose faults carry the keys of the changes they belong to.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "table-garland.json")
    >>> edited(design, {"fullness": 0.95}).garlands[0].fullness
    0.95
    """
    known = {row.key: row for row in _rows(design, width_m=0.0, height_m=0.0)}
    faults = [
        Fault(code=FaultCode.UNKNOWN_FIELD, field=key, names=tuple(known))
        for key in changes
        if key not in known
    ]
    faults += [
        fault for key, value in changes.items() if key in known for fault in _value_faults(known[key], value)
    ]
    if faults:
        raise DesignError(*faults)
    if "width_m" not in changes and "height_m" not in changes:
        return change_scaled(design, lambda one: _edited(one, changes))
    now = measured_extent(design)
    width, height = _number(changes, "width_m", now.width), _number(changes, "height_m", now.top)
    must = [side for side in SIDES if side in changes]
    return scale_to(_edited(as_chosen(design), changes), width_m=width, height_m=height, must=must)


def swap_colour(design: Design, old: str, new: PaletteColour) -> Design:
    """Replace colour ``old`` by ``new`` at the same share; where ``new`` is in the palette already, the two become one.

    Raises DesignError where the palette has no ``old``.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "table-garland.json")
    >>> brick = PaletteColour(colour="brick", name="Brick", hex="#A4553F", share=0)
    >>> [one.colour for one in swap_colour(design, design.palette[0].colour, brick).palette]
    ['brick', 'sage', 'moss', 'copper']
    """
    if old not in [colour.colour for colour in design.palette]:
        names = tuple(colour.colour for colour in design.palette)
        fault = Fault(code=FaultCode.UNKNOWN_COLOUR, field="palette", found=repr(old), names=names)
        raise DesignError(fault)
    share = next(colour.share for colour in design.palette if colour.colour == old)
    palette: list[PaletteColour] = []
    for colour in design.palette:
        if colour.colour == new.colour:
            palette.append(replace(colour, share=colour.share + (share if new.colour != old else 0.0)))
        elif colour.colour != old:
            palette.append(colour)
        elif new.colour not in [other.colour for other in design.palette]:
            palette.append(replace(new, share=share))
    return with_palette(design, palette, {old: new.colour})


def mirrored(design: Design) -> Design:
    """Turn the design into its mirror image, exact to the balloon but for drawn walls, which still read as they did, as
    words do.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> [frame.x_m for frame in design.frames], [frame.x_m for frame in mirrored(design).frames]
    ([0.42, -0.42], [-0.42, 0.42])
    """
    frames = tuple(replace(frame, x_m=-frame.x_m, turned=not frame.turned) for frame in design.frames)
    garlands = tuple(replace(g, route=tuple(_mirrored_leg(leg) for leg in g.route)) for g in design.garlands)
    return replace(
        design,
        mirrored=not design.mirrored,
        frames=frames,
        garlands=garlands,
        walls=tuple(replace(wall, x_m=-wall.x_m) for wall in design.walls),
        bouquets=tuple(replace(one, x_m=-one.x_m) for one in design.bouquets),
        signs=tuple(replace(sign, x_m=-sign.x_m) for sign in design.signs),
        rounds=tuple(replace(one, x_m=-one.x_m) for one in design.rounds),
        foils=tuple(_mirrored_foil(one) for one in design.foils),
        props=tuple(replace(one, x_m=-one.x_m) for one in design.props),
        letterings=tuple(replace(one, x_m=-one.x_m) for one in design.letterings),
        sprays=tuple(replace(one, x_m=-one.x_m, turn_deg=-one.turn_deg) for one in design.sprays),
    )


def rounds_share(design: Design) -> float:
    """Give the share of bigger rounds in the quads of the first garland.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> rounds_share(design)
    0.1
    """
    return sum(mix.share for mix in design.garlands[0].mix if mix.role == "round")


# Private


def _edited(design: Design, changes: Mapping[str, object]) -> Design:
    """The changes but those of size."""
    changed = _with_palette(design, changes)
    changed = _with_garlands(changed, changes)
    changed = _with_florals(changed, changes)
    if "sign.text" in changes and changed.sign:
        changed = with_sign(changed, replace(changed.sign, text=str(changes["sign.text"])))
    loss, seed = _number(changes, "loss", changed.loss), int(_number(changes, "seed", changed.seed))
    changed = replace(changed, loss=loss, seed=seed)
    left = cross_faults(changed)
    if left:
        raise DesignError(*left)
    if "fullness" in changes:
        _refuse_fuller_than_it_gets(changed, _number(changes, "fullness", 0.0))
    return changed


def _refuse_fuller_than_it_gets(design: Design, wish: float) -> None:
    """DesignError for a fullness that no number of fillers reaches; what is worked out for it is kept for the
    take-off."""
    known = fullness_of(built(design).garlands)
    if not known.can_be(wish):
        fault = Fault(code=FaultCode.TOO_FULL, field="fullness", found=wish, low=0.0, high=known.highest)
        raise DesignError(fault)


def _rows(design: Design, *, width_m: float, height_m: float) -> tuple[Editable, ...]:
    rows = [
        Editable("width_m", "Width", "m", width_m, 0.2, 60),
        Editable("height_m", "Height", "m", height_m, 0.2, 20),
    ]
    if design.garlands:
        if any(garland.work == "organic" for garland in design.garlands):
            rows.append(
                Editable("fullness", "Fullness", "share", design.garlands[0].fullness, 0.0, MOST_FULL)
            )
        rows.append(Editable("rounds", "Bigger rounds in the quads", "share", rounds_share(design), 0.0, 0.5))
        rows.append(Editable("accents", "Big rounds tied on", "flag", _has(design, "accent")))
        rows.append(Editable("fillers", "Fillers", "flag", _has(design, "filler")))
        rows.append(
            Editable("recipes", "Most different quads, 0 for any", "count", design.garlands[0].recipes, 0, 60)
        )
    rows.extend(Editable(f"share.{c.colour}", c.name, "share", c.share, 0.0, 1.0) for c in design.palette)
    for k, floral in enumerate(design.florals):
        amount = (floral.share, 0.0, 2.0) if floral.kind == "greenery" else (floral.spacing_m, 0.05, 30.0)
        unit, how = ("share", "along the route") if floral.kind == "greenery" else ("m", "one every")
        rows.append(Editable(f"floral.{k}", f"{floral.label}, {how}", unit, *amount))
    if design.sign:
        rows.append(Editable("sign.text", "Sign", "text", design.sign.text, 1, 60))
    rows.append(Editable("loss", "Loss", "share", design.loss, 0.0, 0.5))
    rows.append(Editable("seed", "Arrangement", "count", design.seed, 0, 2**31 - 1))
    return tuple(rows)


def _mirrored_leg(leg: Leg) -> Leg:
    other = {"left": "right", "right": "left"}
    points = tuple((-x, y) for x, y in leg.points)
    return replace(leg, points=points, direction=other[leg.direction])


def _mirrored_foil(foil: Foil) -> Foil:
    """A foil balloon on the other side: a crescent, alike above and below, opens the other way by half a turn more."""
    turn = -foil.turn_deg
    if foil.shape == "crescent":
        turn += 180 if turn <= 0 else -180
    return replace(foil, x_m=-foil.x_m, turn_deg=round(turn, 6))


def _has(design: Design, role: str) -> bool:
    return any(mix.role == role for garland in design.garlands for mix in garland.mix)


def _value_faults(row: Editable, value: object) -> list[Fault]:
    high = MOST_PARTS if row.key.startswith("share.") else row.high
    code, found = _value_fault(row, value, high)
    if code is None:
        return []
    return [Fault(code=code, field=row.key, found=found, low=row.low, high=high)]


def _value_fault(row: Editable, value: object, high: float) -> tuple[FaultCode | None, float | str]:
    """What is wrong with a value, and what of it to show; None where it is right."""
    if row.unit == "flag":
        return (None if isinstance(value, bool) else FaultCode.NOT_A_FLAG), repr(value)
    if row.unit == "text":
        if not isinstance(value, str):
            return FaultCode.NOT_TEXT, repr(value)
        return (None if row.low <= len(value) <= high else FaultCode.WRONG_LENGTH), len(value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return FaultCode.NOT_A_NUMBER, repr(value)
    return (None if row.low <= value <= high else FaultCode.OUT_OF_RANGE), value


def _number(changes: Mapping[str, object], key: str, present: float) -> float:
    """A changed number, of which ``_value_fault`` has made sure, or the present one."""
    return float(cast("float", changes.get(key, present)))


def _with_palette(design: Design, changes: Mapping[str, object]) -> Design:
    if not any(key.startswith("share.") for key in changes):
        return design
    parts = [_number(changes, f"share.{c.colour}", c.share) for c in design.palette]
    total = sum(parts)
    if total <= 0:
        raise DesignError(Fault(code=FaultCode.NO_SHARES, field=f"share.{design.palette[0].colour}"))
    palette = tuple(replace(c, share=part / total) for c, part in zip(design.palette, parts, strict=True))
    return replace(design, palette=palette)


def _with_garlands(design: Design, changes: Mapping[str, object]) -> Design:
    garlands = []
    for garland in design.garlands:
        mix = garland.mix
        if "rounds" in changes:
            mix = _with_rounds(mix, _number(changes, "rounds", 0.0))
        if changes.get("accents") is False:
            mix = tuple(entry for entry in mix if entry.role != "accent")
        if changes.get("fillers") is False:
            mix = tuple(entry for entry in mix if entry.role != "filler")
        garlands.append(
            replace(
                garland,
                mix=mix,
                fullness=_number(changes, "fullness", garland.fullness),
                recipes=int(_number(changes, "recipes", garland.recipes)),
            )
        )
    return replace(design, garlands=tuple(garlands))


def _with_rounds(mix: tuple[MixEntry, ...], share: float) -> tuple[MixEntry, ...]:
    rounds = sum(entry.share for entry in mix if entry.role == "round")
    bodies = sum(entry.share for entry in mix if entry.role == "body")
    if rounds <= 0 or bodies <= 0:
        return mix
    factor = {"round": share / rounds, "body": (1 - share) / bodies}
    return tuple(
        replace(entry, share=entry.share * factor[entry.role]) if entry.role in factor else entry
        for entry in mix
    )


def _with_florals(design: Design, changes: Mapping[str, object]) -> Design:
    florals = []
    for k, present in enumerate(design.florals):
        floral = present
        if f"floral.{k}" in changes:
            value = _number(changes, f"floral.{k}", 0.0)
            floral = (
                replace(floral, share=value)
                if floral.kind == "greenery"
                else replace(floral, spacing_m=value)
            )
        florals.append(floral)
    return replace(design, florals=tuple(florals))

"""A design seen whole: pictures, sizes, counts, recipes, rigging, labor and load, made ready for its page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quoting.build_sheet.presenter import BuildWords, build_words
from quoting.craft.design.records import Design
from quoting.craft.picture.elevation import plan_svg
from quoting.craft.sheets.stored import StoredTakeoff
from quoting.craft.site.prep import prep_of
from quoting.craft.takeoff.takeoff import TakeOff
from quoting.design_library import finding
from quoting.design_library.finding import Past
from quoting.models import DesignTemplate
from quoting.set_pieces import measures
from quoting.set_pieces.presenter import CountGroup, count_groups, evenness_words, frame_words
from quoting.set_pieces.size_bench import Bench, bench, described
from quoting.set_pieces.worked import in_units, taken_off, worked
from studio.models import Studio
from studio.money import amounts

PLAN_PREFIX = "plan-"
"""Before the ids of the plan's gradients: both pictures stand on one page."""


@dataclass(frozen=True, slots=True)
class Fact:
    """A name and what stands beside it."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class DesignSheet:
    """Everything that the page of a design shows."""

    bench: Bench
    plan: str
    alt: str
    size: tuple[Fact, ...]
    van: tuple[Fact, ...]
    labor: tuple[Fact, ...]
    counts: tuple[CountGroup, ...]
    evenness: str
    build: BuildWords


@dataclass(frozen=True, slots=True)
class DesignCard:
    """A design among others, and in words what agreed offers with it came to."""

    template: DesignTemplate
    past: str


def design_cards(templates: Sequence[DesignTemplate], studio: Studio) -> list[DesignCard]:
    """The designs with what became of them. One query, however many they are."""
    past = finding.past_of(templates)
    return [DesignCard(each, _past_words(past.get(each.pk), studio)) for each in templates]


def design_sheet(design: Design, studio: Studio) -> DesignSheet:
    """Work a design out for its page. Raises ``DesignError`` where it can't be built."""
    made, result = worked(design), taken_off(design)
    units = studio.units
    alt = in_units(made.takeoff.alt, units)
    return DesignSheet(
        bench=bench(made.picture, made.takeoff, ceiling_m=None, units=units),
        plan=described(plan_svg(result, prefix=PLAN_PREFIX), f"Plan of {alt}"),
        alt=alt,
        size=tuple(_size(made.takeoff, result, units)),
        van=tuple(_van(result, units)),
        labor=tuple(_labor(result)),
        counts=tuple(count_groups(made.takeoff, units)),
        evenness=evenness_words(made.takeoff.evenness),
        build=build_words(result, units),
    )


# Private


def _past_words(past: Past | None, studio: Studio) -> str:
    if past is None:
        return ""
    lowest, highest = (
        amounts.written(each, studio.currency, studio.locale) for each in (past.lowest, past.highest)
    )
    if past.offers == 1:
        return f"in one agreed offer of {lowest}"
    span = lowest if lowest == highest else f"{lowest} to {highest}"
    return f"in {past.offers} agreed offers of {span}"


def _size(found: StoredTakeoff, result: TakeOff, units: str) -> list[Fact]:
    rows = [
        Fact(name, measures.length(side, units))
        for name, side in (("Width", found.width_m), ("Height", found.height_m), ("Depth", found.depth_m))
    ]
    if found.garland_m:
        each = found.per_foot if units == "feet" else round(found.per_foot / 0.3048, 1)
        rows.append(Fact("Garland", measures.length(found.garland_m, units)))
        rows.append(Fact("Balloons", f"{found.balloons}, {each} a {'foot' if units == 'feet' else 'metre'}"))
        if any(item.work == "organic" for item in result.design.garlands):
            words = f"{result.filled.in_words}, at most {100 * result.highest_fullness:.0f} %"
            rows.append(Fact("Fullness", f"{words} of the visible area"))
    elif found.balloons:
        rows.append(Fact("Balloons", str(found.balloons)))
    if found.frames:
        rows.append(Fact("Frames", frame_words(found.frames)))
    return rows


def _van(result: TakeOff, units: str) -> list[Fact]:
    prep = prep_of(result)
    rows = [Fact("Packed", measures.volume(prep.load.volume_m3, units))]
    if prep.load.longest_m:
        rows.append(Fact("Longest piece", measures.length(prep.load.longest_m, units)))
    if prep.frames_kg:
        rows.append(Fact("Weight of frames and sign", measures.weight(prep.frames_kg, units)))
    site = result.design.site
    door = f"{measures.length(site.door_width_m, units)} × {measures.length(site.door_height_m, units)}"
    stuck = [one.label for one in prep.doors if not one.answer.passes]
    if stuck:
        rows.append(Fact("Standard door", f"{door}: {frame_words(stuck)} won't fit in one piece"))
    elif prep.doors:
        rows.append(Fact("Standard door", f"{door}: everything fits"))
    return rows


def _labor(result: TakeOff) -> list[Fact]:
    phases = (("Prep", "prep"), ("Install", "install"), ("Strike", "strike"), ("Washing", "washing"))
    minutes_by_phase = [(name, result.minutes(phase)) for name, phase in phases]
    return [Fact(name, f"{minutes / 60:.1f} h") for name, minutes in minutes_by_phase if minutes]

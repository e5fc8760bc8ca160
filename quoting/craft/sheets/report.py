"""A take-off as plain text and as JSON values."""

from __future__ import annotations

from quoting.craft.picture.elevation import alt_text
from quoting.craft.sheets.build_sheet import BuildSheet, build_sheet, sheet_text
from quoting.craft.sheets.stored import stored_prep, write_prep
from quoting.craft.site.prep import BouquetCheck
from quoting.craft.takeoff.explain import explain
from quoting.craft.takeoff.minutes import PHASES
from quoting.craft.takeoff.takeoff import TakeOff
from studio.trade.cautions import Caution, worded_for
from studio.trade.sentences import written_out

DOOR_WORDS = {True: "goes through the door", False: "does not go through the door in one piece"}


def report_text(takeoff: TakeOff, *, european: bool = False) -> str:
    """Write counts, bill, minutes, dimensions, build sheet, wind and cautions for a terminal.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> report_text(take_off(load_design(STARTERS / "classic-arch.json"))).splitlines()[3]
    'Size 3.15 x 2.77 x 0.60 m (width, height, depth)'
    """
    sheet = build_sheet(takeoff)
    size, even = takeoff.dimensions, takeoff.evenness
    garland = f"Garland {size.garland_m:.2f} m, {size.balloons_per_foot:.1f} balloons a foot"
    if any(one.work == "organic" for one in takeoff.design.garlands):
        garland += f", {takeoff.filled.in_words}, at most {100 * takeoff.highest_fullness:.0f} %"
    colours = (
        f"Colours: {even.same_colour} of {even.contacts} touching pairs have one colour "
        f"(by chance {even.by_chance:.0f}); {even.recipes} recipes (free: {even.recipes_free}, "
        f"then {even.same_colour_free} pairs)"
    )
    lines = [
        takeoff.design.name,
        alt_text(takeoff),
        "",
        f"Size {size.width_m:.2f} x {size.height_m:.2f} x {size.depth_m:.2f} m (width, height, depth)",
        garland,
        colours,
        "",
        "Bill, spares included",
        *[f"  {line.quantity:>5}  {line.code:<28} {explain(takeoff, line.code)}" for line in takeoff.bill()],
        "",
        "Labor, minutes of one person",
        *[
            f"  {task.phase:<8}{task.minutes:>7.1f}  {task.name} ({written_out(task.reason)})"
            for task in takeoff.tasks
        ],
        *[f"  {phase:<8}{takeoff.minutes(phase):>7.1f}  in all" for phase in PHASES],
        "",
        sheet_text(sheet),
        "",
        *_site_lines(sheet, european=european),
    ]
    return "\n".join(lines)


def report_json(takeoff: TakeOff, *, european: bool = False) -> dict[str, object]:
    """Give the same as JSON values; lengths in metres, times in minutes. ``prep`` is as kept with a set piece.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> report = report_json(take_off(load_design(STARTERS / "classic-arch.json")))
    >>> report["counts"][0]
    {'size_in': 11, 'colour': 'ink', 'placed': 41, 'with_loss': 48}
    """
    size, even = takeoff.dimensions, takeoff.evenness
    return {
        "name": takeoff.design.name,
        "alt": alt_text(takeoff),
        "balloons": len(takeoff.balloons),
        "counts": [
            {"size_in": s, "colour": c, "placed": n, "with_loss": takeoff.to_bring[s, c]}
            for (s, c), n in takeoff.counts.items()
        ],
        "bill": [
            {
                "code": line.code,
                "quantity": line.quantity,
                "label": line.label,
                "part": line.part,
                "why": explain(takeoff, line.code),
            }
            for line in takeoff.bill()
        ],
        "tasks": [
            {"task": t.name, "phase": t.phase, "minutes": round(t.minutes, 3), "why": written_out(t.reason)}
            for t in takeoff.tasks
        ],
        "width_m": round(size.width_m, 4),
        "height_m": round(size.height_m, 4),
        "depth_m": round(size.depth_m, 4),
        "garland_m": round(size.garland_m, 4),
        "balloons_per_foot": round(size.balloons_per_foot, 2),
        "fullness": round(takeoff.fullness, 4),
        "fullness_asked": round(takeoff.filled.asked, 4),
        "fullness_at_most": round(takeoff.highest_fullness, 4),
        "same_colour_contacts": even.same_colour,
        "contacts": even.contacts,
        "recipes": even.recipes,
        "prep": write_prep(stored_prep(takeoff)),
        "cautions": [one.text for one in _cautions(build_sheet(takeoff), european=european)],
    }


# Private


def _cautions(sheet: BuildSheet, *, european: bool) -> list[Caution]:
    return [worded_for(caution, european=european) for caution in sheet.prep.cautions]


def _site_lines(sheet: BuildSheet, *, european: bool) -> list[str]:
    prep, air, van = sheet.prep, sheet.prep.air, sheet.prep.load
    lines = [
        f"Air: {air.strokes:.0f} strokes of a hand pump, or {prep.inflating_minutes:.0f} min at one nozzle",
        f"Van: {van.volume_m3:.2f} m3, longest piece {van.longest_m:.2f} m, frames {prep.frames_kg:.1f} kg",
        *[f"  {door.label} {DOOR_WORDS[door.answer.passes]}" for door in prep.doors],
    ]
    lines += [_bouquet_line(one) for one in prep.bouquets]
    if prep.cylinders:
        lines.append(f"Helium: {prep.cylinders.gas:.2f} m3, {prep.cylinders.whole} cylinders of 10 litres")
    if prep.wind:
        lines.append(
            f"Wind: comes down at {prep.wind.comes_down_at:.1f} m/s without ballast; "
            f"{prep.wind.ballast:.0f} kg of ballast for the asked gust. {prep.wind.caution.text}"
        )
    if prep.wind_plan:
        plan = prep.wind_plan
        lines.append(
            f"Watch the wind from {plan.watch_at:.1f} m/s, take down at {plan.take_down_at:.1f} m/s "
            f"of the {plan.limit:.1f} m/s that it is held for"
        )
    return lines + [f"Caution: {one.text}" for one in _cautions(sheet, european=european)]


def _bouquet_line(one: BouquetCheck) -> str:
    return (
        f"{one.label}: net lift {1000 * one.lift.net_lift:.0f} g, weight of at least "
        f"{1000 * one.lift.weight_needed:,.0f} g, floats {one.hours[0]:.0f} to {one.hours[1]:.0f} h"
    )

"""Zones of a garland: every quad of one colour, counts by length, told alike by bill, picture and build sheet."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from quoting.craft.change.palette import placed_colours, with_palette
from quoting.craft.colour.zones import zone_bounds
from quoting.craft.design.checks import cross_faults
from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.design.faults import FaultCode
from quoting.craft.design.records import ZONED, Design, PaletteColour, Zone
from quoting.craft.picture.elevation import description, elevation_svg
from quoting.craft.settle.build import alike_at_rest
from quoting.craft.sheets.build_sheet import build_sheet, sheet_text
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from tests.quoting.craft.starter_designs import starter, straight_garland

OAT = PaletteColour(colour="oat", name="Oat", hex="#EFE6D6", share=0.9)
INK = PaletteColour(colour="ink", name="Ink", hex="#2E4454", share=0.1)
THIRDS = (Zone(colour="ink", share=0.2), Zone(colour="oat", share=0.5), Zone(colour="ink", share=0.3))


def zoned(design: Design, *zones: Zone) -> Design:
    garland = replace(design.garlands[0], pattern=ZONED, zones=zones)
    return replace(design, palette=(OAT, INK), garlands=(garland, *design.garlands[1:]))


def straight() -> TakeOff:
    return take_off(zoned(straight_garland(6.0), *THIRDS))


def quads(takeoff: TakeOff) -> dict[int, list[int]]:
    """Colours of every quad, fillers included."""
    b, found = takeoff.balloons, {}
    for quad in np.unique(b.quad[b.quad >= 0]).tolist():
        found[quad] = b.colour[b.quad == quad].tolist()
    return found


def test_every_quad_is_of_one_colour() -> None:
    assert all(len(set(colours)) == 1 for colours in quads(straight()).values())


@pytest.mark.parametrize("name", ["garland-nested-arches", "classic-arch"])
def test_counts_follow_the_lengths_and_not_the_palette(name: str) -> None:
    """Evenly strung, a zone has the share of the quads that it has of the length, to a quad at each end."""
    takeoff = take_off(zoned(starter(name), *THIRDS))
    b = takeoff.balloons
    strung = (b.garland == 0) & (b.quad >= 0) & (b.quad < takeoff.garlands[0].quads)
    colours = [b.colour[strung & (b.quad == quad)][0] for quad in np.unique(b.quad[strung])]
    runs = [(colour, len(list(group))) for colour, group in _runs(colours)]
    assert [colour for colour, _ in runs] == [1, 0, 1]
    for (_, count), zone in zip(runs, THIRDS, strict=True):
        assert abs(count / len(colours) - zone.share) < 0.08


def _runs(colours: list[int]) -> list[tuple[int, list[int]]]:
    runs: list[tuple[int, list[int]]] = []
    for colour in colours:
        if not runs or runs[-1][0] != colour:
            runs.append((colour, []))
        runs[-1][1].append(colour)
    return runs


def test_every_balloon_lies_in_the_zone_of_its_colour_but_for_a_quad_at_the_border() -> None:
    takeoff = straight()
    b, length_m = takeoff.balloons, takeoff.garlands[0].laid.length_m
    wrong = 0
    for station, colour in zip(b.station.tolist(), b.colour.tolist(), strict=True):
        inside = next(k for k, (_, end) in enumerate(zone_bounds(THIRDS)) if station / length_m <= end + 1e-9)
        wrong += THIRDS[inside].colour != ("oat", "ink")[colour]
    assert wrong <= 2 * 8


def test_bill_picture_and_sheet_tell_the_same_colours() -> None:
    takeoff = straight()
    counted = Counter(takeoff.balloons.colour.tolist())
    drawn = Counter(int(k) for k in re.findall(r'href="#b(\d+)"', elevation_svg(takeoff)))
    assert drawn == counted
    bill = [line for line in takeoff.bill() if line.code.startswith("latex-") and "-260-" not in line.code]
    for k, code in enumerate(("oat", "ink")):
        billed = sum(line.quantity for line in bill if line.code.endswith(f"-{code}"))
        assert billed >= counted[k] > 0
    sheet = build_sheet(takeoff)
    rows = sheet.pieces[0].zones
    assert [row.colour for row in rows] == ["Ink", "Oat", "Ink"]
    assert [row.end_m - row.start_m for row in rows] == pytest.approx([1.2, 3.0, 1.8], abs=0.02)
    assert "zone 0.00 to 1.2" in sheet_text(sheet)
    share = 100 * counted[1] / sum(counted.values())
    assert f"ink {share:.0f} %" in str(description(takeoff)[0])


def test_zones_move_no_balloon_and_a_design_without_them_keeps_its_bytes() -> None:
    design = straight_garland(6.0)
    assert alike_at_rest(design, zoned(design, *THIRDS))
    assert "zones" not in str(write_design(design))
    assert read_design(write_design(zoned(design, *THIRDS))) == zoned(design, *THIRDS)


@pytest.mark.parametrize(
    ("zones", "code", "field"),
    [
        ((), FaultCode.NO_ZONES, "garlands[0].zones"),
        ((Zone(colour="oat", share=0.7),), FaultCode.SHARES_TOTAL, "garlands[0].zones"),
        ((Zone(colour="plum", share=1.0),), FaultCode.UNKNOWN_COLOUR, "garlands[0].zones[0].colour"),
    ],
)
def test_zones_that_are_none_are_a_fault_at_their_field(
    zones: tuple[Zone, ...], code: FaultCode, field: str
) -> None:
    faults = cross_faults(zoned(straight_garland(6.0), *zones))
    assert [(fault.code, fault.field) for fault in faults] == [(code, field)]


def test_a_zone_whose_colour_leaves_the_palette_takes_another() -> None:
    design = zoned(straight_garland(6.0), *THIRDS)
    assert placed_colours(design) == {"oat", "ink"}
    plum = replace(INK, colour="plum", name="Plum")
    renamed = with_palette(design, (OAT, plum), {"ink": "plum"})
    assert [zone.colour for zone in renamed.garlands[0].zones] == ["plum", "oat", "plum"]
    gone = with_palette(design, (replace(OAT, share=1.0),))
    assert {zone.colour for zone in gone.garlands[0].zones} == {"oat"}
    assert cross_faults(gone) == []

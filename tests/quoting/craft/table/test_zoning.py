"""Zones are given to a garland by an act; their shares make up the whole."""

from __future__ import annotations

import pytest

from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.records import Design
from quoting.craft.settle.laying import route_in
from quoting.craft.table.acted import SaidCode
from tests.quoting.craft.table.tables import LOW, TALL, codes, done, over_both_arches, table

GARLAND = "garland:garland-1"


def arched() -> Design:
    return done(table(LOW, TALL), "put-garland", points=over_both_arches()).design


def test_a_garland_gets_its_zones_and_loses_them_by_another_pattern() -> None:
    acted = done(
        arched(),
        "zones",
        thing=GARLAND,
        zones=[{"colour": "ink", "share": 0.3}, {"colour": "oat", "share": 0.7}],
    )
    garland = acted.design.garlands[0]
    assert (garland.pattern, [zone.share for zone in garland.zones]) == ("zones", [0.3, 0.7])
    assert codes(acted) == [SaidCode.ZONED]
    assert (
        done(acted.design, "set", thing=GARLAND, field="pattern", value="ombre").design.garlands[0].pattern
        == "ombre"
    )


def test_zones_measured_with_a_tape_are_brought_to_the_whole() -> None:
    zones = [{"colour": "ink", "share": 0.301}, {"colour": "oat", "share": 0.703}]
    after = done(arched(), "zones", thing=GARLAND, zones=zones).design.garlands[0].zones
    assert sum(zone.share for zone in after) == pytest.approx(1, abs=2e-6)


def test_zones_that_miss_the_length_are_refused_with_both_lengths() -> None:
    design = arched()
    with pytest.raises(DesignError) as refused:
        done(design, "zones", thing=GARLAND, zones=[{"colour": "ink", "share": 0.8}])
    (fault,) = refused.value.faults
    assert (fault.code, fault.field) == (FaultCode.ZONES_TOTAL, "zones")
    assert fault.high == pytest.approx(route_in(design, 0).length_m)
    assert fault.found == pytest.approx(0.8 * route_in(design, 0).length_m)


def test_a_zone_in_no_colour_of_the_palette_is_refused() -> None:
    with pytest.raises(DesignError) as refused:
        done(arched(), "zones", thing=GARLAND, zones=[{"colour": "plum", "share": 1}])
    assert refused.value.faults[0].code == FaultCode.UNKNOWN_COLOUR

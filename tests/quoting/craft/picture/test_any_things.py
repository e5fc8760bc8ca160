"""Whatever single things a design holds within their ranges: it is refused with a fault, or worked out and drawn."""

from __future__ import annotations

import dataclasses
import random
import string
import xml.etree.ElementTree as ET
from typing import TypeAlias

import pytest

from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import Sign
from quoting.craft.design.schema import Rule
from quoting.craft.design.things import Foil, Lettering, Prop, Round, Spray
from quoting.craft.picture.elevation import elevation_svg, plan_svg
from quoting.craft.sheets.report import report_text
from quoting.craft.sheets.stored import read_takeoff, stored_takeoff, write_takeoff
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.design.thing_designs import furnished

Thing: TypeAlias = Sign | Round | Foil | Prop | Lettering | Spray
KINDS: dict[str, type[Thing]] = {
    "signs": Sign,
    "rounds": Round,
    "foils": Foil,
    "props": Prop,
    "letterings": Lettering,
    "sprays": Spray,
}
NAMED = {"colour": "ink", "frame": "panel", "item": "item"}


def any_value(rule: Rule, rng: random.Random) -> object:
    """A value within a rule; often at one of its ends."""
    if rule.kind == "number":
        return rng.choice([rule.low, rule.high, rng.uniform(rule.low, rule.high)])
    if rule.kind == "whole":
        return rng.randint(int(rule.low), int(rule.high))
    if rule.kind == "flag":
        return rng.random() < 0.5
    if rule.choices:
        return rng.choice(rule.choices)
    if "#" in rule.pattern:
        return f"#{rng.randrange(16**6):06X}"
    return "".join(
        rng.choices(string.ascii_uppercase + string.digits, k=rng.randint(1, min(12, int(rule.high))))
    )


def any_thing(kind: type[Thing], number: int, rng: random.Random) -> dict[str, object]:
    """A thing of a kind, its names such as the furnished design knows them."""
    found = {field.name: any_value(field.metadata["rule"], rng) for field in dataclasses.fields(kind)}
    found |= {name: value for name, value in NAMED.items() if name in found}
    if "on_top" in found:
        found["on_top"] = rng.choice(["", "prop:thing-1"])
    if kind is Foil and found["shape"] != "glyphs":
        found["text"] = ""
    if kind is Round:
        found |= {"size_in": 24, "sized_m": 0.55}
    if "on_top" in found:
        found["on_top"] = rng.choice(["", "prop:thing-0"])
    return {**found, "id": f"thing-{number}"}


def any_document(seed: int) -> dict[str, object]:
    """The furnished design with two other things of every kind."""
    rng = random.Random(seed)  # noqa: S311 - the same things each time
    things = {name: [any_thing(kind, k, rng) for k in range(2)] for name, kind in KINDS.items()}
    return {**write_design(furnished()), **things}


@pytest.mark.parametrize("seed", range(24))
def test_any_things_are_refused_with_a_fault_or_worked_out_and_drawn(seed: int) -> None:
    try:
        design = read_design(any_document(seed))
    except DesignError as refused:
        assert all(fault.field.split("[")[0] in KINDS for fault in refused.faults)
        return
    takeoff = take_off(design)
    kept = stored_takeoff(takeoff)
    assert read_takeoff(write_takeoff(kept)) == kept
    assert "nan" not in report_text(takeoff)
    for svg in (elevation_svg(takeoff, things=True, dimensions=True), plan_svg(takeoff, things=True)):
        ET.fromstring(svg)  # noqa: S314 - our own picture
        assert "nan" not in svg
        assert "inf" not in svg.replace("infinity", "")


def test_most_of_them_are_worked_out() -> None:
    built = 0
    for seed in range(24):
        try:
            read_design(any_document(seed))
        except DesignError:
            continue
        built += 1
    assert built > 8

"""Whatever stands in a design file: a take-off or an error of ours that names places and ranges, and soon."""

from __future__ import annotations

import copy
import json
import time
import warnings
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.craft.change.extent import estimated_extent
from quoting.craft.design.design_file import design_schema, load_design, read_design
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.records import Leg
from quoting.craft.picture.elevation import alt_text, elevation_svg, plan_svg
from quoting.craft.sheets.report import report_json, report_text
from quoting.craft.takeoff.takeoff import forget, take_off
from tests.quoting.craft.starter_designs import FOLDER, NAMES

SOON_S = 10.0  # of processor time; what is within the limit of balloons takes under 2 s
PLAIN = {name: json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8")) for name in NAMES}
SCHEMA: dict[str, Any] = design_schema()
ODD: list[Any] = [
    None, True, False, 0, 1, -1, 36, 1e308, -1e308, float("nan"), float("inf"), 10**400, "", "x", "NaN", "a" * 500, [],
    {}, [[]], [None], {"a": 1}, [[0, 1], [1, 1]], 1e-9, 0.5,
]  # fmt: skip
TIED = ("share", "version", "size_in", "sized_low_m", "sized_high_m", "sized_m", "work", "role")
"""Values that hang together: changed alone they are refused at once."""

Where = tuple[str | int, ...]


def places(value: Any, path: Where = ()) -> Iterator[Where]:
    """Every place in a JSON value but the whole."""
    if path:
        yield path
    rows = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, part in rows:
        yield from places(part, (*path, key))


def schema_at(path: Where) -> dict[str, Any]:
    found: dict[str, Any] = SCHEMA
    for step in path:
        found = found["anyOf"][0] if "anyOf" in found else found
        found = SCHEMA["$defs"][found["$ref"].rsplit("/", 1)[-1]] if "$ref" in found else found
        found = found.get("items", {}) if isinstance(step, int) else found.get("properties", {}).get(step, {})
    return found


def inside(data: Any, path: Where) -> Any:
    for step in path[:-1]:
        data = data[step]
    return data


def spoiled(random: Random, data: Any) -> None:
    """One value becomes something odd, falls away or comes twice."""
    path = random.choice(list(places(data)))
    parent, last = inside(data, path), path[-1]
    kind = random.randrange(3)
    if kind == 0:
        parent[last] = copy.deepcopy(random.choice(ODD))
    elif kind == 1:
        parent.pop(last)
    elif isinstance(parent[last], list) and parent[last]:
        parent[last].append(copy.deepcopy(random.choice(parent[last])))


def moved(random: Random, data: Any) -> None:
    """One number or word becomes another of its range, its ends included; one list gets an entry twice."""
    path = random.choice(list(places(data)))
    parent, last, rule = inside(data, path), path[-1], schema_at(path)
    old = parent[last]
    if last in TIED or isinstance(old, bool):
        return
    if isinstance(old, list) and last in ("route", "florals", "points") and old:
        old.append(copy.deepcopy(random.choice(old)))
    elif "enum" in rule:
        parent[last] = random.choice(rule["enum"])
    elif isinstance(old, int | float) and "minimum" in rule:
        low, high = rule["minimum"], rule["maximum"]
        new = random.choice([low, high, random.uniform(low, high), old * random.uniform(0.3, 3)])
        parent[last] = int(new) if rule["type"] == "integer" else new


def answer(data: Any) -> str:
    """'worked out' or 'refused'; anything else is raised. All that is shown of a take-off is asked for."""
    forget()
    start = time.process_time()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            takeoff = take_off(read_design(data))
            elevation_svg(takeoff, dimensions=True)
            plan_svg(takeoff)
            alt_text(takeoff)
            report_text(takeoff)
            json.dumps(report_json(takeoff), allow_nan=False)
        found = "worked out"
    except DesignError as error:
        assert error.faults
        assert all(fault.field and fault.message for fault in error.faults)
        found = "refused"
    assert time.process_time() - start < SOON_S
    return found


@settings(max_examples=100)
@given(st.sampled_from(NAMES), st.integers(0, 2**32), st.integers(1, 3))
def test_a_spoiled_design_is_worked_out_or_refused_and_nothing_else(name: str, seed: int, times: int) -> None:
    random, data = Random(seed), copy.deepcopy(PLAIN[name])  # noqa: S311 - nothing is kept secret
    for _ in range(times):
        spoiled(random, data)
    assert answer(data) in ("worked out", "refused")


@settings(max_examples=40)
@given(st.sampled_from(NAMES), st.integers(0, 2**32), st.integers(1, 12))
def test_a_design_moved_about_within_its_ranges_is_worked_out_or_refused(
    name: str, seed: int, times: int
) -> None:
    random, data = Random(seed), copy.deepcopy(PLAIN[name])  # noqa: S311 - nothing is kept secret
    for _ in range(times):
        moved(random, data)
    assert answer(data) in ("worked out", "refused")


def nested(**garland: Any) -> dict[str, Any]:
    data: dict[str, Any] = copy.deepcopy(PLAIN["garland-nested-arches"])
    data["garlands"][0].update(garland)
    return data


ZIGZAG = [[-60 if k % 2 else 60, k % 60] for k in range(200)]
TINY = [{"size_in": 5, "role": "body", "sized_low_m": 0.0508, "sized_high_m": 0.0508, "share": 1}]
TOO_MUCH: dict[str, Any] = {
    "a route of twenty kilometres": nested(route=[{"kind": "through", "points": ZIGZAG}]),
    "as many and as long legs as a file takes, of tiny balloons": nested(
        route=[{"kind": "through", "points": ZIGZAG}] * 40, mix=TINY
    ),
    "forty legs wound forty times": nested(route=[{"kind": "wind", "frame": "low", "turns": 40}] * 40),
    "far hops between short legs": nested(
        route=[{"kind": "through", "points": [[x, 0], [x, 1]]} for x in (-60, 60) * 20]
    ),
    "walls of tiny balloons": {
        **nested(),
        "walls": [
            {"id": f"wall-{k}", "width_m": 20, "height_m": 8, "size_in": 5, "sized_m": 0.0508}
            for k in range(12)
        ],
    },
}


@pytest.mark.parametrize("what", TOO_MUCH)
def test_too_much_work_is_refused_at_once_with_the_limit(what: str) -> None:
    design = read_design(TOO_MUCH[what])
    start = time.process_time()
    with pytest.raises(DesignError, match=r"t most 8000 (balloons )?are worked out at once") as raised:
        take_off(design)
    assert raised.value.faults[0].field.startswith("garlands")
    assert time.process_time() - start < 1.0


def test_the_most_that_is_worked_out_is_worked_out_soon() -> None:
    """Big quads with the smallest fillers, greenery and picks every two inches along sixty metres."""
    data = nested(route=[{"kind": "through", "points": [[0, 1], [60, 1], [60, 4], [0, 4]]}], fullness=0.97)
    data["garlands"][0]["mix"] = [
        {"size_in": 36, "role": "body", "sized_low_m": 0.9, "sized_high_m": 0.9, "share": 1},
        {"size_in": 5, "role": "filler", "sized_low_m": 0.0508, "sized_high_m": 0.0508},
    ]
    data["florals"] = [{"kind": "pick", "item": "pick", "label": "Pick", "hex": "#000000", "spacing_m": 0.05}]
    assert answer(data) == "worked out"


def test_a_leg_that_cannot_hang_is_a_fault_of_its_route() -> None:
    route = [
        {"kind": "through", "points": [[0, 0], [0, 1]]},
        {"kind": "hang", "sag_m": 0.3},
        {"kind": "through", "points": [[0.5, 60], [0.5, 59]]},
    ]
    design = read_design(nested(route=route))
    for work in (take_off, estimated_extent):
        with pytest.raises(DesignError, match="leg that can't hang as it should: rise is") as raised:
            work(design)
        assert [fault.field for fault in raised.value.faults] == ["garlands[0].route"]


def test_a_free_outline_that_leaves_its_frame_is_refused_with_the_range() -> None:
    data = nested()
    data["frames"][0].update(shape="free", points=[[-0.5, 0], [0, 9], [0.5, 0]], sizes=[])
    with pytest.raises(DesignError) as raised:
        read_design(data)
    (fault,) = raised.value.faults
    assert (fault.code, fault.field) == (FaultCode.POINT_OUTSIDE_FRAME, "frames[0].points[1][1]")
    assert (fault.found, fault.low) == (9.0, 0.0)
    assert fault.high == pytest.approx(3.195)


def test_a_number_too_large_for_any_float_is_refused_with_the_range() -> None:
    data = nested(fullness=10**400)
    with pytest.raises(DesignError, match=r"garlands\[0\]\.fullness: is inf; allowed is 0 to 0.97"):
        read_design(data)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('{"version": 1, "loss": 0.1, "loss": 0.2}', "an object has 'loss' twice"),
        ('{"version": 1', "is not JSON"),
        ("[" * 100_000, "is not JSON"),
        ("\xff", "is not JSON"),
    ],
)
def test_a_file_that_cannot_be_read_is_an_error_of_ours(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "design.json"
    path.write_bytes(text.encode("latin-1"))
    with pytest.raises(DesignError, match=words):
        load_design(path)


@pytest.mark.parametrize("points", [((0.0, 0.0), (0.0, 0.05)), ((0.0, 1.0), (0.0, 1.0))])
def test_a_line_that_the_floor_leaves_no_length_is_too_short(points: tuple[tuple[float, float], ...]) -> None:
    design = load_design(FOLDER / "table-garland.json")
    garland = replace(design.garlands[0], route=(Leg(kind="through", points=points),))
    with pytest.raises(DesignError) as refused:
        take_off(replace(design, garlands=(garland,)))
    assert {fault.code for fault in refused.value.faults} == {FaultCode.ROUTE_TOO_SHORT}

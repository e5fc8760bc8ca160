"""Acts are read by their rules, and what comes back is a design that reads."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.craft.change.resize import scale_to
from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.records import Design
from quoting.craft.table.acts import ACTS, apply, as_it_is, read_act
from quoting.craft.table.handles import TAKES
from quoting.craft.table.things import LISTS, MOST, all_things, ref_of
from tests.quoting.craft.starter_designs import NAMES, starter
from tests.quoting.craft.table.tables import LOW, SHELF, TALL, done, over_both_arches, table


@pytest.mark.parametrize(
    ("name", "values", "field", "code"),
    [
        ("fly", {}, "act", FaultCode.UNKNOWN_ACT),
        ("move", {"thing": "frame:low"}, "x_m", FaultCode.MISSING_FIELD),
        ("move", {"thing": "frame:low", "x_m": 31}, "x_m", FaultCode.OUT_OF_RANGE),
        ("move", {"thing": "frame:low", "x_m": float("nan")}, "x_m", FaultCode.NOT_A_NUMBER),
        ("move", {"thing": 7, "x_m": 1}, "thing", FaultCode.NOT_TEXT),
        ("move", {"thing": "frame:low", "x_m": 1, "w_m": 2}, "w_m", FaultCode.UNKNOWN_FIELD),
        ("put-garland", {"points": [(0, 1)]}, "points", FaultCode.WRONG_COUNT),
        ("put-garland", {"points": [(0, 1), (1,)]}, "points[1]", FaultCode.NOT_A_PAIR),
        ("thickness", {"thing": "garland:g", "at": 0.5, "factor": 3}, "factor", FaultCode.OUT_OF_RANGE),
        ("end", {"thing": "garland:g", "which": "middle", "how": "pool"}, "which", FaultCode.UNKNOWN_CHOICE),
    ],
)
def test_a_wrong_field_is_a_fault_at_that_field(
    name: str, values: dict[str, object], field: str, code: FaultCode
) -> None:
    with pytest.raises(DesignError) as refused:
        read_act(name, values)
    assert (field, code) in [(fault.field, fault.code) for fault in refused.value.faults]


@pytest.mark.parametrize("values", [None, 3, "x", [], [1]])
def test_what_is_no_object_is_a_fault(values: object) -> None:
    with pytest.raises(DesignError):
        read_act("move", values)


@pytest.mark.parametrize("name", NAMES)
def test_an_act_changes_nothing_of_the_design_that_it_is_done_to(name: str) -> None:
    design = starter(name)
    before = write_design(design)
    for thing in all_things(design):
        done(design, "copy", thing=ref_of(thing))
        done(design, "remove", thing=ref_of(thing))
    assert write_design(design) == before


def test_a_scaled_design_becomes_one_of_its_own() -> None:
    scaled = scale_to(starter("table-garland"), width_m=2.0, height_m=1.0, must=())
    assert scaled.chosen is not None
    acted = done(scaled, "set", field="name", value="Table for two")
    assert acted.design.chosen is None
    assert acted.design.frames == scaled.frames
    assert as_it_is(scaled).garlands[0].strung == starter("table-garland").garlands[0].strung


def test_a_fault_that_the_design_had_before_stops_no_other_act() -> None:
    broken = replace(
        starter("table-garland"), palette=(replace(starter("table-garland").palette[0], share=0.5),)
    )
    assert apply(broken, read_act("put-prop", {"look": "box"}), SHELF).thing == "prop:prop-1"


def test_no_more_is_put_than_a_design_file_takes() -> None:
    design: Design = table()
    for _ in range(MOST["bouquets"]):
        design = done(design, "put-bouquet").design
    with pytest.raises(DesignError) as refused:
        done(design, "put-bouquet")
    (fault,) = refused.value.faults
    assert (fault.code, fault.high, fault.what) == (FaultCode.TOO_MANY_THINGS, MOST["bouquets"], "bouquet")


def test_a_second_garland_may_have_the_name_of_a_wall() -> None:
    design = done(done(table(), "put-wall").design, "put-garland", points=[(0, 1), (1, 1)]).design
    assert read_design(write_design(design)) == design


def test_every_act_that_a_thing_takes_is_an_act_with_a_thing() -> None:
    assert set(TAKES) == set(LISTS)
    for names in TAKES.values():
        for name in names:
            assert "thing" in {field.name for field in fields(ACTS[name])}  # type: ignore[arg-type] # a record


WORDS = [
    "frame:low",
    "frame:tall",
    "garland:garland-1",
    "garland:garland-2",
    "sign:sign-1",
    "round:round-1",
    "",
]
number = st.floats(-3, 3) | st.integers(-2, 40)
values = st.fixed_dictionaries(
    {},
    optional={
        "thing": st.sampled_from(WORDS), "x_m": number, "y_m": number, "z_m": number, "index": st.integers(0, 12),
        "at": st.floats(0, 1), "factor": st.floats(0.4, 2), "deg": number, "width_m": number, "height_m": number,
        "which": st.sampled_from(["start", "end"]), "how": st.sampled_from(["pool", "hang", "tuck"]),
        "length_m": number, "item": st.sampled_from(["", "cover-sage", "arch-7ft", "sign-hello", "fern"]),
        "points": st.lists(st.tuples(st.floats(-3, 3), st.floats(0, 3)), min_size=2, max_size=6),
        "field": st.sampled_from(["label", "fullness", "x_m", "points", "name", "cover", "pattern"]),
        "value": st.none() | number | st.text(max_size=5) | st.lists(number, max_size=3),
        "text": st.text(max_size=5), "fields": st.dictionaries(st.sampled_from(["width_m", "gust_m_s"]), number),
        "shape": st.sampled_from(["ring", "free", "polygon", "part-ring", "glyphs", "star"]),
    },
)  # fmt: skip


@settings(max_examples=60)
@given(st.lists(st.tuples(st.sampled_from(sorted(ACTS)), values), max_size=8))
def test_whatever_is_done_the_design_reads_or_it_is_a_fault(
    steps: list[tuple[str, dict[str, object]]],
) -> None:
    design = done(table(TALL, LOW), "put-garland", points=over_both_arches()).design
    for name, given_values in steps:
        known = {field.name for field in fields(ACTS[name])}  # type: ignore[arg-type] # every act is a record
        try:
            acted = done(design, name, **{key: value for key, value in given_values.items() if key in known})
        except DesignError as refused:
            assert all(fault.field for fault in refused.faults)
            continue
        design = acted.design
        ids = [ref_of(thing) for thing in all_things(design)]
        assert len(ids) == len(set(ids))
        assert acted.said
        assert not acted.thing or acted.thing in ids

"""A take-off kept and read again: nothing is lost, rows of the first months load, and what is none is refused."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest

import tests.stored
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.sheets.stored import (
    LATER_FIELDS,
    StoredTakeoff,
    read_takeoff,
    stored_takeoff,
    write_takeoff,
)
from quoting.craft.takeoff.takeoff import take_off
from studio.trade.errors import CraftError
from tests.quoting.craft.starter_designs import NAMES, starter, worked

SAMPLES = Path(tests.stored.__file__).parent / "v1"


@lru_cache
def kept(name: str) -> StoredTakeoff:
    return stored_takeoff(worked(name))


@pytest.mark.parametrize("name", NAMES)
def test_a_take_off_written_and_read_again_is_the_same(name: str) -> None:
    assert read_takeoff(write_takeoff(kept(name))) == kept(name)


def test_a_piece_in_the_wind_and_a_piece_too_warm_are_read_again_as_well() -> None:
    design = starter("garland-nested-arches")
    for site in (
        replace(design.site, outdoors=True, gust_m_s=9.0),
        replace(design.site, temperature_c=50.0, altitude_m=4500.0),
    ):
        found = stored_takeoff(take_off(replace(design, site=site)))
        assert found.prep is not None
        assert (found.prep.wind is not None) is site.outdoors
        assert read_takeoff(write_takeoff(found)) == found


def test_the_document_holds_what_the_bill_and_the_picture_hold() -> None:
    takeoff = worked("table-garland")
    found = kept("table-garland")
    assert {line.code: line.quantity for line in found.bill} == {
        line.code: line.quantity for line in takeoff.bill()
    }
    assert sum(count.placed for count in found.counts) == found.balloons == len(takeoff.balloons)
    assert 'viewBox="0 0 {} {}"'.format(*found.picture_size) in elevation_svg(takeoff)


def test_a_row_kept_before_evenness_and_prep_were_worked_out_stays_as_it_is() -> None:
    document = write_takeoff(kept("table-garland"))
    for name in LATER_FIELDS:
        del document[name]
    found = read_takeoff(document)
    assert (found.evenness, found.prep) == (None, None)
    assert write_takeoff(found) == document


def test_a_fault_of_prep_stands_alone_in_the_document() -> None:
    document: dict[str, Any] = write_takeoff(kept("table-garland"))
    document["prep"] = {"fault": "temperature is 400 K; it must be from 233.15 to 333.15 K."}
    assert write_takeoff(read_takeoff(document)) == document


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        (("balloons",), "many", r"\$\.balloons"),
        (("bill", 0, "quantity"), 1.5, r"\$\.bill\[0\]\.quantity"),
        (("prep", "rings", 0, "ring_m"), [0.2], r"\$\.prep\.rings\[0\]\.ring_m"),
    ],
)
def test_a_document_that_is_no_take_off_is_refused_with_the_place(
    path: tuple[str | int, ...], value: object, words: str
) -> None:
    document: Any = copy.deepcopy(write_takeoff(kept("table-garland")))
    parent = document
    for step in path[:-1]:
        parent = parent[step]
    parent[path[-1]] = value
    with pytest.raises(CraftError, match=words):
        read_takeoff(document)


def documents(value: Any) -> Iterator[dict[str, Any]]:
    """Every take-off in a JSON value."""
    if isinstance(value, dict) and value.keys() >= {"bill", "counts", "per_foot"}:
        yield value
    elif isinstance(value, dict | list):
        for part in value.values() if isinstance(value, dict) else value:
            yield from documents(part)


def test_every_take_off_among_the_stored_samples_is_read_and_written_back_as_it_was() -> None:
    texts = [path.read_text(encoding="utf-8") for path in sorted(SAMPLES.rglob("*.json"))]
    found = [document for text in texts for document in documents(json.loads(text))]
    assert len(found) >= 18
    assert [write_takeoff(read_takeoff(document)) for document in found] == found

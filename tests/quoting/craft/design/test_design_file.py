"""The design file: what is read, what is refused, and how faults are told."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

import quoting.craft
from quoting.craft.design.design_file import design_schema, load_design, read_design, write_design
from quoting.craft.design.faults import DesignError
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.starter_designs import FOLDER, NAMES, starter

SCHEMA = Path(quoting.craft.__file__).parent / "design.schema.json"


def plain() -> dict[str, Any]:
    data: dict[str, Any] = json.loads((FOLDER / "garland-nested-arches.json").read_text(encoding="utf-8"))
    return copy.deepcopy(data)


def faults_of(data: Any) -> dict[str, str]:
    with pytest.raises(DesignError) as raised:
        read_design(data)
    return {fault.field: fault.message for fault in raised.value.faults}


def test_the_published_schema_is_the_one_that_the_records_give() -> None:
    assert json.loads(SCHEMA.read_text(encoding="utf-8")) == design_schema()


def test_the_published_schema_is_a_valid_json_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(design_schema())


def test_there_are_twelve_starters() -> None:
    assert len(NAMES) == 12


@pytest.mark.parametrize("name", NAMES)
def test_every_starter_fits_the_published_schema(name: str) -> None:
    data = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(design_schema()).validate(data)


@pytest.mark.parametrize("name", NAMES)
def test_a_design_written_and_read_again_is_the_same(name: str) -> None:
    assert read_design(json.loads(json.dumps(write_design(starter(name))))) == starter(name)


def test_all_faults_are_told_at_once_each_with_its_place_and_the_allowed_range() -> None:
    data = plain()
    data["loss"] = 0.9
    data["frames"][1]["height_m"] = -1
    data["garlands"][0]["mix"][1]["size_in"] = "17"
    data["colours"] = []
    found = faults_of(data)
    assert found["loss"] == "is 0.9; allowed is 0 to 0.5"
    assert found["frames[1].height_m"] == "is -1; allowed is 0.1 to 8"
    assert found["garlands[0].mix[1].size_in"] == "is '17'; expected a whole number from 5 to 36"
    assert found["colours"].startswith("is not known here; known are version, name")


def test_shares_that_do_not_add_up_are_told_with_their_sum() -> None:
    data = plain()
    data["palette"][0]["share"] = 0.5
    data["garlands"][0]["mix"][0]["share"] = 0.5
    found = faults_of(data)
    assert found["palette"] == "has shares that add up to 1.12; they must add up to 1 (within 0.001)"
    assert "add up to 0.6; they must add up to 1" in found["garlands[0].mix"]


def test_a_route_over_a_frame_that_is_not_there_names_the_frames_that_are() -> None:
    data = plain()
    data["garlands"][0]["route"][1]["frame"] = "middle"
    assert faults_of(data) == {"garlands[0].route[1].frame": "is 'middle'; frames are tall, low"}


def test_a_route_that_leaves_its_frame_is_refused() -> None:
    data = plain()
    data["garlands"][0]["route"][1]["end"] = 1.2
    assert faults_of(data) == {"garlands[0].route[1].end": "is 1.2; allowed is 0 to 1"}


def test_a_size_beyond_what_the_balloon_holds_is_refused_with_the_range() -> None:
    data = plain()
    data["garlands"][0]["mix"][0]["sized_high_m"] = 0.4
    found = faults_of(data)["garlands[0].mix[0].sized_high_m"]
    assert found == "is 0.4; a 11-in round is sized 0.112 to 0.279"


@pytest.mark.parametrize("value", [float("nan"), float("inf"), True, None, "wide", [], {}])
def test_a_length_that_is_no_number_is_refused(value: object) -> None:
    data = plain()
    data["frames"][0]["width_m"] = value
    assert list(faults_of(data)) == ["frames[0].width_m"]


@pytest.mark.parametrize("data", [None, [], "design", 3, {}])
def test_what_is_no_design_is_refused_with_an_error_of_ours(data: object) -> None:
    assert faults_of(data)


@pytest.mark.parametrize("text", ["a\x00b", "a\ud800b", "\udfff"])
def test_text_that_nothing_can_keep_is_refused(text: str) -> None:
    """RFC 8259, section 8.2, and PostgreSQL's manual, 8.14: JSON may name such characters, jsonb takes none of them."""
    data = plain()
    data["name"] = text
    (told,) = faults_of(data).values()
    assert told.encode("utf-8").startswith(b"is ")


def test_a_field_whose_name_nothing_can_keep_is_told_in_writing() -> None:
    (field,) = faults_of(plain() | {"\ud800": 1})
    assert field.encode("utf-8") == rb"\ud800"


def test_text_that_is_no_json_is_refused_with_an_error_of_ours(tmp_path: Path) -> None:
    path = tmp_path / "design.json"
    path.write_text("{", encoding="utf-8")
    with pytest.raises(DesignError, match=r"design\.json: is not JSON"):
        load_design(path)


def test_fifty_thousand_balloons_are_refused_at_once_with_the_limit() -> None:
    data = plain()
    points = [[-60 if k % 2 else 60, 0.5 + k] for k in range(30)]
    data["garlands"][0]["route"] = [{"kind": "through", "points": points}]
    with pytest.raises(
        DesignError, match=r"longer than 333 m\. At most 8000 balloons are worked out at once"
    ):
        take_off(read_design(data))


def test_a_route_too_short_to_string_is_refused_with_the_least_length() -> None:
    data = plain()
    data["garlands"][0]["route"] = [{"kind": "through", "points": [[0, 1], [0.2, 1]]}]
    with pytest.raises(DesignError, match=r"is 0\.\d\d m long; at least 0\.\d\d m of it can be strung"):
        take_off(read_design(data))

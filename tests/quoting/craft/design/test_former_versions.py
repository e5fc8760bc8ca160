"""A design file of version 1 opens as before: the take-off is the same to the byte."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.design.former_versions import upgraded
from quoting.craft.sheets.report import report_json
from quoting.craft.takeoff.takeoff import take_off

ROOT = Path(__file__).parents[4]
FORMER = ROOT / "tests" / "stored" / "design_reports"
"""A design of version 1 that was scaled, and the report that version 1 made of it."""


def former() -> dict[str, object]:
    found: dict[str, object] = json.loads((FORMER / "scaled-ring.json").read_text(encoding="utf-8"))
    return found


def test_a_file_of_version_1_is_worked_out_as_it_was() -> None:
    assert former()["version"] == 1
    told = json.loads((FORMER / "scaled-ring-report.json").read_text(encoding="utf-8"))
    assert report_json(take_off(read_design(former()))) == told


def test_a_file_of_version_1_is_written_as_version_2_and_read_alike() -> None:
    design = read_design(former())
    written = write_design(design)
    assert (written["version"], "sign" in written) == (2, False)
    assert read_design(written) == design
    assert design.chosen is not None
    assert [sign.text for sign in (*design.signs, *design.chosen.signs)] == ["at last", "at last"]


def test_null_for_a_sign_becomes_no_sign() -> None:
    assert upgraded({"version": 1, "sign": None, "chosen": None}) == {
        "version": 2,
        "signs": [],
        "chosen": None,
    }


@pytest.mark.parametrize("document", [{"version": 3}, {"version": True}, {"version": "1"}, [1], None, {}])
def test_what_is_no_version_1_stays_as_it_is(document: object) -> None:
    assert upgraded(document) is document

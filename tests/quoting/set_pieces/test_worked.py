"""Sentences of a take-off in the reader's units."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from msgspec import structs

from quoting.craft.design.design_file import STARTERS, load_design, read_design
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.sheets.stored import StoredLine, StoredTakeoff, read_takeoff, stored_takeoff, write_takeoff
from quoting.craft.takeoff.takeoff import forget, take_off
from quoting.set_pieces.worked import in_units, worked
from tests.quoting.craft.starter_designs import NAMES, starter


def arches() -> StoredTakeoff:
    return worked(load_design(STARTERS / "garland-nested-arches.json")).takeoff


def line(takeoff: StoredTakeoff, code: str) -> StoredLine:
    return next(one for one in takeoff.bill if one.code == code)


def test_a_length_is_written_in_the_readers_units() -> None:
    fern = line(arches(), "pick-fern")
    assert in_units(fern.why, "metric").startswith("Fern pick: one for every 0.60 m of ")
    # 0.6 m are 23.62 in, to the nearest quarter 23½.
    assert in_units(fern.why, "feet").startswith("Fern pick: one for every 1 ft 11½ in of ")


def test_a_label_that_names_metres_keeps_its_words() -> None:
    design = load_design(STARTERS / "garland-nested-arches.json")
    low, high = design.frames
    named = replace(design, frames=(replace(low, label="Arch frame 2 m"), high))
    takeoff = worked(named).takeoff
    assert "Arch frame 2 m" in in_units(line(takeoff, low.item).why, "feet")
    assert "Arch frame 2 m" in in_units(takeoff.alt, "feet")


def test_sentences_survive_being_kept_and_old_ones_are_read() -> None:
    takeoff = arches()
    document = write_takeoff(takeoff)
    assert read_takeoff(document) == takeoff
    old = read_takeoff({**document, "alt": "Arches; 3.05 m wide."})
    assert in_units(old.alt, "feet") == "Arches; 10 ft wide."
    assert in_units(old.alt, "metric") == "Arches; 3.05 m wide."


@pytest.mark.parametrize("name", NAMES)
def test_the_picture_is_that_of_the_design_itself_whatever_was_drawn_before(name: str) -> None:
    design = starter(name)
    worked(design)
    first = replace(design.palette[0], hex="#7A1F3D")
    for changed in (replace(design, loss=0.2), replace(design, palette=(first, *design.palette[1:]))):
        picture = worked(changed).picture
        forget()
        assert picture == elevation_svg(take_off(changed))


@pytest.mark.parametrize("name", NAMES)
def test_another_crew_and_rates_change_tasks_and_crew_alone(name: str) -> None:
    design = starter(name)
    before = worked(design).takeoff
    changed = replace(design, rates=replace(design.rates, crew=7, tie_s=3 * design.rates.tie_s, frame_s=1.0))
    after = worked(changed).takeoff
    forget()
    assert after == stored_takeoff(take_off(changed))
    assert after.crew == 7
    assert structs.replace(after, tasks=before.tasks, crew=before.crew) == before


@pytest.mark.parametrize("name", NAMES)
def test_a_document_reads_as_the_design_that_it_was_written_of(name: str) -> None:
    """So that a piece need not read what was just written."""
    design = starter(name)
    assert read_design(json.loads(json.dumps(worked(design).design))) == design

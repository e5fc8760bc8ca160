"""Sentences of a take-off in the reader's units."""

from __future__ import annotations

from dataclasses import replace

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.sheets.stored import StoredLine, StoredTakeoff, read_takeoff, write_takeoff
from quoting.set_pieces.worked import in_units, worked


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

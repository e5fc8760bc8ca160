"""Covers, single fields, palette and site changed on the table."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.records import Cover, CoverPrint
from quoting.craft.design.things import Lettering, Round
from quoting.craft.table.acted import SaidCode
from quoting.craft.table.things import find_thing
from tests.quoting.craft.starter_designs import starter
from tests.quoting.craft.table.tables import IMAGE, LOW, TALL, codes, done, table


def test_a_frame_is_dressed_and_undressed() -> None:
    dressed = done(table(replace(LOW, cover=None)), "cover", thing="frame:low", item="cover-sage")
    cover = dressed.design.frames[0].cover
    assert cover is not None
    assert (cover.item, cover.hex) == ("cover-sage", "#C6CDBA")
    assert done(dressed.design, "cover", thing="frame:low").design.frames[0].cover is None


def test_letters_go_with_the_cover_that_they_are_on() -> None:
    words = Lettering(id="w", text="Maya", height_m=0.1, x_m=-0.42, y_m=0.6, frame="low")
    design = replace(table(TALL, LOW), letterings=(words, replace(words, id="v", frame="tall")))
    acted = done(design, "cover", thing="frame:low")
    assert [one.id for one in acted.design.letterings] == ["v"]
    assert codes(acted) == [SaidCode.UNCOVERED, SaidCode.GOES_WITH_IT]


def test_letters_on_a_board_stay() -> None:
    words = Lettering(id="w", text="Maya", height_m=0.1, x_m=-0.42, y_m=0.6, frame="low")
    board = replace(table(replace(LOW, shape="panel")), letterings=(words,))
    assert done(board, "cover", thing="frame:low").design.letterings == (words,)


def test_a_cover_that_the_studio_lacks_is_a_fault_at_item() -> None:
    with pytest.raises(DesignError) as refused:
        done(table(LOW), "cover", thing="frame:low", item="cover-gold")
    assert [(fault.code, fault.field) for fault in refused.value.faults] == [(FaultCode.NOT_OWNED, "item")]


@pytest.mark.parametrize(
    ("thing", "field", "value"),
    [
        ("garland:main", "fullness", 0.8),
        ("garland:main", "pattern", "ombre"),
        ("garland:main", "fillers", None),
        ("frame:low", "filling", "shimmer"),
        ("", "name", "Maya is six"),
        ("", "loss", 0.1),
    ],
)
def test_a_field_is_set_by_its_own_rule(thing: str, field: str, value: object) -> None:
    acted = done(starter("garland-nested-arches"), "set", thing=thing, field=field, value=value)
    owner: object = find_thing(acted.design, thing) if thing else acted.design
    assert getattr(owner, field) == value


@pytest.mark.parametrize(
    ("thing", "field", "value", "at"),
    [
        ("garland:main", "fullness", 2, "value"),
        ("garland:main", "fullness", "much", "value"),
        ("garland:main", "id", "other", "field"),
        ("garland:main", "route", [], "field"),
        ("garland:main", "colour", "x", "field"),
        ("", "frames", [], "field"),
        ("garland:main", "mix", [], "value"),
    ],
)
def test_a_wrong_field_or_value_is_a_fault_there(thing: str, field: str, value: object, at: str) -> None:
    with pytest.raises(DesignError) as refused:
        done(starter("garland-nested-arches"), "set", thing=thing, field=field, value=value)
    assert {fault.field for fault in refused.value.faults} == {at}


def test_shares_of_a_palette_are_taken_in_proportion() -> None:
    colours = [
        {"colour": "ink", "name": "Ink", "hex": "#2E4454", "share": 0.9},
        {"colour": "sun", "name": "Sun", "hex": "#E8B23F", "share": 0.3},
    ]
    acted = done(table(LOW), "palette", colours=colours)
    assert [colour.share for colour in acted.design.palette] == pytest.approx([0.75, 0.25])


def test_rounds_of_a_colour_that_goes_take_the_first_one() -> None:
    ball = Round(id="r", size_in=24, sized_m=0.55, colour="oat", x_m=0, y_m=1)
    colours = [{"colour": "sun", "name": "Sun", "hex": "#E8B23F", "share": 1}]
    assert done(replace(table(), rounds=(ball,)), "palette", colours=colours).design.rounds[0].colour == "sun"


def test_a_palette_without_shares_is_a_fault_at_colours() -> None:
    with pytest.raises(DesignError) as refused:
        done(table(LOW), "palette", colours=[{"colour": "sun", "name": "Sun", "hex": "#E8B23F", "share": 0}])
    assert [(fault.code, fault.field) for fault in refused.value.faults] == [(FaultCode.NO_SHARES, "colours")]


def test_facts_of_the_site_are_changed_and_the_others_stay() -> None:
    acted = done(starter("table-garland"), "site", fields={"ceiling_m": 4.0})
    assert acted.design.site == replace(starter("table-garland").site, ceiling_m=4.0)


@pytest.mark.parametrize("facts", [{"ceiling_m": 400}, {"colour": 1}, 3, None])
def test_wrong_facts_are_faults(facts: object) -> None:
    with pytest.raises(DesignError):
        done(starter("table-garland"), "site", fields=facts)


def test_an_image_is_printed_on_a_cover_and_taken_off() -> None:
    acted = done(
        table(LOW), "print", thing="frame:low", image=IMAGE, fit="contain", bleed_m=0.03, x_share=0.2
    )
    laid = acted.design.frames[0].cover_print
    assert laid == CoverPrint(digest=IMAGE, aspect=1.5, fit="contain", bleed_m=0.03, x_share=0.2)
    assert codes(acted) == [SaidCode.PRINTED]
    assert done(acted.design, "print", thing="frame:low").design == table(LOW)


@pytest.mark.parametrize(
    ("cover", "image", "fault"),
    [
        (LOW.cover, "cd" * 32, (FaultCode.NOT_OWNED, "image")),
        (None, IMAGE, (FaultCode.PRINT_NEEDS_COVER, "thing")),
    ],
)
def test_what_cannot_be_printed_is_a_fault_at_its_field(
    cover: Cover | None, image: str, fault: tuple[FaultCode, str]
) -> None:
    with pytest.raises(DesignError) as refused:
        done(table(replace(LOW, cover=cover)), "print", thing="frame:low", image=image)
    assert [(one.code, one.field) for one in refused.value.faults] == [fault]


def test_the_image_goes_with_the_cover_and_stays_on_another_one() -> None:
    printed = done(table(LOW), "print", thing="frame:low", image=IMAGE).design
    sage = done(printed, "cover", thing="frame:low", item="cover-sage").design
    assert sage.frames[0].cover_print == printed.frames[0].cover_print
    assert done(printed, "cover", thing="frame:low").design.frames[0].cover_print is None

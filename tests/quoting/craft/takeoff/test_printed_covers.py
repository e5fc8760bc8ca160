"""Printed covers on the bill and in the picture."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest
import shapely

from quoting.craft.design.frames import face
from quoting.craft.design.records import Design
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.picture.view import PX_PER_M
from quoting.craft.sheets.stored import read_takeoff, stored_takeoff, write_takeoff
from quoting.craft.takeoff.explain import explain
from quoting.craft.takeoff.takeoff import laid_out, take_off
from tests.quoting.craft.design.test_prints import PRINT
from tests.quoting.craft.table.tables import LOW, TALL, table

SVG = "{http://www.w3.org/2000/svg}"


def printed() -> Design:
    return table(replace(LOW, cover_print=PRINT), TALL)


def test_a_printed_cover_is_made_in_the_place_of_the_shelf_s() -> None:
    bill = {line.code: line for line in take_off(printed()).bill()}
    made = next(line for code, line in bill.items() if code.startswith("cover-printed-"))
    assert made.label == "Printed cover, 1.07 × 1.83 m with 5 cm bleed, to be made"
    assert bill["cover"].quantity == 1  # the other frame's
    grown = shapely.Polygon(face(LOW)).buffer(PRINT.bleed_m, quad_segs=64)  # what shapely says of the outline
    assert made.area_m2 == pytest.approx(grown.envelope.area, rel=1e-3)


def test_two_alike_are_one_line_and_another_image_is_another() -> None:
    alike = table(replace(LOW, cover_print=PRINT), replace(LOW, id="b", x_m=2.0, cover_print=PRINT))
    other = replace(PRINT, digest="cd" * 32)
    unlike = table(replace(LOW, cover_print=PRINT), replace(LOW, id="b", x_m=2.0, cover_print=other))
    counts = [[line.quantity for line in take_off(one).bill() if line.area_m2] for one in (alike, unlike)]
    assert counts == [[2], [1, 1]]


def test_the_bill_says_which_sheet_and_what_to_ask_of_the_cloth() -> None:
    takeoff = take_off(printed())
    code = next(line.code for line in takeoff.bill() if line.area_m2)
    assert explain(takeoff, code) == (
        "Printed cover: 1, for Low arch; the sheet with its bleed is 1.17 m × 1.93 m. Where the venue asks for "
        "flame-retardant cloth, have it printed on such and bring the certificate."
    )


def test_only_a_printed_line_is_kept_with_an_area() -> None:
    kept = stored_takeoff(take_off(printed()))
    document = write_takeoff(kept)
    assert isinstance(document["bill"], list)
    assert [line["code"][:13] for line in document["bill"] if "area_m2" in line] == ["cover-printed"]
    assert read_takeoff(document) == kept


def test_the_image_is_drawn_where_it_lies_and_cut_off_by_the_face() -> None:
    root = ET.fromstring(elevation_svg(laid_out(printed()), prefix="p-"))  # noqa: S314 -- our own
    (image,) = root.iter(f"{SVG}image")
    assert image.get("href") == f"print:{PRINT.digest}"
    high_m = LOW.height_m + 2 * PRINT.bleed_m
    assert float(image.get("height", "0")) == pytest.approx(high_m * PX_PER_M, abs=0.06)
    assert float(image.get("width", "0")) == pytest.approx(PRINT.aspect * high_m * PX_PER_M, abs=0.06)
    (clip,) = (one for one in root.iter(f"{SVG}clipPath") if one.get("id") != "p-wall")
    assert image.get("clip-path") == f"url(#{clip.get('id')})" == "url(#p-i0)"

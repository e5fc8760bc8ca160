"""A picture that a client likes: read, shown with the nearest designs, refused where it is none."""

from __future__ import annotations

import html
import io
import json
import re
from typing import Any

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageDraw

from quoting.craft.colour.picture_colours import PictureColour
from quoting.craft.design.design_file import load_design
from quoting.craft.design.records import Design
from quoting.design_library import library
from quoting.drawing_table import drafts
from quoting.likeness import presenter
from quoting.likeness.matching import OnTheShelf
from quoting.models import TableDraft
from tests.people import House
from tests.quoting import scenes

ARCHES, WALL = "garland-nested-arches", "ombre-wall"


def photo_of(design: Design) -> bytes:
    """Balloons in a design's colours and shares before a pale wall, as a JPEG."""
    rng = np.random.default_rng(3)
    picture = Image.new("RGB", (420, 320), "#F8F8F8")
    draw = ImageDraw.Draw(picture)
    hues = rng.choice([one.hex for one in design.palette], 400, p=[one.share for one in design.palette])
    for code, x, y in zip(hues, rng.uniform(90, 330, 400), rng.uniform(80, 300, 400), strict=True):
        draw.ellipse((x - 9, y - 9, x + 9, y + 9), fill=str(code))
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=92)
    return out.getvalue()


@pytest.fixture
def two_designs(wickerlark: House) -> dict[str, Design]:
    with wickerlark.enter():
        scenes.stocked()
        designs = {name: load_design(library.STARTERS / f"{name}.json") for name in (ARCHES, WALL)}
        for design in designs.values():
            library.keep_design(design, wickerlark.studio)
    return designs


def send(house: House, content: bytes, *, follow: bool = True) -> Any:
    upload = SimpleUploadedFile("liked.jpg", content, "image/jpeg")
    address = house.url("quoting:like-a-picture")
    return house.client("staff").post(address, {"picture": upload}, follow=follow)


@pytest.mark.parametrize("name", [ARCHES, WALL])
def test_the_design_in_the_colors_of_the_picture_comes_first(
    wickerlark: House, two_designs: dict[str, Design], name: str
) -> None:
    html = send(wickerlark, photo_of(two_designs[name])).content.decode()
    at = {
        design.name: html.index(design.name, html.index("Nearest designs")) for design in two_designs.values()
    }
    assert min(at, key=lambda each: at[each]) == two_designs[name].name
    assert "colors are close" in html


def test_each_color_names_the_nearest_latex_of_the_studio(
    wickerlark: House, two_designs: dict[str, Design]
) -> None:
    html = send(wickerlark, photo_of(two_designs[ARCHES])).content.decode()
    for latex in ("Oat", "Harbour", "Straw", "Ink"):
        assert f"<b>{latex}</b>" in html


def test_the_wall_behind_is_not_ticked_and_can_be(wickerlark: House, two_designs: dict[str, Design]) -> None:
    page = send(wickerlark, photo_of(two_designs[ARCHES]))
    html = page.content.decode()
    assert 'value="f8f8f8">' in html
    again = wickerlark.client("staff").get(page.redirect_chain[-1][0] + "&use=f8f8f8").content.decode()
    assert 'value="f8f8f8" checked' in again
    assert "100 %" in again


def test_nothing_of_the_picture_is_kept(wickerlark: House, two_designs: dict[str, Design]) -> None:
    answer = send(wickerlark, photo_of(two_designs[ARCHES]), follow=False)
    assert answer.status_code == 302
    assert "found=" in answer["Location"]


@pytest.mark.parametrize(
    "content", [b"no picture", b"", photo_of(load_design(library.STARTERS / f"{WALL}.json"))[:900]]
)
def test_what_is_no_picture_is_refused_at_its_field(wickerlark: House, content: bytes) -> None:
    answer = send(wickerlark, content)
    assert answer.status_code == 422
    assert 'aria-invalid="true"' in answer.content.decode()


def test_a_phone_s_picture_of_two_megabytes_is_read(
    wickerlark: House, two_designs: dict[str, Design]
) -> None:
    noise = np.random.default_rng(5).integers(0, 256, (1200, 1600, 3), dtype=np.uint8)
    out = io.BytesIO()
    Image.fromarray(noise).save(out, "JPEG", quality=95)
    assert len(out.getvalue()) > 2_000_000
    assert "Nearest designs" in send(wickerlark, out.getvalue()).content.decode()


def test_a_picture_of_forty_megabytes_is_refused(wickerlark: House) -> None:
    answer = send(wickerlark, b"\xff\xd8" + bytes(40 * 1024 * 1024))
    assert answer.status_code == 413
    assert "MB" in answer.content.decode()


@pytest.mark.parametrize(
    "query",
    [
        "?found=zz&proportion=1",
        "?found=efe6d6-300-0",
        "?found=ffffff-500-1,000000-0-0&proportion=1",
        "?found=&proportion=1",
        "?proportion=0",
    ],
)
def test_an_address_that_is_not_complete_asks_for_a_picture(wickerlark: House, query: str) -> None:
    answer = wickerlark.client("staff").get(wickerlark.url("quoting:like-a-picture") + query)
    assert answer.status_code == 200
    assert "Nearest designs" not in answer.content.decode()


def test_crew_do_not_see_the_page(wickerlark: House) -> None:
    assert wickerlark.client("crew").get(wickerlark.url("quoting:like-a-picture")).status_code in (403, 404)


def test_the_colors_go_to_the_drawing_table(wickerlark: House, two_designs: dict[str, Design]) -> None:
    page = send(wickerlark, photo_of(two_designs[ARCHES]))
    sent = re.search(r'name="colours"\s+value="([^"]+)"', page.content.decode())
    assert sent is not None
    palette = html.unescape(sent[1])
    answer = wickerlark.client("staff").post(wickerlark.url("quoting:table-new"), {"colours": palette})
    assert answer.status_code == 302
    with wickerlark.enter():
        design = drafts.design_of(TableDraft.objects.latest("pk"))
    assert [one.name for one in design.palette] == ["Oat", "Harbour", "Straw", "Ink"]
    assert sum(one.share for one in design.palette) == pytest.approx(1)


def test_a_color_that_no_latex_is_near_to_becomes_one_of_the_studio_s_own(wickerlark: House) -> None:
    violet = PictureColour("#7a1fd1", 0.4, is_behind=False)
    written = json.loads(presenter.palette_of([OnTheShelf(violet, None)], [violet]))
    assert written == [{"colour": "own-7a1fd1", "name": "Own #7A1FD1", "hex": "#7A1FD1", "share": 0.4}]


@pytest.mark.parametrize("colours", ["[", "[]", "{}", '[{"colour": "x"}]', "9" * 5000, "[" * 3000])
def test_a_palette_that_is_none_opens_a_design_in_the_studio_s_own_colors(
    wickerlark: House, colours: str
) -> None:
    with wickerlark.enter():
        scenes.stocked()
    answer = wickerlark.client("staff").post(wickerlark.url("quoting:table-new"), {"colours": colours})
    assert answer.status_code == 302
    with wickerlark.enter():
        assert drafts.design_of(TableDraft.objects.latest("pk")).palette

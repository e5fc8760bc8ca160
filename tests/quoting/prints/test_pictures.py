"""Pictures with printed covers: linked on the studio's pages, on their own where they leave them."""

from __future__ import annotations

import base64
import io
import re

import pytest
from PIL import Image
from pypdf import PdfReader
from pytest_django import DjangoAssertNumQueries

from quoting.build_sheet import sheets
from quoting.design_library import library
from quoting.look_along import presenter as look_along
from quoting.look_along.looking import Seen
from quoting.offers import offering
from quoting.offers import pdf as offer_pdf
from quoting.offers.document import read_offer
from quoting.prints import images
from quoting.prints.pictures import HEAD, linked, on_its_own
from quoting.room_scene import scene
from quoting.set_pieces.size_bench import Bench
from quoting.set_pieces.worked import drawn
from tests.people import House
from tests.quoting.prints.pictures import design, kept, printed, quote_with

INSIDE = re.compile(r'href="(data:[^"]*)"')


def readable(svg: str) -> list[tuple[int, int]]:
    """The sizes of the images inside a picture, each as Pillow reads it back from at most 60 kB."""
    found = INSIDE.findall(svg)
    assert all(len(each) <= 60_000 and each.startswith(HEAD) for each in found)
    pictures = [Image.open(io.BytesIO(base64.b64decode(each.removeprefix(HEAD)))) for each in found]
    for each in pictures:
        each.load()
    return [each.size for each in pictures]


def test_the_studio_s_pages_name_an_image_by_its_address(wickerlark: House) -> None:
    with wickerlark.enter():
        image = kept()
        quote = quote_with(wickerlark, image)
        address = f'href="{wickerlark.url("quoting:print-image", image.digest)}"'
        assert address in quote.pieces.get().picture
        assert address in scene.scene(quote.pk).svg


def test_what_leaves_the_studio_has_a_small_copy_inside(wickerlark: House) -> None:
    with wickerlark.enter():
        image = kept()
        quote = quote_with(wickerlark, image)
        piece = quote.pieces.get()
        kept_design = library.keep_piece(piece, "Printed arches", wickerlark.studio)
        (sheet,) = sheets.pieces(quote, wickerlark.studio.units, ())
        for svg in (kept_design.picture, sheet.picture, on_its_own(piece.picture)):
            assert readable(svg)[0] == (600, 400)
            assert "/prints/" not in svg
            assert "print:" not in svg


def test_an_offer_keeps_its_copy_when_the_image_is_deleted(wickerlark: House) -> None:
    with wickerlark.enter():
        image = kept()
        quote = quote_with(wickerlark, image)
        offer = offering.offer(quote).offer
        images.delete(image.digest)
        assert readable(read_offer(offer.frozen).quote.pieces[0].svg)[0] == (600, 400)


def test_a_deleted_image_leaves_a_plain_cover(wickerlark: House) -> None:
    with wickerlark.enter():
        image = kept()
        picture = quote_with(wickerlark, image).pieces.get().picture
        images.delete(image.digest)
        for svg in (linked(picture), on_its_own(picture)):
            assert "<image" not in svg
            assert svg.count("<path") == picture.count("<path")


def test_another_studio_s_image_leaves_a_plain_cover(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        image = kept()
    with federkorn.enter():
        assert "<image" not in drawn(printed(design(), image))


def test_only_a_printed_cover_asks_the_database(
    wickerlark: House, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    with wickerlark.enter():
        image = kept()
        with django_assert_num_queries(0):
            drawn(design())
        with django_assert_num_queries(1):
            assert drawn(printed(design(), image)).count("<image") == 2


def test_the_client_who_looks_along_gets_the_image_inside(wickerlark: House) -> None:
    with wickerlark.enter():
        image = kept()
        piece = quote_with(wickerlark, image).pieces.get()
        shown = look_along.context(Seen(piece.quote, piece, (), ""), "handle")
    assert isinstance(shown["bench"], Bench)
    assert readable(shown["bench"].picture)[0] == (600, 400)


def test_an_offer_s_pdf_shows_the_image(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = quote_with(wickerlark, kept("#d02090"))
        offer = offering.offer(quote).offer
        pages = PdfReader(io.BytesIO(bytes(offer_pdf.make(offer.pk).content))).pages
    found = [one.image.convert("RGB").getpixel((9, 9)) for page in pages for one in page.images if one.image]
    assert any(colour == pytest.approx((0xD0, 0x20, 0x90), abs=8) for colour in found)

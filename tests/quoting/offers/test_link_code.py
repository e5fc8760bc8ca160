"""The square code of a link, read back by another program."""

from __future__ import annotations

import io

import pytest
import zxingcpp
from PIL import Image

from quoting.offers.link_code import code_of, drawn_code

LINK = "https://billowbook.example/o/2qmQuuxFcLdUhZ56pcuwz57nm0IMXyV1"


@pytest.mark.parametrize("address", [LINK, LINK + "x" * 40])
def test_it_is_read_back_by_a_second_reader(address: str) -> None:
    """ISO/IEC 18004 as ZXing-C++ reads it."""
    drawn = io.BytesIO()
    code_of(address).save(drawn, kind="png", scale=6, border=4)
    (found,) = zxingcpp.read_barcodes(Image.open(drawn))
    assert found.text == address
    assert found.format == zxingcpp.BarcodeFormat.QRCode


def test_on_the_page_it_is_a_picture_with_a_name() -> None:
    drawn = drawn_code(LINK)
    assert drawn.startswith("<svg")
    assert "Code of the offer’s link" in drawn
    assert LINK not in drawn

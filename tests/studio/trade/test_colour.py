"""sRGB to CIELAB, against published values and a reference library."""

from __future__ import annotations

import warnings

import pytest

from studio.trade.colour import lab_of


# IEC 61966-2-1 sRGB primaries in CIELAB (CIE 15, D65, 2 degrees), as coloraide 8.13.1 and colour-science
# 0.4.7 give them; the matrix rounded to four digits differs in the second decimal, hence 0.05.
@pytest.mark.parametrize(
    ("hex_value", "lab"),
    [
        ("#FFFFFF", (100.0, 0.0, 0.0)),
        ("#000000", (0.0, 0.0, 0.0)),
        ("#FF0000", (53.237, 80.090, 67.203)),
        ("#0000FF", (32.301, 79.195, -107.855)),
    ],
)
def test_srgb_primaries_measure_as_published(hex_value: str, lab: tuple[float, float, float]) -> None:
    assert lab_of(hex_value) == pytest.approx(lab, abs=0.05)


@pytest.mark.parametrize(
    "hex_value", ["#E9E1D2", "#2B3F50", "#A6523A", "#9DB0C0", "#010203", "#0A0B0A", "#FEFDFC"]
)
def test_colours_of_a_shelf_measure_as_colour_science_measures_them(hex_value: str) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

        channels = [int(hex_value[place : place + 2], 16) / 255 for place in (1, 3, 5)]
        reference = colour.XYZ_to_Lab(colour.sRGB_to_XYZ(channels))
    assert lab_of(hex_value) == pytest.approx(tuple(float(value) for value in reference), abs=0.05)


@pytest.mark.parametrize("text", ["", "red", "#FFF", "#GGGGGG", "E9E1D2", "#E9E1D2 "])
def test_other_text_is_refused_with_what_is_right(text: str) -> None:
    with pytest.raises(ValueError, match="must be # and six hexadecimal digits"):
        lab_of(text)

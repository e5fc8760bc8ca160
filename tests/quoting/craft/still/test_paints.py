"""Colours of a still as light."""

from __future__ import annotations

import numpy as np
import pytest

from quoting.craft.design.things import FINISHES
from quoting.craft.still.paints import DARKEST, GOLD, LIGHTEST, light_of, put_flecks, put_latex
from quoting.craft.still.scene_file import SceneFile


@pytest.mark.parametrize("code", ["#C9CDB9", "#D9B45B", "#1D2D3A", "#7E9A78", "#B8481F"])
def test_a_colour_is_the_linear_light_of_the_standard(code: str) -> None:
    """IEC 61966-2-1, equation of the decoding; none of these channels is in its linear part."""
    encoded = np.array([int(code[k : k + 2], 16) for k in (1, 3, 5)]) / 255
    expected = np.clip(((encoded + 0.055) / 1.055) ** 2.4, DARKEST, LIGHTEST)
    assert np.allclose(light_of(code), expected, atol=1e-4)


def test_black_and_white_keep_their_shape() -> None:
    assert light_of("#000000") == (DARKEST,) * 3
    assert light_of("#FFFFFF") == (LIGHTEST,) * 3


def test_every_finish_is_a_material_of_its_own() -> None:
    texts = set()
    for finish in FINISHES:
        file = SceneFile()
        put_latex(file, "paint", "#C9CDB9", finish, "#6B4257")
        texts.add(file.files().text)
    assert len(texts) == len(FINISHES)


def test_the_paper_of_confetti_has_the_balloons_colour_and_gold_where_it_has_none() -> None:
    file = SceneFile()
    put_flecks(file, "pink", "#CFA29B")
    put_flecks(file, "clear", "#F4F4F2")
    pink, gold = (line.split(" = ")[1] for line in file.lines if ".kd" in line)
    assert [float(one) for one in pink.split()] == pytest.approx(light_of("#CFA29B"), rel=1e-4)
    assert [float(one) for one in gold.split()] == pytest.approx(GOLD)

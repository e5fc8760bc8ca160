"""The colours: added, measured, changed."""

from __future__ import annotations

import pytest

from stock.models import Colour
from tests.stock.conftest import Stocked
from tests.stock.pages import posted, text


def test_a_colour_is_added_measured_and_changed_but_keeps_its_code(stocked: Stocked) -> None:
    client = stocked.house.client("staff")
    posted(client, stocked.house.url("stock:colours"), name="Rose dusk", hex="#cfa29c", finish="pearl")
    with stocked.house.enter():
        rose = Colour.objects.get(code="rose-dusk")
    assert rose.hex == "#CFA29C"
    assert 60 < rose.lightness < 80
    posted(
        client,
        stocked.house.url("stock:colour-change", rose.pk),
        name="Old rose",
        hex="#B08080",
        finish="matt",
    )
    with stocked.house.enter():
        changed = Colour.objects.get(pk=rose.pk)
    assert (changed.code, changed.name, changed.hex) == ("rose-dusk", "Old rose", "#B08080")
    assert changed.lightness < rose.lightness


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({"name": "Oat", "hex": "#E9E1D2", "finish": "matt"}, "Oat already exists"),
        ({"name": "Rust", "hex": "red", "finish": "matt"}, "Enter a color like #E2CFA6"),
        ({"name": "Rust", "hex": "#B4764C", "finish": "glow"}, "valid choice"),
        ({"name": "", "hex": "#B4764C", "finish": "matt"}, "This field is required"),
        ({"name": "—", "hex": "#B4764C", "finish": "matt"}, "This field cannot be blank"),
    ],
)
def test_a_wrong_colour_is_refused(stocked: Stocked, data: dict[str, str], message: str) -> None:
    response = posted(stocked.house.client(), stocked.house.url("stock:colours"), **data)
    assert response.status_code == 422
    assert message in text(response)

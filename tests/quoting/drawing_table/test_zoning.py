"""Color zones by form: lengths and percentages typed, one left empty, what misses the garland refused."""

from __future__ import annotations

import re
from typing import Any

import pytest

from quoting.models import TableDraft
from tests.people import House
from tests.quoting.drawing_table.test_views import act, design_now, draft

__all__ = ["draft"]
GARLAND = "garland:garland-1"


@pytest.fixture
def drawn(wickerlark: House, draft: TableDraft) -> TableDraft:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft", x_m="0")
    act(wickerlark, draft, "put-garland", along="frame-1")
    return draft


def sent(house: House, draft: TableDraft, *rows: tuple[int, str]) -> Any:
    """Send zones: the number of a colour of the palette, and what is typed as its length."""
    palette = design_now(house, draft).palette
    fields = {"thing": GARLAND, "form": "zones"}
    for k, (colour, length) in enumerate(rows):
        fields |= {
            f"zone-colour-{k}": palette[colour].colour if colour >= 0 else "",
            f"zone-length-{k}": length,
        }
    return act(house, draft, "zones", **fields)


def test_zones_are_typed_as_percentages_lengths_and_the_rest(wickerlark: House, drawn: TableDraft) -> None:
    answer = sent(wickerlark, drawn, (1, "25 %"), (0, ""), (1, "2 ft"), (-1, ""))
    assert answer.status_code == 302, answer.content.decode()[:2000]
    design = design_now(wickerlark, drawn)
    first, rest, last = design.garlands[0].zones
    assert first.share == pytest.approx(0.25)
    assert first.share + rest.share + last.share == pytest.approx(1, abs=1e-5)
    assert last.colour == design.palette[1].colour
    html = wickerlark.client("staff").get(answer["Location"]).content.decode()
    assert 'for="zones-zone-length-2"' in html
    assert re.search(r'name="zone-length-2"\s+value="2 ft"', html)
    assert '<option value="zones" selected>in zones</option>' in html


def test_zones_longer_than_the_garland_are_refused_and_stay_typed(
    wickerlark: House, drawn: TableDraft
) -> None:
    answer = sent(wickerlark, drawn, (1, "90 %"), (0, "40 %"))
    html = answer.content.decode()
    assert answer.status_code == 422
    assert "Change a length, or leave one empty" in html
    assert 'value="90 %"' in html
    assert design_now(wickerlark, drawn).garlands[0].zones == ()


def test_nothing_is_left_for_an_empty_zone_of_a_full_garland(wickerlark: House, drawn: TableDraft) -> None:
    answer = sent(wickerlark, drawn, (1, "100 %"), (0, ""))
    assert answer.status_code == 422
    assert "Change a length, or leave one empty" in answer.content.decode()


def test_what_is_no_length_is_said_at_its_field(wickerlark: House, drawn: TableDraft) -> None:
    answer = sent(wickerlark, drawn, (1, "a bit"), (0, ""))
    assert answer.status_code == 422
    assert "Or a percentage, such as 40 %." in answer.content.decode()


def test_no_zones_at_all_are_refused(wickerlark: House, drawn: TableDraft) -> None:
    assert sent(wickerlark, drawn, (-1, "")).status_code == 422

"""Tie points by form: added at a length or a percentage, moved by number, worked out again."""

from __future__ import annotations

import re

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


def page(house: House, draft: TableDraft) -> str:
    address = house.url("quoting:table", draft.pk)
    html: str = house.client("staff").get(address, {"thing": GARLAND}).content.decode()
    return html


def test_the_panel_lists_the_ties_that_the_picture_numbers(wickerlark: House, drawn: TableDraft) -> None:
    html = page(wickerlark, drawn)
    listed = re.findall(r"<li>No\. (\d+) at [^:]+: binder clip on ", html)
    marked = re.findall(r'class="tie-mark"[^>]*><circle/><text[^>]*>(\d+)</text>', html)
    assert listed
    assert listed == marked == [str(number) for number in range(1, len(listed) + 1)]


def test_a_tie_is_added_at_a_length_or_a_percentage(wickerlark: House, drawn: TableDraft) -> None:
    assert act(wickerlark, drawn, "add-tie", thing=GARLAND, station_m="45 %").status_code == 302
    assert 0.45 in design_now(wickerlark, drawn).garlands[0].ties
    before = design_now(wickerlark, drawn).garlands[0].ties
    assert act(wickerlark, drawn, "add-tie", thing=GARLAND, station_m="2 ft 1 in").status_code == 302
    assert len(design_now(wickerlark, drawn).garlands[0].ties) == len(before) + 1


def test_ties_by_hand_are_moved_taken_out_and_worked_out_again(wickerlark: House, drawn: TableDraft) -> None:
    before = design_now(wickerlark, drawn)
    sent = {"thing": GARLAND, "index": "0", "station_m": "10 %", "form": "move-tie"}
    assert act(wickerlark, drawn, "move-tie", **sent).status_code == 302
    assert design_now(wickerlark, drawn).garlands[0].ties[0] == 0.1
    assert act(wickerlark, drawn, "remove-tie", thing=GARLAND, index="1").status_code == 302
    assert "As worked out" in page(wickerlark, drawn)
    assert act(wickerlark, drawn, "ties-worked-out", thing=GARLAND).status_code == 302
    assert design_now(wickerlark, drawn) == before
    assert "As worked out" not in page(wickerlark, drawn)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("90 ft", "Between 0 and "),
        ("140 %", "Between 0 and 100 %."),
        ("up there", "Or a percentage, such as 40 %."),
    ],
)
def test_a_place_that_is_none_is_said_at_its_field(
    wickerlark: House, drawn: TableDraft, typed: str, said: str
) -> None:
    answer = act(wickerlark, drawn, "add-tie", thing=GARLAND, station_m=typed, form="add-tie")
    html = answer.content.decode()
    assert answer.status_code == 422
    assert said in html
    assert f'value="{typed}"' in html

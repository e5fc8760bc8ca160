"""The panel's forms of a garland's points and thickness: they show what was last taken hold of."""

from __future__ import annotations

import re
from typing import Any

import pytest

from quoting.models import TableDraft
from tests.people import House
from tests.quoting.drawing_table.test_views import act, draft, parts

__all__ = ["draft"]
GARLAND = "garland:garland-1"


@pytest.fixture
def drawn(wickerlark: House, draft: TableDraft) -> TableDraft:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft", x_m="0")
    act(wickerlark, draft, "put-garland", along="frame-1")
    return draft


def shown(house: House, draft: TableDraft, **asked: str) -> str:
    """The panel of the garland."""
    address = house.url("quoting:table", draft.pk)
    answer = house.client("staff").get(address, {"thing": GARLAND, **asked}, headers={"X-Table": "parts"})
    return str(answer.json()["parts"]["panel"])


def chosen(panel: str, form: str, name: str) -> Any:
    """What a form's select has chosen."""
    select = re.search(rf'<select[^>]*id="{form}-{name}".*?</select>', panel, re.DOTALL)
    assert select is not None
    return re.findall(r'value="([^"]+)" selected', select[0])[0]


def typed(panel: str, form: str, name: str) -> str:
    """What stands in a form's box."""
    found = re.search(rf'<input[^>]*value="([^"]*)"[^>]*id="{form}-{name}"', panel)
    assert found is not None
    return found[1]


def test_a_point_that_is_asked_for_is_shown_with_its_place(wickerlark: House, drawn: TableDraft) -> None:
    first, third = shown(wickerlark, drawn), shown(wickerlark, drawn, point="2")
    assert chosen(first, "move-point", "index") == "0"
    assert chosen(third, "move-point", "index") == "2"
    assert typed(first, "move-point", "y_m") != typed(third, "move-point", "y_m")


def test_the_thickness_that_was_set_last_stays_in_the_panel(wickerlark: House, drawn: TableDraft) -> None:
    sent = {"thing": GARLAND, "at": "0.3", "factor": "140"}
    panel = parts(wickerlark, drawn, "thickness", **sent).json()["parts"]["panel"]
    assert (chosen(panel, "thickness", "at"), typed(panel, "thickness", "factor")) == ("0.3", "140")
    other = {"thing": GARLAND, "field": "label", "value": "Over the top", "knot": "0.3"}
    panel = parts(wickerlark, drawn, "set", **other).json()["parts"]["panel"]
    assert typed(panel, "thickness", "factor") == "140"


def test_a_point_that_there_is_not_shows_the_first(wickerlark: House, drawn: TableDraft) -> None:
    panel = shown(wickerlark, drawn, point="many", knot="thick")
    assert (chosen(panel, "move-point", "index"), chosen(panel, "thickness", "at")) == ("0", "0.5")


def test_only_the_button_sends_what_belongs_together(wickerlark: House, drawn: TableDraft) -> None:
    panel = shown(wickerlark, drawn)
    waiting = re.findall(r'data-act="([^"]+)"\s+data-waits', panel)
    assert {"move-point", "thickness"} <= set(waiting)
    assert "set" not in waiting

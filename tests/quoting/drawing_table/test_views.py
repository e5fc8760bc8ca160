"""The drawing table's pages: opened, acted on without scripts and with them, undone, kept."""

from __future__ import annotations

import re
from typing import Any

import pytest

from quoting.drawing_table import drafts, opening
from quoting.models import TableDraft
from tests.people import House
from tests.quoting import scenes

BY_SCRIPT = {"X-Table": "parts"}


@pytest.fixture
def draft(wickerlark: House) -> TableDraft:
    with wickerlark.enter():
        scenes.stocked()
        return opening.open_empty(wickerlark.studio)


def act(house: House, draft: TableDraft, name: str, *, role: str = "staff", **fields: Any) -> Any:
    """Send one act as the form of the page does."""
    with house.enter():
        fields.setdefault("version", TableDraft.objects.get(pk=draft.pk).version)
    return house.client(role).post(house.url("quoting:table-act", draft.pk), {"act": name, **fields})


def design_now(house: House, draft: TableDraft) -> Any:
    with house.enter():
        return drafts.design_of(drafts.find_draft(draft.pk))


def test_an_empty_table_says_what_to_do(wickerlark: House, draft: TableDraft) -> None:
    html = wickerlark.client("staff").get(wickerlark.url("quoting:table", draft.pk)).content.decode()
    assert "Nothing is drawn yet" in html
    assert "style=" not in html


def test_a_frame_is_put_and_a_garland_follows_it_without_a_script(
    wickerlark: House, draft: TableDraft
) -> None:
    answer = act(wickerlark, draft, "put-frame", item="frame-arch-7ft", x_m="0")
    assert answer.status_code == 302
    answer = act(wickerlark, draft, "put-garland", along="frame-1")
    assert answer.status_code == 302, answer.content.decode()[:3000]
    design = design_now(wickerlark, draft)
    assert [frame.item for frame in design.frames] == ["frame-arch-7ft"]
    assert any(leg.frame == "frame-1" for leg in design.garlands[0].route)
    html = wickerlark.client("staff").get(answer["Location"]).content.decode()
    assert 'data-part="garland"' in html
    assert re.search(r'strip-number">[1-9]\d+</b> balloons', html)

"""The design's colors: shares that add up, the selection that stays, a button that takes each away."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.drawing_table.shares import whole_percents
from quoting.models import TableDraft
from tests.people import House
from tests.quoting.drawing_table.test_views import act, design_now, draft, parts

__all__ = ["draft"]


@given(st.lists(st.floats(0.01, 1), min_size=1, max_size=16))
def test_whole_per_cents_add_up_to_100_and_lie_beside_the_exact_ones(weights: list[float]) -> None:
    shares = [weight / sum(weights) for weight in weights]
    found = whole_percents(shares)
    assert sum(found) == 100
    assert all(abs(100 * share - percent) < 1 for share, percent in zip(shares, found, strict=True))


def test_a_share_stays_as_it_was_typed_and_the_others_share_the_rest(
    wickerlark: House, draft: TableDraft
) -> None:
    """By hand: of 40, 30, 20, 10 the first becomes 70; the other three keep 3 : 2 : 1 of 30."""
    codes = [colour.colour for colour in design_now(wickerlark, draft).palette]
    sent = dict(zip((f"share-{code}" for code in codes), ("70", "30", "20", "10"), strict=True))
    act(wickerlark, draft, "palette", **sent)
    shares = [colour.share for colour in design_now(wickerlark, draft).palette]
    assert shares == pytest.approx([0.7, 0.15, 0.1, 0.05])


def test_what_is_shown_adds_up_to_100_and_sent_back_changes_nothing(
    wickerlark: House, draft: TableDraft
) -> None:
    act(wickerlark, draft, "palette", add="sage")
    before = design_now(wickerlark, draft)
    html = wickerlark.client("staff").get(wickerlark.url("quoting:table", draft.pk)).content.decode()
    shown = dict(re.findall(r'name="(share-[\w-]+)" value="(\d+)"[^>]*inputmode', html))
    assert len(shown) == len(before.palette)
    assert sum(map(int, shown.values())) == 100
    act(wickerlark, draft, "palette", **shown)
    after = design_now(wickerlark, draft).palette
    assert [one.share for one in after] == pytest.approx([one.share for one in before.palette])


def test_a_change_of_colors_keeps_what_is_selected(wickerlark: House, draft: TableDraft) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    answer = parts(wickerlark, draft, "palette", add="sage", selected="frame:frame-1")
    assert answer.json()["thing"] == "frame:frame-1"
    assert 'name="selected" value="frame:frame-1"' in answer.json()["parts"]["panel"]


def test_each_color_is_removed_by_its_button_but_for_the_last(wickerlark: House, draft: TableDraft) -> None:
    palette = design_now(wickerlark, draft).palette
    for left in range(len(palette), 1, -1):
        html = wickerlark.client("staff").get(wickerlark.url("quoting:table", draft.pk)).content.decode()
        code = palette[len(palette) - left].colour
        form = re.search(rf'<form id="remove-color-{code}".*?</form>', html, re.DOTALL)
        assert form is not None
        assert f'form="remove-color-{code}"' in html
        sent = dict(re.findall(r'name="(share-[\w-]+)"\s+value="(\w+)"', form[0]))
        act(wickerlark, draft, "palette", **sent)
        assert sum(colour.share for colour in design_now(wickerlark, draft).palette) == pytest.approx(1)
    assert [colour.colour for colour in design_now(wickerlark, draft).palette] == [palette[-1].colour]
    html = wickerlark.client("staff").get(wickerlark.url("quoting:table", draft.pk)).content.decode()
    assert "remove-color-" not in html

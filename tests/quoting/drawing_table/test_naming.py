"""A drawing is named by what stands in it until somebody names it."""

from __future__ import annotations

from quoting.drawing_table import naming
from quoting.models import TableDraft
from tests.people import House
from tests.quoting.drawing_table.test_views import act, design_now, draft

__all__ = ["draft"]


def test_the_name_follows_the_drawing_until_it_is_typed(wickerlark: House, draft: TableDraft) -> None:
    assert design_now(wickerlark, draft).name == naming.UNNAMED
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    assert design_now(wickerlark, draft).name == "An arch"
    act(wickerlark, draft, "put-frame", item="frame-arch-5ft", x_m="1 m")
    act(wickerlark, draft, "put-garland", along="frame-1")
    assert design_now(wickerlark, draft).name == "Two arches with a garland"
    act(wickerlark, draft, "set", field="name", value="Okafor arches")
    act(wickerlark, draft, "put-frame", item="frame-arch-6ft", x_m="3 m")
    assert design_now(wickerlark, draft).name == "Okafor arches"


def test_the_name_is_typed_in_the_head_and_the_selection_stays(wickerlark: House, draft: TableDraft) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    page = wickerlark.url("quoting:table", draft.pk) + "?thing=frame:frame-1"
    html = wickerlark.client("staff").get(page).content.decode()
    assert '<h1 class="aloud">An arch</h1>' in html
    assert 'value="An arch" aria-label="Name of this design"' in html
    answer = act(wickerlark, draft, "set", field="name", value="Okafor", selected="frame:frame-1")
    assert answer["Location"].endswith("?thing=frame%3Aframe-1")


def test_the_name_that_is_proposed_is_offered_where_the_design_is_saved(
    wickerlark: House, draft: TableDraft
) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    html = wickerlark.client("staff").get(wickerlark.url("quoting:table-save-as", draft.pk)).content.decode()
    assert 'value="An arch"' in html

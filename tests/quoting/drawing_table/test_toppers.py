"""Toppers by form: added from the panel of what bears them, and moved from one support to another."""

from __future__ import annotations

from decimal import Decimal

from quoting.drawing_table import opening
from quoting.models import TableDraft
from stock.models import Kind, MovementKind
from tests import shelf
from tests.people import House
from tests.quoting.drawing_table.test_views import act, design_now, draft

__all__ = ["draft"]


def page(house: House, draft: TableDraft, thing: str) -> str:
    html: str = (
        house.client("staff").get(house.url("quoting:table", draft.pk), {"thing": thing}).content.decode()
    )
    return html


def own_props() -> None:
    """A candle and a plinth, in the order of their names, and the digit 6 in foil."""
    candle = {"shape": "candle", "width_m": 0.08, "height_m": 0.2, "depth_m": 0.08}
    plinth = {"shape": "plinth", "width_m": 0.35, "height_m": 0.9, "depth_m": 0.35}
    six = {"shape": "glyphs", "height_m": 0.86}
    made = [
        shelf.thing(kind, name, code=code, outline=outline, unit_cost=Decimal(9), expected_uses=uses)
        for kind, name, code, outline, uses in (
            (Kind.PROP, "Candle, battery", "candle-20", candle, 40),
            (Kind.PROP, "Plinth, white", "plinth-white", plinth, 40),
            (Kind.FOIL, "Foil digit “6”", "foil-digit-6", six, 1),
        )
    ]
    shelf.put([(item, 2) for item in made], kind=MovementKind.RECEIVED)


def test_a_round_is_added_on_top_of_a_column_by_its_form(wickerlark: House, draft: TableDraft) -> None:
    act(wickerlark, draft, "put-column", x_m="0")
    html = page(wickerlark, draft, "garland:column-1")
    assert "On top of Column" in html
    assert 'name="on_top"\n  value="frame:column-1"' in html or 'name="on_top" value="frame:column-1"' in html
    sent = {"thing": "garland:column-1", "on_top": "frame:column-1", "size_in": "24", "form": "top-round"}
    assert act(wickerlark, draft, "put-round", **sent).status_code == 302
    (ball,) = design_now(wickerlark, draft).rounds
    assert (ball.on_top, ball.frame) == ("frame:column-1", "")


def test_a_number_moves_from_the_floor_to_a_plinth_and_off_again(
    wickerlark: House, draft: TableDraft
) -> None:
    act(wickerlark, draft, "put-prop", look="plinth", x_m="1 m")
    act(wickerlark, draft, "put-foil", shape="glyphs", text="6", flat_m="34 in", x_m="0", y_m="2 ft")
    assert "Stands on" in page(wickerlark, draft, "foil:foil-1")
    assert act(wickerlark, draft, "on-top", thing="foil:foil-1", on_top="prop:prop-1").status_code == 302
    assert design_now(wickerlark, draft).foils[0].x_m == 1.0
    assert act(wickerlark, draft, "on-top", thing="foil:foil-1", on_top="").status_code == 302
    assert design_now(wickerlark, draft).foils[0].on_top == ""


def test_a_number_of_the_studio_is_put_on_a_plinth_of_the_studio(wickerlark: House) -> None:
    with wickerlark.enter():
        own_props()
        draft = opening.open_empty(wickerlark.studio)
    add = wickerlark.client("staff").get(wickerlark.url("quoting:table", draft.pk), {"add": "prop"})
    html = add.content.decode()
    assert '<option value="plinth-white" selected>' in html, "the tile says plinth"
    act(wickerlark, draft, "put-prop", item="plinth-white", x_m="0")
    assert "Foil balloon of yours" in page(wickerlark, draft, "prop:prop-1")
    sent = {
        "thing": "prop:prop-1",
        "on_top": "prop:prop-1",
        "item": "foil-digit",
        "text": "6",
        "form": "top-owned",
    }
    assert act(wickerlark, draft, "put-foil", **sent).status_code == 302
    (number,) = design_now(wickerlark, draft).foils
    assert (number.item, number.on_top, number.text) == ("foil-digit", "prop:prop-1", "6")


def test_what_bears_nothing_is_refused_at_the_field_and_what_was_typed_stays(
    wickerlark: House,
    draft: TableDraft,
) -> None:
    act(wickerlark, draft, "put-prop", look="plinth", x_m="1 m")
    sent = {"thing": "prop:prop-1", "on_top": "frame:none", "size_in": "36", "form": "top-round"}
    answer = act(wickerlark, draft, "put-round", **sent)
    assert answer.status_code == 422
    html = answer.content.decode()
    assert "Nothing can stand on that" in html
    assert '<option value="36" selected>' in html

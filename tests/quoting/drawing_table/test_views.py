"""The drawing table's pages: opened, acted on without scripts and with them, undone, kept."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from quoting.craft.design.design_file import read_design
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Design
from quoting.craft.takeoff.takeoff import TakeOff
from quoting.design_library import library
from quoting.drawing_table import drafts, opening, presenter
from quoting.models import DesignTemplate, Quote, QuoteState, TableDraft
from quoting.set_pieces.worked import Worked
from studio.trade.errors import CraftError
from tests.people import House
from tests.quoting import scenes
from tests.quoting.quote_page.test_quote_page import counted

BY_SCRIPT = {"X-Table": "parts"}


@pytest.fixture
def draft(wickerlark: House) -> TableDraft:
    with wickerlark.enter():
        scenes.stocked()
        return opening.open_empty(wickerlark.studio)


def act(house: House, draft: TableDraft, name: str, *, role: str = "staff", **fields: Any) -> Any:
    """Send one act as the form of the page does."""
    if "version" not in fields:
        with house.enter():
            fields["version"] = TableDraft.objects.get(pk=draft.pk).version
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


def parts(house: House, draft: TableDraft, name: str, **fields: Any) -> Any:
    """Send one act as a hand on the picture does."""
    with house.enter():
        version = fields.pop("version", TableDraft.objects.get(pk=draft.pk).version)
    sent = {"act": name, "version": version, **fields}
    return house.client("staff").post(house.url("quoting:table-act", draft.pk), sent, headers=BY_SCRIPT)


def test_a_script_gets_the_parts_that_changed_and_what_was_done(wickerlark: House, draft: TableDraft) -> None:
    answer = parts(wickerlark, draft, "put-frame", item="frame-arch-7ft", x_m="0.0000 m")
    found = answer.json()
    assert (answer.status_code, found["version"], found["thing"]) == (200, 2, "frame:frame-1")
    assert set(found["parts"]) == {"head", "stage", "palette", "panel", "undo", "strip"}
    assert 'data-thing="frame:frame-1"' in found["parts"]["stage"]
    assert "Arch frame 7 ft added" in found["said"]
    assert "style=" not in "".join(found["parts"].values())


def test_a_place_on_the_other_side_is_typed_with_a_minus(wickerlark: House, draft: TableDraft) -> None:
    parts(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    sent = {"thing": "frame:frame-1", "x_m": "-1 ft 6 in", "y_m": "0", "exact": "on"}
    assert act(wickerlark, draft, "move", **sent).status_code == 302
    assert design_now(wickerlark, draft).frames[0].x_m == pytest.approx(-0.4572, abs=0.001), (
        "to the millimetre"
    )


@pytest.mark.parametrize(
    ("name", "fields", "words"),
    [
        ("move", {"thing": "frame:frame-1", "x_m": "wide", "y_m": "0"}, "is no length"),
        ("move", {"thing": "frame:frame-1", "x_m": "99 m", "y_m": "0"}, "Between"),
        ("move", {"thing": "frame:gone", "x_m": "1 m"}, "not on the table any more"),
        ("resize", {"thing": "frame:frame-1", "item": "frame-of-nobody"}, "not in your stock list"),
        ("resize", {"item": "frame-arch-6ft"}, "not on the table any more"),
        ("set", {"field": "florals", "value": '[{"item": "x", "label": "a\\u0000b"}]'}, "label"),
        ("set", {"field": "florals", "value": '[{"item": "x", "label": "a\\ud800b"}]'}, "label"),
        ("set", {"field": "florals", "value": '[{"\\ud800": "x"}]'}, "known"),
        ("put-garland", {"points": "[[0,0],[1,"}, "Draw the line again"),
        ("put-garland", {"points": "[[0,0],[1,NaN]]"}, "Draw the line again"),
        ("put-lettering", {"text": "six!", "x_m": "5 m", "y_m": "1 m"}, "Letters go on a covered frame"),
        ("cover", {"thing": "frame:frame-1", "item": "cover-of-nobody"}, "not in your stock list"),
        ("set", {"thing": "frame:frame-1", "field": "id", "value": "x"}, "known"),
        ("paint", {}, "can&#x27;t be done here"),
        ("thickness", {"thing": "garland:garland-1", "at": "0.5", "factor": "300"}, "Between 50 % and 180 %"),
        ("set", {"thing": "garland:garland-1", "field": "fullness", "value": "300"}, "Between 0 % and 97 %"),
        ("palette", {"share-oat": "much"}, "Enter a number"),
    ],
)
def test_what_cannot_be_done_is_said_and_changes_nothing(
    name: str, fields: dict[str, str], words: str, wickerlark: House, draft: TableDraft
) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    act(wickerlark, draft, "put-garland", along="frame-1")
    before = design_now(wickerlark, draft)
    answer = act(wickerlark, draft, name, **fields)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert design_now(wickerlark, draft) == before


def test_a_fault_stands_at_its_field_and_what_was_typed_stays(wickerlark: House, draft: TableDraft) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    sent = {"thing": "frame:frame-1", "x_m": "abc", "y_m": "0", "form": "move", "exact": "on"}
    html = act(wickerlark, draft, "move", **sent).content.decode()
    assert 'value="abc"' in html
    assert 'aria-invalid="true"' in html


def test_florals_along_a_thing_name_it_in_one_field(wickerlark: House, draft: TableDraft) -> None:
    """A template asks a form for its fields before its attributes: the two must not share a name."""
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft", x_m="0")
    html = wickerlark.client("staff").get(wickerlark.url("quoting:table", draft.pk), {"add": "florals"})
    form = re.search(
        r'<form class="act-form"[^>]*data-act="scatter".*?</form>', html.content.decode(), re.DOTALL
    )
    assert form is not None
    assert form[0].count('name="thing"') == 1
    assert '">' not in re.sub(r"<[^<>]*>", "", form[0])


def test_shares_of_colors_are_typed_in_per_cent(wickerlark: House, draft: TableDraft) -> None:
    palette = design_now(wickerlark, draft).palette
    shares = {f"share-{colour.colour}": "0" for colour in palette}
    shares |= {f"share-{palette[0].colour}": "70", f"share-{palette[1].colour}": "30"}
    act(wickerlark, draft, "palette", **shares)
    assert [(one.colour, one.share) for one in design_now(wickerlark, draft).palette] == [
        (palette[0].colour, pytest.approx(0.7)),
        (palette[1].colour, pytest.approx(0.3)),
    ]
    others = {"oat", "harbour", "straw", "ink", "sage"} - {palette[0].colour, palette[1].colour}
    act(wickerlark, draft, "palette", add=min(others))
    assert len(design_now(wickerlark, draft).palette) == 3


def test_who_is_too_late_is_told_and_the_next_press_applies(wickerlark: House, draft: TableDraft) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    answer = parts(wickerlark, draft, "put-column", version=1)
    found = answer.json()
    assert (answer.status_code, found["stale"], found["version"]) == (422, True, 2)
    assert "in the meantime" in found["problem"]
    assert parts(wickerlark, draft, "put-column", version=found["version"]).status_code == 200


def test_undo_and_redo_are_buttons(wickerlark: House, draft: TableDraft) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    client = wickerlark.client("staff")
    undone = client.post(wickerlark.url("quoting:table-undo", draft.pk), {"version": 2}, headers=BY_SCRIPT)
    assert undone.json()["said"] == "Undone: arch frame 7 ft added."
    assert design_now(wickerlark, draft).frames == ()
    redone = client.post(wickerlark.url("quoting:table-redo", draft.pk), {"version": 3}, headers=BY_SCRIPT)
    assert redone.json()["said"] == "Done again: arch frame 7 ft added."
    assert len(design_now(wickerlark, draft).frames) == 1


def test_crew_and_strangers_see_no_table(wickerlark: House, federkorn: House, draft: TableDraft) -> None:
    assert wickerlark.client("crew").get(wickerlark.url("quoting:table", draft.pk)).status_code == 403
    assert federkorn.client().get(federkorn.url("quoting:table", draft.pk)).status_code == 404
    assert act(federkorn, draft, "put-column", version=1).status_code == 404


def test_staff_see_no_margin(wickerlark: House, draft: TableDraft) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    address = wickerlark.url("quoting:table", draft.pk)
    assert "margin" in wickerlark.client("owner").get(address).content.decode()
    assert "margin" not in wickerlark.client("staff").get(address).content.decode()


def test_queries_do_not_grow_with_what_stands_on_the_table(wickerlark: House, draft: TableDraft) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    address, client = wickerlark.url("quoting:table", draft.pk), wickerlark.client()
    first = counted(client, address)
    for x in range(6):
        parts(wickerlark, draft, "put-round", size_in="24", x_m=f"0.{x} m", y_m=f"1.{x} m")
    parts(wickerlark, draft, "put-frame", item="frame-arch-6ft", x_m="1.5 m")
    assert counted(client, address) <= first


def test_a_quote_can_start_from_nothing_and_get_its_piece_from_the_table(wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.stocked()
        event = scenes.event()
    client = wickerlark.client("staff")
    address = client.post(wickerlark.url("quoting:table-start-quote", event.pk))["Location"]
    with wickerlark.enter():
        draft = TableDraft.objects.get()
        assert draft.quote is not None
        assert draft.quote.pieces.count() == 0
    assert "Put into the quote" in client.get(address).content.decode()
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    goal = client.post(wickerlark.url("quoting:table-into-quote", draft.pk), {"version": 2})["Location"]
    assert f"/quotes/{draft.quote_id}/?piece=" in goal
    assert 'data-part="frames"' in client.get(goal).content.decode()


def test_a_design_and_a_draft_are_quoted_for_a_coming_event(wickerlark: House, draft: TableDraft) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    with wickerlark.enter():
        event, template = scenes.event(), scenes.starter(wickerlark.studio)
    client = wickerlark.client("staff")
    for address in (
        wickerlark.url("quoting:table-quote-with", draft.pk),
        wickerlark.url("quoting:design-quote-with", template.pk),
    ):
        assert event.title in client.get(address).content.decode()
        html = client.get(address).content.decode()
        sizes = re.search(r"width_m=4\+ft&amp;height_m=6\+ft\+11", html)
        assert bool(sizes) == ("table" in address), "the size that is drawn goes along"
        filled = re.findall(
            r'<(a|button)\s+class="button(?: button-small)?"[^>]*>([^<]*)', html[html.index("<main") :]
        )
        assert filled == [("a", "Take an enquiry")], "whoever is on a call with somebody new starts there"
    answer = client.post(
        wickerlark.url("quoting:table-quote-with", draft.pk), {"event": event.pk, "version": 2}
    )
    with wickerlark.enter():
        quote = Quote.objects.get()
        assert answer["Location"] == wickerlark.url("quoting:quote", quote.pk)
        assert quote.version == 1, "a fresh quote: nothing on it was changed, and nothing can be undone"
        assert not quote.sketches.exists()
        assert TableDraft.objects.get(pk=draft.pk).piece_id == quote.pieces.get().pk


def test_a_piece_quoted_from_a_design_on_the_table_keeps_which_design_it_was(wickerlark: House) -> None:
    with wickerlark.enter():
        event, template = scenes.event(), scenes.starter(wickerlark.studio)
    client = wickerlark.client("staff")
    opened = client.post(wickerlark.url("quoting:table-design", template.pk))["Location"]
    client.post(f"{opened.partition('?')[0]}quote-with/", {"event": event.pk, "version": 1})
    with wickerlark.enter():
        assert Quote.objects.get().pieces.get().drawn_from_id == template.pk


def test_a_draft_is_saved_under_a_name(wickerlark: House, draft: TableDraft) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    client, address = wickerlark.client("staff"), wickerlark.url("quoting:table-save-as", draft.pk)
    assert client.post(address, {"name": ""}).status_code == 422
    assert client.post(address, {"name": "Bare arch"}).status_code == 302
    with wickerlark.enter():
        assert DesignTemplate.objects.filter(name="Bare arch").exists()


def test_a_frame_is_offered_the_covers_that_fit_it(wickerlark: House, draft: TableDraft) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    with wickerlark.enter():
        (frame,) = (one.id for one in drafts.design_of(TableDraft.objects.get(pk=draft.pk)).frames)
    page = (
        wickerlark.client("staff")
        .get(wickerlark.url("quoting:table", draft.pk) + f"?thing=frame:{frame}")
        .content.decode()
    )
    assert "cover-arch-7ft-" in page
    assert "cover-arch-6ft-" not in page


def test_what_cannot_be_built_is_said_beside_the_picture(
    wickerlark: House, draft: TableDraft, monkeypatch: pytest.MonkeyPatch
) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")

    def refuse(_design: Design) -> TakeOff:
        raise CraftError("nothing hangs here.")

    monkeypatch.setattr(presenter, "taken_off", refuse)
    answer = wickerlark.client("staff").get(wickerlark.url("quoting:table", draft.pk))
    assert answer.status_code == 200
    html = answer.content.decode()
    assert "hangs here" in html
    strip = html[html.index("table-strip") :]
    assert "can&#x27;t be built as it is drawn" in strip
    assert "$0.00" not in strip
    assert "nothing is drawn yet" not in html


def test_a_color_gets_a_finish_and_a_balloon_within(wickerlark: House, draft: TableDraft) -> None:
    first, second = (one.colour for one in design_now(wickerlark, draft).palette[:2])
    act(wickerlark, draft, "palette", colour=first, finish="mirror")
    assert [one.finish for one in design_now(wickerlark, draft).palette][:2] == ["mirror", "plain"]
    assert act(wickerlark, draft, "palette", colour=first, finish="double-stuffed").status_code == 422
    act(wickerlark, draft, "palette", colour=first, finish="double-stuffed", inner=second)
    html = wickerlark.client("staff").get(wickerlark.url("quoting:table", draft.pk)).content.decode()
    assert "one balloon inside another</option>" in html
    assert ">double-stuffed<" not in html
    stuffed = design_now(wickerlark, draft).palette[0]
    assert (stuffed.finish, stuffed.inner) == ("double-stuffed", second)


def head(house: House, draft: TableDraft) -> str:
    html = house.client("staff").get(house.url("quoting:table", draft.pk)).content.decode()
    return " ".join(
        html[html.index("table-head") : html.index("</header>", html.index("table-head"))].split()
    )


def test_the_head_says_whether_the_drawing_is_in_its_quote(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        draft = drafts.open_piece(quote.pk, quote.pieces.get().pk)
    assert "not in the quote yet" not in head(wickerlark, draft)
    act(wickerlark, draft, "put-round", size_in="24", x_m="0.5 m", y_m="2 m")
    shown = head(wickerlark, draft)
    assert "drawing kept" in shown
    assert "not in the quote yet" in shown
    assert "Update the quote</button>" in shown
    client = wickerlark.client("staff")
    client.post(wickerlark.url("quoting:table-into-quote", draft.pk), {"version": 2})
    assert "not in the quote yet" not in head(wickerlark, draft)
    with wickerlark.enter():
        scenes.set_state(quote, QuoteState.AGREED)
    assert "Update the quote" not in head(wickerlark, draft)


def test_what_was_changed_elsewhere_is_replaced_when_asked(wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.stocked()
        template = scenes.starter(wickerlark.studio)
        draft = drafts.open_template(template.pk)
    act(wickerlark, draft, "put-round", size_in="24", x_m="0.5 m", y_m="2 m")
    assert "not in the design yet" in head(wickerlark, draft)
    with wickerlark.enter():
        theirs = replace(read_design(template.design), name="Theirs")
        library.redraw(template.pk, theirs, wickerlark.studio)
    client, address = wickerlark.client("staff"), wickerlark.url("quoting:table-save", draft.pk)
    refused = client.post(address, {"version": 2})
    assert refused.status_code == 422
    assert f'action="{address}" data-last>' in refused.content.decode()
    assert "Replace it with this" in refused.content.decode()
    assert client.post(address, {"version": 2, "anyway": "1"}).status_code == 302
    assert "not in the design yet" not in head(wickerlark, draft)
    with wickerlark.enter():
        library.retire(template.pk)
    assert "This design was retired. Save it under a new name." in head(wickerlark, draft)
    assert ">Save</button>" not in head(wickerlark, draft)
    assert client.post(address, {"version": 2}).status_code == 422


def test_what_cannot_be_built_is_not_saved_and_says_why(
    wickerlark: House, draft: TableDraft, monkeypatch: pytest.MonkeyPatch
) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")

    def refuse(_design: Design) -> Worked:
        raise DesignError(Fault(code=FaultCode.NOTHING_HOLDS_IT, field="rounds[0]", found=3.0))

    monkeypatch.setattr(library, "worked", refuse)
    address = wickerlark.url("quoting:table-save-as", draft.pk)
    answer = wickerlark.client("staff").post(address, {"name": "Six"})
    assert answer.status_code == 422
    assert "nothing there holds it" in answer.content.decode()
    with wickerlark.enter():
        assert not DesignTemplate.objects.filter(name="Six").exists()


def test_a_key_or_a_color_with_characters_that_nothing_can_keep_breaks_nothing(
    wickerlark: House, draft: TableDraft
) -> None:
    assert act(wickerlark, draft, "put-frame", item="frame-arch-7ft", key="a\x00b").status_code == 302
    undo = wickerlark.url("quoting:table-undo", draft.pk)
    assert wickerlark.client("staff").post(undo, {"version": 2, "key": "\x00"}).status_code == 302
    for name in ("a\\u0000b", "a\\ud800b"):
        colours = f'[{{"colour": "oat", "name": "{name}", "hex": "#F4EFE6", "share": 1}}]'
        opened = wickerlark.client("staff").post(wickerlark.url("quoting:table-new"), {"colours": colours})
        assert opened.status_code == 302


def test_big_rounds_put_one_after_the_other_hide_none(wickerlark: House, draft: TableDraft) -> None:
    page = wickerlark.url("quoting:table", draft.pk)
    for _ in range(3):
        html = wickerlark.client("staff").get(page).content.decode()
        form = html[html.index('data-act="put-round"') :]
        found = re.search(r'name="x_m"\s+value="([^"]+)"', form)
        assert found
        act(wickerlark, draft, "put-round", size_in="24", x_m=found[1], y_m="1.2 m")
    rounds = sorted(design_now(wickerlark, draft).rounds, key=lambda ball: ball.x_m)
    assert all(right.x_m - left.x_m >= left.sized_m for left, right in pairwise(rounds))


def test_what_hands_do_in_the_picture_is_done_by_form_too(wickerlark: House, draft: TableDraft) -> None:
    act(wickerlark, draft, "put-frame", shape="free", width_m="4 ft", height_m="7 ft", x_m="0")
    corners = len(design_now(wickerlark, draft).frames[0].points)
    act(wickerlark, draft, "add-corner", thing="frame:frame-1", index="1")
    act(wickerlark, draft, "move-corner", thing="frame:frame-1", index="2", x_m="-1 ft", y_m="8 ft")
    assert len(design_now(wickerlark, draft).frames[0].points) == corners + 1
    act(wickerlark, draft, "remove-corner", thing="frame:frame-1", index="2")
    frame = design_now(wickerlark, draft).frames[0]
    assert len(frame.points) == corners
    fields = {"thing": "frame:frame-1", "item": "pick-fern", "count": "4", "start": "10", "end": "60"}
    assert act(wickerlark, draft, "scatter", **fields).status_code == 302
    assert len(design_now(wickerlark, draft).sprays) == 4


def test_the_room_is_typed_and_its_door_taken_away_again(wickerlark: House, draft: TableDraft) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft", x_m="0")
    room = {
        "width_m": "20 ft",
        "depth_m": "6 ft",
        "ceiling_m": "9 ft",
        "door_width_m": "3 ft",
        "door_height_m": "7 ft",
    }
    shown = parts(wickerlark, draft, "site", **room, door_x_m="-6 ft").json()["parts"]["stage"]
    assert "room-door" in shown
    assert "Keep the way out free" not in shown
    blocked = parts(wickerlark, draft, "site", **room, door_x_m="1 ft").json()["parts"]["stage"]
    assert "Keep the way out free" in blocked
    assert design_now(wickerlark, draft).site.depth_m == pytest.approx(1.8288)
    assert "room-door" not in parts(wickerlark, draft, "site", **room, door_x_m="").json()["parts"]["stage"]
    assert parts(wickerlark, draft, "site", **{**room, "depth_m": ""}, door_x_m="").status_code == 422

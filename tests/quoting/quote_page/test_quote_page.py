"""The quote page: who sees what, what a change answers, what a wrong or late one keeps."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from events.models import Event
from events.wishes.wishes import Wished, keep_wishes
from quoting.models import Quote, QuoteState, Rates
from quoting.quotes import sheet, sketch
from studio.people import taxes
from tests import people
from tests.people import House
from tests.quoting import scenes

D = Decimal
HTMX = {"HX-Request": "true"}
MOST_QUERIES = 24
USUAL_FULLNESS = 0.92
"""What a design has that says nothing of it."""


@pytest.fixture
def quoted(wickerlark: House) -> Quote:
    with wickerlark.enter():
        return scenes.quote(wickerlark, width_m=D("2.9"), height_m=D("2.3"))


def page(house: House, quote: Quote, role: str = "owner") -> Any:
    return house.client(role).get(house.url("quoting:quote", quote.pk))


def fields(html: str) -> dict[str, Any]:
    """What a browser would send from the form of the set piece."""
    form = re.search(r'<form class="sketch".*?</form>', html, re.DOTALL)
    assert form, "the form of the set piece is on the page"
    sent: dict[str, Any] = {}
    for tag in re.findall(r"<input[^>]*>", form[0]):
        facts = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if facts.get("type") == "checkbox":
            if " checked" in tag:
                sent.setdefault(facts["name"], []).append(facts.get("value", "on"))
        else:
            sent[facts["name"]] = facts.get("value", "")
    for name, options in re.findall(r'<select name="([^"]*)"[^>]*>(.*?)</select>', form[0], re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', options) or re.search(r'value="([^"]*)"', options)
        sent[name] = chosen[1] if chosen else ""
    return sent


def change(house: House, quote: Quote, role: str = "owner", **typed: Any) -> Any:
    client = house.client(role)
    html = client.get(house.url("quoting:quote", quote.pk)).content.decode()
    return client.post(house.url("quoting:quote-alter", quote.pk), fields(html) | typed, headers=HTMX)


def design_of(house: House, quote: Quote) -> dict[str, Any]:
    with house.enter():
        design: dict[str, Any] = quote.pieces.get().design
        return design


def test_the_page_shows_picture_price_counts_and_the_shelf(wickerlark: House, quoted: Quote) -> None:
    html = page(wickerlark, quoted).content.decode()
    assert 'class="set-piece"' in html
    assert 'data-part="garland"' in html
    assert 'data-lights="garland"' in html
    assert "balloons a foot" in html
    assert "arch frame 6 ft: 2 of 2 free" in html
    assert re.search(r"placed; \+ \d+ spare \(enough in", html), "each count says how it came about"
    assert "style=" not in html, "the content policy forbids inline styles"


def test_a_change_is_answered_with_the_sheet_alone(wickerlark: House, quoted: Quote) -> None:
    answer = change(wickerlark, quoted, width_m="10 ft 6 in")
    html = answer.content.decode()
    assert answer.status_code == 200
    assert html.lstrip().startswith('<div class="quote" id="quote"')
    assert 'value="10 ft 6 in"' in html
    assert "version 2" in html


def test_a_total_without_travel_says_so_until_there_is_a_venue(wickerlark: House, quoted: Quote) -> None:
    words = "travel not included: no venue yet"
    assert words not in page(wickerlark, quoted).content.decode()
    with wickerlark.enter():
        Event.objects.filter(pk=quoted.event_id).update(venue=None)
        Quote.objects.filter(pk=quoted.pk).update(drive_minutes=0, distance_m=0)
    assert words in page(wickerlark, quoted).content.decode()
    with wickerlark.enter():
        Quote.objects.filter(pk=quoted.pk).update(distance_m=9000)
    assert words not in page(wickerlark, quoted).content.decode()


def test_a_minimum_call_is_told_where_hours_stand_and_where_the_price_is_explained(
    wickerlark: House, quoted: Quote
) -> None:
    """The tape charges a call of three hours; both the hours of work and the breakdown say why."""
    with wickerlark.enter():
        Rates.objects.update_or_create(defaults={"minimum_call_hours": D(3)}, studio=wickerlark.studio)
    html = page(wickerlark, quoted).content.decode()
    charged = re.search(r"strike (\d+\.\d) h", html[html.index('id="tape-lines"') :])
    assert charged is not None
    work = html[html.index('class="shelf-hands') :]
    worked = re.search(r"strike\s+(\d+\.\d) h \(paid (\d+\.\d) h, the minimum call\)", work)
    assert worked is not None
    assert charged[1] == worked[2]
    assert f"strike takes {worked[1]} h and is paid as the minimum call of {worked[2]} h" in html


def test_without_scripts_a_change_leads_back_to_the_page(wickerlark: House, quoted: Quote) -> None:
    client = wickerlark.client()
    sent = fields(page(wickerlark, quoted).content.decode()) | {"fullness": "60"}
    answer = client.post(wickerlark.url("quoting:quote-alter", quoted.pk), sent)
    assert answer.status_code == 302
    assert design_of(wickerlark, quoted)["garlands"][0]["fullness"] == 0.6


def test_only_what_was_typed_is_changed(wickerlark: House, quoted: Quote) -> None:
    before = design_of(wickerlark, quoted)
    change(wickerlark, quoted, fullness="85")
    after = design_of(wickerlark, quoted)
    # The piece was scaled: what it was chosen as is changed with it.
    for design in (after, after["chosen"]):
        assert design.pop("garlands")[0]["fullness"] == 0.85
    for design in (before, before["chosen"]):
        design.pop("garlands")
    assert after == before


def test_sent_back_as_it_was_it_stays_the_same_sketch(wickerlark: House, quoted: Quote) -> None:
    before = design_of(wickerlark, quoted)
    assert "version 1 ·" in change(wickerlark, quoted).content.decode()
    assert design_of(wickerlark, quoted) == before


def test_a_share_takes_what_was_typed(wickerlark: House, quoted: Quote) -> None:
    change(wickerlark, quoted, **{"share.oat": "50"})
    shares = {colour["colour"]: colour["share"] for colour in design_of(wickerlark, quoted)["palette"]}
    assert shares == pytest.approx({"oat": 0.5, "harbour": 15 / 62, "straw": 11 / 62, "ink": 5 / 62})


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("width_m", "40 ft", "No frame makes that width"),
        ("width_m", "wide", "no length"),
        ("height_m", "-3 ft", "no length"),
        ("height_m", "2 in", "At least"),
        ("fullness", "120", "less than or equal to 97"),
        ("fullness", "lots", "percentage from 0 to 97"),
        ("share.oat", "300", "less than or equal to 100"),
        ("swap.ink", "no-such-colour", "not one of the available choices"),
        ("frame.tall", "frame-of-somebody", "not one of the available choices"),
        ("loss", "80", "less than or equal to 50"),
        ("crew", "0", "greater than or equal to 1"),
        ("floral.1", "0 ft", "more than nothing"),
    ],
)
def test_what_is_wrong_is_said_at_the_field_and_stays_typed(
    field: str, typed: str, says: str, wickerlark: House, quoted: Quote
) -> None:
    answer = change(wickerlark, quoted, **{field: typed})
    html = answer.content.decode()
    assert answer.status_code == 422
    assert says in html.replace("&#x27;", "'")
    if not field.startswith(("swap", "frame")):
        assert f'value="{typed}"' in html
    with wickerlark.enter():
        assert sheet.find_quote(quoted.pk).version == 1


def test_a_late_change_is_refused_kept_typed_and_applied_when_sent_again(
    wickerlark: House, quoted: Quote
) -> None:
    mine = fields(page(wickerlark, quoted).content.decode())
    change(wickerlark, quoted, role="staff", fullness="55")
    address = wickerlark.url("quoting:quote-alter", quoted.pk)
    answer = wickerlark.client().post(address, mine | {"share.oat": "50"}, headers=HTMX)
    html = answer.content.decode()
    assert answer.status_code == 422
    assert "Wickerlark Decor Staff changed this quote in the meantime" in html
    assert "Not applied yet" in html
    shown = fields(html)
    assert (shown["fullness"], shown["share.oat"], shown["version"]) == ("55", "50", "2")
    assert wickerlark.client().post(address, shown, headers=HTMX).status_code == 200
    design = design_of(wickerlark, quoted)
    assert design["garlands"][0]["fullness"] == 0.55, "theirs was not overwritten"
    assert design["palette"][0]["share"] == pytest.approx(0.5)


def test_undo_goes_back_and_the_page_offers_it_only_where_there_is_something(
    wickerlark: House, quoted: Quote
) -> None:
    assert 'id="undo"' not in page(wickerlark, quoted).content.decode()
    change(wickerlark, quoted, fullness="55")
    assert 'id="undo"' in page(wickerlark, quoted).content.decode()
    client = wickerlark.client()
    answer = client.post(wickerlark.url("quoting:quote-undo", quoted.pk), {"version": "2"}, headers=HTMX)
    assert answer.status_code == 200
    assert design_of(wickerlark, quoted)["garlands"][0].get("fullness", USUAL_FULLNESS) == USUAL_FULLNESS
    late = client.post(wickerlark.url("quoting:quote-undo", quoted.pk), {"version": "2"}, headers=HTMX)
    assert late.status_code == 422
    assert "in the meantime" in late.content.decode()


def test_a_free_line_is_added_and_taken_out(wickerlark: House, quoted: Quote) -> None:
    client = wickerlark.client()
    address = wickerlark.url("quoting:quote-add-line", quoted.pk)
    with wickerlark.enter():
        tax = taxes.taxes()[0].pk
    line = {"version": "1", "label": "Plinth <b>", "quantity": "2", "unit_price": "15.50", "tax_id": str(tax)}
    html = client.post(address, line, headers=HTMX).content.decode()
    assert "Plinth &lt;b&gt;" in html
    assert "31.00" in html
    with wickerlark.enter():
        (kept,) = quoted.free_lines.all()
    gone = client.post(
        wickerlark.url("quoting:quote-remove-line", quoted.pk, kept.pk), {"version": "2"}, headers=HTMX
    )
    assert "Plinth" not in gone.content.decode()


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"unit_price": "-9000"}, "below zero"),
        ({"unit_price": "ten"}, "no amount of money"),
        ({"quantity": "0"}, "greater than or equal to 0.001"),
        ({"label": ""}, "required"),
        ({"tax_id": "999999"}, "not one of the available choices"),
    ],
)
def test_a_wrong_line_keeps_what_was_typed(
    typed: dict[str, str], says: str, wickerlark: House, quoted: Quote
) -> None:
    with wickerlark.enter():
        tax = taxes.taxes()[0].pk
    line = {"version": "1", "label": "Gift", "quantity": "1", "unit_price": "1", "tax_id": str(tax)} | typed
    answer = wickerlark.client().post(wickerlark.url("quoting:quote-add-line", quoted.pk), line, headers=HTMX)
    assert answer.status_code == 422
    html = answer.content.decode()
    assert says in html
    assert 'value="Gift"' in html or typed.get("label") == ""


@pytest.mark.parametrize("junk", ["", "abc", "9" * 40, "-1", "1 OR 1=1", "\u0663"])
def test_junk_in_the_hidden_fields_is_no_server_error(junk: str, wickerlark: House, quoted: Quote) -> None:
    answer = change(wickerlark, quoted, version=junk, piece=junk)
    assert answer.status_code == 422
    undone = wickerlark.client().post(
        wickerlark.url("quoting:quote-undo", quoted.pk), {"version": junk}, headers=HTMX
    )
    assert undone.status_code == 422


def test_a_piece_higher_than_the_ceiling_is_told(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark, height_m=D("2.3"), ceiling_m=D("2.1"))
    assert "the ceiling is 6 ft 10¾ in" in page(wickerlark, quote).content.decode()


def test_the_way_there_makes_a_van_line(wickerlark: House, quoted: Quote) -> None:
    sent = {"version": "1", "distance": "11", "drive_minutes": "25", "trips": "2"}
    html = (
        wickerlark.client()
        .post(wickerlark.url("quoting:quote-way", quoted.pk), sent, headers=HTMX)
        .content.decode()
    )
    assert "11 miles there and back, twice" in html
    wrong = wickerlark.client().post(
        wickerlark.url("quoting:quote-way", quoted.pk), sent | {"version": "2", "trips": "999"}, headers=HTMX
    )
    assert wrong.status_code == 422
    assert 'value="999"' in wrong.content.decode()


def test_what_was_agreed_cannot_be_changed_on_the_page(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        scenes.set_state(quoted, QuoteState.AGREED)
    html = page(wickerlark, quoted).content.decode()
    assert "This quote can’t be changed any more" in html
    assert 'id="offer"' not in html
    answer = change(wickerlark, quoted, fullness="40")
    assert answer.status_code == 422
    assert "was agreed" in answer.content.decode()


def test_staff_see_no_cost_no_margin_and_no_break_even(wickerlark: House, quoted: Quote) -> None:
    owner = page(wickerlark, quoted).content.decode()
    staff = page(wickerlark, quoted, "staff").content.decode()
    swapped = change(wickerlark, quoted, "staff", fullness="80").content.decode()
    for word in ("margin", "break-even", "overhead", "mark-up", "Price breakdown", "cost of goods"):
        assert word in owner, word
        assert word not in staff, word
        assert word not in swapped, word
    total = re.search(r"tape-total.*?<td>(.*?)</td>", owner, re.DOTALL)
    assert total
    assert total[1] in staff


PAGES = ("quoting:quotes", "quoting:designs")


@pytest.mark.parametrize("name", [*PAGES, "quoting:quote", "quoting:quote-start"])
def test_crew_get_none_of_it(name: str, wickerlark: House, quoted: Quote) -> None:
    numbers = {"quoting:quote": (quoted.pk,), "quoting:quote-start": (quoted.event_id,)}
    answer = wickerlark.client("crew").get(wickerlark.url(name, *numbers.get(name, ())))
    assert answer.status_code == 403
    assert b"$" not in answer.content


def test_whoever_is_not_signed_in_is_sent_to_sign_in(wickerlark: House, quoted: Quote) -> None:
    assert Client().get(wickerlark.url("quoting:quote", quoted.pk)).status_code == 302


@pytest.mark.parametrize("name", ["quote", "quote-alter", "quote-undo", "quote-way", "quote-add-line"])
def test_another_studio_s_quote_is_not_found(
    name: str, wickerlark: House, federkorn: House, quoted: Quote
) -> None:
    client = federkorn.client()
    address = federkorn.url(f"quoting:{name}", quoted.pk)
    answer = client.get(address) if name == "quote" else client.post(address, {"version": "1"})
    assert answer.status_code == 404


@pytest.mark.parametrize("name", ["quote-remove-line", "quote-remove-piece", "quote-add-piece"])
def test_parts_that_are_not_there_are_not_found(name: str, wickerlark: House, quoted: Quote) -> None:
    address = wickerlark.url(f"quoting:{name}", quoted.pk, 987654)
    assert wickerlark.client().post(address, {"version": "1"}).status_code == 404


def test_a_get_changes_nothing(wickerlark: House, quoted: Quote) -> None:
    for name in ("quote-alter", "quote-undo", "quote-way", "quote-add-line"):
        assert wickerlark.client().get(wickerlark.url(f"quoting:{name}", quoted.pk)).status_code == 405


def counted(client: Client, address: str) -> int:
    """Queries of one page; the marks of a transaction's begin and end are none."""
    with CaptureQueriesContext(connection) as queries:
        assert client.get(address).status_code == 200
    marks = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE")
    return sum(not query["sql"].startswith(marks) for query in queries.captured_queries)


def with_line(quote: Quote) -> Quote:
    return sketch.add_free_line(
        quote.pk, label="Delivery", quantity=D(1), unit_price=D(5), tax_id=None, version=quote.version
    )


@pytest.mark.django_db(transaction=True)
def test_the_page_asks_the_database_as_often_with_more_on_it() -> None:
    wickerlark = people.wickerlark()
    with wickerlark.enter():
        quote = with_line(scenes.quote(wickerlark))
    client, address = wickerlark.client(), wickerlark.url("quoting:quote", quote.pk)
    few = counted(client, address)
    with wickerlark.enter():
        for _ in range(3):
            quote = sketch.add_piece(quote.pk, scenes.starter(wickerlark.studio).pk, version=quote.version)
        for _ in range(5):
            quote = with_line(quote)
    assert few == counted(client, address) <= MOST_QUERIES


def test_the_page_says_how_full_the_piece_came_out_beside_what_was_asked(
    wickerlark: House, quoted: Quote
) -> None:
    for asked in (30, 70, 95):
        shown = change(wickerlark, quoted, fullness=str(asked)).content.decode()
        found = re.search(rf"(\d+) % full \({asked} % asked\), at most (\d+) %", shown)
        assert found is not None
        assert abs(int(found[1]) - asked) <= 3
        assert int(found[1]) <= int(found[2]) < 97


def test_fuller_than_it_gets_is_refused_with_both_figures_which_are_known_before(
    wickerlark: House, quoted: Quote
) -> None:
    known = re.search(
        r'data-most="(\d+)"[^>]*id="sketch-fullness"', page(wickerlark, quoted).content.decode()
    )
    assert known is not None
    before = design_of(wickerlark, quoted)
    answer = change(wickerlark, quoted, fullness="97", loss="9")
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert f"This piece can&#x27;t be 97 % full. At most it gets {known[1]} %." in shown
    assert (fields(shown)["fullness"], fields(shown)["loss"]) == ("97", "9"), "what was typed stays"
    assert design_of(wickerlark, quoted) == before
    assert change(wickerlark, quoted, fullness=known[1]).status_code == 200


def test_a_kept_piece_that_asks_for_more_than_it_gets_opens_and_takes_other_changes(
    wickerlark: House, quoted: Quote
) -> None:
    with wickerlark.enter():
        piece = quoted.pieces.get()
        for garland in (*piece.design["garlands"], *piece.design["chosen"]["garlands"]):
            garland["fullness"] = 0.97
        piece.save()
    shown = page(wickerlark, quoted).content.decode()
    assert fields(shown)["fullness"] == "97"
    assert "(97 % asked)" in shown
    assert change(wickerlark, quoted, loss="9").status_code == 200
    assert design_of(wickerlark, quoted)["garlands"][0]["fullness"] == 0.97


def test_the_price_says_what_is_left_of_the_budget_or_how_far_it_is_above(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        total = sheet.read_sheet(quote, wickerlark.studio).tape.total
    client, page = wickerlark.client(), wickerlark.url("quoting:quote", quote.pk)
    assert not re.search(r">budget [\d.,]+", client.get(page).content.decode())
    for budget, said in ((total + 100, ", left"), (total - 30, ", over by")):
        with wickerlark.enter():
            keep_wishes(quote.event, Wished(budget=budget))
        shown = client.get(page).content.decode()
        row = re.split(r">budget [\d.,]+" + said, shown)[1].partition("</tr>")[0]
        assert ("100.00" if budget > total else "30.00") in row

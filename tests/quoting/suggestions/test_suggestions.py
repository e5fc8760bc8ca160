"""A set piece fitted to a budget and to the shelf: what is proposed is what is taken, at the total that was shown."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from quoting.models import Quote
from quoting.quotes import sheet, sketch
from quoting.set_pieces.worked import summed_up
from quoting.suggestions import budget as fitting
from quoting.suggestions import from_shelf
from stock.catalogue import items
from stock.catalogue.items import Material
from stock.holds import holds
from stock.ledger import movements
from stock.models import Item, Kind
from studio.trade.colour import lab_from_srgb, srgb_from_hex
from studio.trade.colour_difference import ciede2000
from tests.people import House
from tests.quoting import scenes
from tests.quoting.quote_page.test_quote_page import counted
from tests.worker import do_long_work

D = Decimal
HTMX = {"HX-Request": "true"}


@pytest.fixture
def quoted(wickerlark: House) -> Quote:
    with wickerlark.enter():
        return scenes.quote(wickerlark, width_m=D("2.9"), height_m=D("2.3"))


def total(house: House, quote: Quote) -> Decimal:
    with house.enter():
        found = sheet.find_quote(quote.pk).priced_total
    assert found is not None
    return found


def proposed(house: House, quote: Quote, budget: str, version: int = 1, role: str = "owner") -> Any:
    sent = {"version": version, "budget": budget}
    return answered(house, role, "quote-fit-budget", quote, sent)


def matched(house: House, quote: Quote, role: str = "owner") -> str:
    """The page after "Match stock"."""
    html: str = answered(house, role, "quote-fit-stock", quote, {"version": 1}).content.decode()
    return html


def answered(house: House, role: str, name: str, quote: Quote, sent: dict[str, Any]) -> Any:
    """What the page shows once the worker has worked it out; or at once, why it wasn't asked."""
    browser = house.client(role)
    answer = browser.post(house.url(f"quoting:{name}", quote.pk), sent, headers=HTMX)
    waiting = re.search(r'hx-get="([^"]+)"\s+hx-trigger="load', answer.content.decode())
    if waiting is None:
        return answer
    assert do_long_work(house) == 1
    return browser.get(waiting[1], headers=HTMX)


def cards(html: str) -> list[tuple[Decimal, str, dict[str, str]]]:
    """Total, address and hidden fields of every version that can be taken."""
    found = []
    for card in re.findall(r'<li\s+class="version.*?</li>', html, re.DOTALL):
        amount = re.search(r'class="money"\s*>\$([\d.,]+)<', card)
        address = re.search(r'hx-post="([^"]+)"', card)
        if amount and address:
            hidden = dict(re.findall(r'<input type="hidden"\s+name="([^"]+)"\s+value="([^"]*)"', card))
            found.append((D(amount[1].replace(",", "")), address[1], hidden))
    return found


@pytest.mark.parametrize("share", [D("0.9"), D("1.25")])
def test_every_version_keeps_to_the_budget_and_is_taken_at_the_total_that_was_shown(
    share: Decimal, wickerlark: House, quoted: Quote
) -> None:
    budget = round(total(wickerlark, quoted) * share, 2)
    html = proposed(wickerlark, quoted, str(budget)).content.decode()
    found = cards(html)
    assert 2 <= len(found) <= 4
    assert all(amount <= budget for amount, _, _ in found)
    assert len({tuple(sorted(fields.items())) for _, _, fields in found}) == len(found), "they differ"
    version = 1
    for amount, address, fields in found:
        taken = wickerlark.client().post(address, fields | {"version": version}, headers=HTMX)
        assert taken.status_code == 200
        assert total(wickerlark, quoted) == amount
        with wickerlark.enter():
            version = sketch.undo(quoted.pk, version=version + 1).version
        assert total(wickerlark, quoted) < budget or share < 1, "undo brings the sketch back"


def test_the_fullest_is_the_fullest_that_the_budget_buys(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        read = sheet.read_sheet(sheet.find_quote(quoted.pk), wickerlark.studio)
        (piece,) = read.pieces
        budget = read.whole_tape.total - 40
        found = fitting.fit(read, piece, budget)
        version = next(each for each in found.versions if each.name.startswith("Fullest"))
        assert version.change.fullness is not None
        fuller = [
            fitting.priced(read, piece, summed_up(fitting.shaped(piece, change, read.owned)))
            for change in (fitting.Change(fullness=version.change.fullness + more) for more in (1, 2, 4))
        ]
    assert version.total <= budget
    assert min(fuller) > budget, "nothing fuller is within it"


def test_a_budget_that_buys_none_says_so_and_what_the_least_is(wickerlark: House, quoted: Quote) -> None:
    html = proposed(wickerlark, quoted, "20").content.decode()
    assert "$20.00 buys no version of this design: the least that was found comes to $" in html
    assert cards(html) == []


@pytest.mark.parametrize(
    ("typed", "says"), [("", "required"), ("lots", "no amount of money"), ("-5", "At least")]
)
def test_a_wrong_budget_is_said_at_its_field_and_stays_typed(
    typed: str, says: str, wickerlark: House, quoted: Quote
) -> None:
    answer = proposed(wickerlark, quoted, typed)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert f'value="{typed}"' in answer.content.decode() or not typed


def test_a_late_fit_shows_how_the_quote_stands_now(wickerlark: House, quoted: Quote) -> None:
    answer = proposed(wickerlark, quoted, "500", version=7)
    assert answer.status_code == 422
    assert answer["HX-Retarget"] == "#quote"
    assert "in the meantime" in answer.content.decode()


@pytest.mark.parametrize(
    "fields", [{"fullness": "200"}, {"width_m": "-1"}, {"width_m": "59"}, {"fullness": "x"}]
)
def test_a_version_that_was_never_shown_is_refused_and_changes_nothing(
    fields: dict[str, str], wickerlark: House, quoted: Quote
) -> None:
    with wickerlark.enter():
        piece = quoted.pieces.get()
    address = wickerlark.url("quoting:piece-take-version", quoted.pk, piece.pk)
    answer = wickerlark.client().post(address, fields | {"version": "1"}, headers=HTMX)
    assert answer.status_code == 422
    with wickerlark.enter():
        assert sheet.find_quote(quoted.pk).version == 1


def test_fitting_a_budget_asks_the_database_no_more_often_than_the_page(
    wickerlark: House, quoted: Quote
) -> None:
    client, address = wickerlark.client(), wickerlark.url("quoting:quote-fit-budget", quoted.pk)
    of_the_page = counted(client, wickerlark.url("quoting:quote", quoted.pk))
    with CaptureQueriesContext(connection) as queries:
        client.post(address, {"version": 1, "budget": "500"}, headers=HTMX)
    marks = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE")
    assert sum(not query["sql"].startswith(marks) for query in queries.captured_queries) <= of_the_page


# --- The shelf ---


def short_of(code: str, left: int) -> None:
    """Let so many of an item be left."""
    item = Item.objects.get(code=code)
    movements.count(item.pk, left, key=f"count-{code}", reason="counted")


def near(name: str, hex_value: str, pieces: int = 100) -> None:
    """One more colour on the shelf, in every size of the design."""
    hue = items.add_colour(name=name.capitalize(), hex=hex_value, code=name)
    for size, bag in ((5, 100), (11, 100), (17, 50), (24, 50)):
        facts: dict[str, Any] = {"bag_size": bag, "bag_price": D(14)}
        scenes.put(items.add_item(kind=Kind.LATEX, colour=hue, size_in=size, **facts), pieces)


def proposal(house: House, quote: Quote) -> from_shelf.Answer:
    read = sheet.read_sheet(sheet.find_quote(quote.pk), house.studio)
    return from_shelf.propose(read, read.pieces[0], read.quote.event.hold_window(), besides=())


def test_nothing_is_proposed_where_all_is_free(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        found = proposal(wickerlark, quoted)
    assert (found.proposal, found.short) == (None, ())


def test_a_short_colour_gives_way_to_the_nearest_that_is_free(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        short_of("latex-11-ink", 0)
        near("midnight", "#2A3F50")
        near("slate", "#3E5566")
        found = proposal(wickerlark, quoted)
        assert found.short == ("Ink",)
        assert found.proposal is not None
        (swap,) = found.proposal.swaps
        assert (swap.old, swap.new) == ("ink", "midnight")
        lab = [lab_from_srgb(srgb_from_hex(each)) for each in ("#2E4454", "#2A3F50")]
        assert swap.difference == pytest.approx(float(ciede2000(*lab)), abs=0.05)
        assert found.proposal.bags == 1
        assert found.proposal.saved == D(14)
        assert found.proposal.still_short == ()


def test_what_is_held_for_others_is_not_free(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        short_of("latex-11-ink", 0)
        near("midnight", "#2A3F50")
        near("slate", "#3E5566")
        window = sheet.find_quote(quoted.pk).event.hold_window()
        taken = [Material(f"latex-{size}-midnight", 100) for size in (5, 11, 17, 24)]
        holds.hold(label="School ball", window=window, needs=taken, key="ball")
        found = proposal(wickerlark, quoted)
        assert found.proposal is not None
        assert [swap.new for swap in found.proposal.swaps] == ["slate"]


def test_open_bags_go_first_among_those_that_are_near_enough(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        short_of("latex-11-ink", 0)
        near("midnight", "#2A3F50", pieces=100)
        near("slate", "#3E5566", pieces=149)
        found = proposal(wickerlark, quoted)
        assert found.proposal is not None
        (swap,) = found.proposal.swaps
        assert (swap.new, swap.opened) == ("slate", True)
        assert "from opened bags" in swap.words


def test_too_different_a_colour_is_not_proposed(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        short_of("latex-11-ink", 0)
        near("coral", "#E8735A")
        found = proposal(wickerlark, quoted)
    assert found.short == ("Ink",)
    assert found.proposal is None


def test_the_proposal_is_taken_in_one_change_and_undone(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        short_of("latex-11-ink", 0)
        near("midnight", "#2A3F50")
    client = wickerlark.client()
    html = matched(wickerlark, quoted)
    assert "1 fewer bag to buy, $14.00" in html
    assert "ink&gt;midnight" in html
    with wickerlark.enter():
        piece = quoted.pieces.get()
    address = wickerlark.url("quoting:piece-take-colours", quoted.pk, piece.pk)
    taken = client.post(address, {"version": 1, "swap": "ink>midnight"}, headers=HTMX)
    assert taken.status_code == 200
    with wickerlark.enter():
        assert "midnight" in {colour["colour"] for colour in quoted.pieces.get().design["palette"]}
        sketch.undo(quoted.pk, version=2)
        assert quoted.pieces.get().design == piece.design


def test_staff_are_told_of_bags_but_not_what_they_cost(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        short_of("latex-11-ink", 0)
        near("midnight", "#2A3F50")
    html = matched(wickerlark, quoted, "staff")
    assert "1 fewer bag to buy" in html
    assert "$14.00" not in html


@pytest.mark.parametrize("swap", ["ink>nowhere", "nowhere>ink", "ink", ">", "<b>"])
def test_a_swap_that_was_never_proposed_is_refused(swap: str, wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        piece = quoted.pieces.get()
    address = wickerlark.url("quoting:piece-take-colours", quoted.pk, piece.pk)
    answer = wickerlark.client().post(address, {"version": 1, "swap": swap}, headers=HTMX)
    assert answer.status_code == 422
    with wickerlark.enter():
        assert sheet.find_quote(quoted.pk).version == 1


@pytest.mark.parametrize("name", ["quote-fit-budget", "quote-fit-stock"])
def test_crew_fit_nothing_and_strangers_find_nothing(
    name: str, wickerlark: House, federkorn: House, quoted: Quote
) -> None:
    address = wickerlark.url(f"quoting:{name}", quoted.pk)
    assert wickerlark.client("crew").post(address, {"version": 1}).status_code == 403
    assert federkorn.client().post(federkorn.url(f"quoting:{name}", quoted.pk)).status_code == 404


# --- While the worker works ---


def test_a_fit_can_be_stopped_and_a_newer_one_stops_the_one_before(wickerlark: House, quoted: Quote) -> None:
    browser = wickerlark.client()
    page = wickerlark.url("quoting:quote-fit-budget", quoted.pk)

    def ask(budget: str) -> tuple[str, str]:
        html = browser.post(page, {"version": 1, "budget": budget}, headers=HTMX).content.decode()
        result, stop = (re.search(rf'hx-{how}="([^"]+/fit/budget/[^"]+)"', html) for how in ("get", "post"))
        assert result
        assert stop
        return result[1], stop[1]

    first, _ = ask("500")
    second, stop = ask("600")
    assert "Stopped." in browser.get(first, headers=HTMX).content.decode()
    assert "<progress" in browser.get(second, headers=HTMX).content.decode()
    assert browser.post(stop, headers=HTMX)["Location"] == second
    do_long_work(wickerlark)
    html = browser.get(second, headers=HTMX).content.decode()
    assert "Stopped. Nothing was changed." in html
    assert cards(html) == []


def test_without_scripts_the_whole_page_waits_and_then_shows_the_versions(
    wickerlark: House, quoted: Quote
) -> None:
    browser = wickerlark.client()
    sent = {"version": 1, "budget": str(total(wickerlark, quoted) * 2)}
    address = browser.post(wickerlark.url("quoting:quote-fit-budget", quoted.pk), sent)["Location"]
    waiting = browser.get(address).content.decode()
    assert "<title>" in waiting
    assert f'<noscript><a href="{address}">Refresh</a></noscript>' in waiting
    do_long_work(wickerlark)
    assert cards(browser.get(address).content.decode())


def test_a_fit_of_a_quote_that_changed_meanwhile_shows_how_it_stands_now(
    wickerlark: House, quoted: Quote
) -> None:
    browser = wickerlark.client()
    page = wickerlark.url("quoting:quote-fit-budget", quoted.pk)
    address = browser.post(page, {"version": 1, "budget": "500"})["Location"]
    with wickerlark.enter():
        sketch.alter_piece(quoted.pk, quoted.pieces.get().pk, {"loss": 0.2}, version=1)
    do_long_work(wickerlark)
    answer = browser.get(address, headers=HTMX)
    assert (answer.status_code, answer["HX-Retarget"]) == (422, "#quote")
    assert "in the meantime" in answer.content.decode()


def test_a_fit_of_another_quote_or_kind_is_found_nowhere(
    wickerlark: House, federkorn: House, quoted: Quote
) -> None:
    page = wickerlark.url("quoting:quote-fit-budget", quoted.pk)
    address = wickerlark.client().post(page, {"version": 1, "budget": "500"})["Location"]
    name = address.rstrip("/").rsplit("/", 1)[1]
    for house, quote, kind in (
        (wickerlark, quoted.pk, "stock"),
        (wickerlark, quoted.pk, "room"),
        (wickerlark, quoted.pk + 1, "budget"),
        (federkorn, quoted.pk, "budget"),
    ):
        foreign = house.url("quoting:fit-result", quote, kind, name)
        assert house.client().get(foreign).status_code == 404


def test_a_look_at_work_that_goes_on_reads_nothing_of_the_sheet(wickerlark: House, quoted: Quote) -> None:
    browser = wickerlark.client()
    page = wickerlark.url("quoting:quote-fit-budget", quoted.pk)
    address = browser.post(page, {"version": 1, "budget": "500"})["Location"]
    with CaptureQueriesContext(connection) as asked:
        assert "<progress" in browser.get(address, headers=HTMX).content.decode()
    assert not [
        each for each in asked if '"stock_item"' in each["sql"] or '"quoting_setpiece"' in each["sql"]
    ]
    with wickerlark.enter():
        sketch.alter_piece(quoted.pk, quoted.pieces.get().pk, {"loss": 0.2}, version=1)
    assert browser.get(address, headers=HTMX).status_code == 422, (
        "a change of the quote is told at the next look"
    )

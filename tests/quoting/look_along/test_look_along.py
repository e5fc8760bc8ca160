"""Look-along: the client sees the sketch as it changes and nothing else; colleagues see each other's changes."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from quoting.look_along import looking, presence
from quoting.models import Quote
from quoting.quotes import sheet, sketch
from studio.models import LinkPurpose, PublicLink
from studio.tenancy.shared_redis import shared_redis
from tests.people import House
from tests.quoting import scenes

D = Decimal
INTERNAL = ("margin", "break-even", "overhead", "mark-up", "cost", "free", "short", "Labor", "Van", "undo")
"""Words of the owner's page that a client must never read."""


@pytest.fixture
def quoted(wickerlark: House) -> Quote:
    with wickerlark.enter():
        return scenes.quote(wickerlark, width_m=D("2.9"), height_m=D("2.3"))


def let_look(house: House, quote: Quote, role: str = "owner") -> tuple[Client, str]:
    """The owner's browser after the button was pressed, and the link that it then shows."""
    owner = house.client(role)
    pressed = owner.post(house.url("quoting:quote-look", quote.pk))
    assert pressed.status_code == 302
    page = owner.get(house.url("quoting:quote", quote.pk)).content.decode()
    link = re.search(r'id="look-link" value="[^"]*?(/l/[^"]+)"', page)
    assert link, "the link stands on the page of the browser that asked for it"
    return owner, link[1]


def looked(link: str) -> tuple[Client, str, str]:
    """A client's browser on the page behind the link, the page's address, and the page."""
    browser = Client()
    moved = browser.get(link)
    assert moved.status_code == 302
    return browser, moved["Location"], browser.get(moved["Location"]).content.decode()


def mark_of(html: str) -> str:
    found = re.search(r'data-mark="([^"]*)"', html)
    assert found
    return found[1]


def test_the_client_sees_picture_and_total_and_nothing_internal(wickerlark: House, quoted: Quote) -> None:
    _, link = let_look(wickerlark, quoted)
    _, address, html = looked(link)
    assert re.fullmatch(r"/look/[0-9a-f]{12}/", address), "the address is clean of the token"
    assert "A draft, not an offer" in html
    assert 'class="set-piece"' in html
    assert "noindex" in html
    with wickerlark.enter():
        total = sheet.find_quote(quoted.pk).priced_total
    assert f"${total:,.2f}" in html
    text = re.sub(r"<svg.*?</svg>", "", html, flags=re.DOTALL)
    assert [word for word in INTERNAL if re.search(rf"\b{word}\b", text)] == []
    assert "wickerlark" not in text.lower().replace("wickerlark decor", ""), (
        "no address of the studio's own pages"
    )


def test_it_follows_each_change_and_answers_nothing_while_there_is_none(
    wickerlark: House, quoted: Quote
) -> None:
    _, link = let_look(wickerlark, quoted)
    browser, address, html = looked(link)
    still = browser.get(address + "now", {"seen": mark_of(html)})
    assert (still.status_code, still.content) == (204, b"")
    with wickerlark.enter():
        piece = quoted.pieces.get()
        sketch.alter_piece(quoted.pk, piece.pk, {"fullness": 0.6}, version=1)
    fresh = browser.get(address + "now", {"seen": mark_of(html)})
    assert fresh.status_code == 200
    assert "version 2" in fresh.content.decode()
    assert mark_of(fresh.content.decode()) != mark_of(html)
    assert "<html" not in fresh.content.decode()


def test_it_follows_the_set_piece_that_the_owner_talks_about(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        both = sketch.add_piece(quoted.pk, scenes.starter(wickerlark.studio).pk, version=1)
        first, second = both.pieces.order_by("position")
        sketch.alter_piece(quoted.pk, second.pk, {}, version=2, name="By the window")
    owner, link = let_look(wickerlark, quoted)
    owner.get(wickerlark.url("quoting:quote", quoted.pk), {"piece": second.pk})
    browser, address, html = looked(link)
    assert "<b>By the window</b>" in html
    owner.get(wickerlark.url("quoting:quote", quoted.pk), {"piece": first.pk})
    assert f"<b>{first.name}</b>" in browser.get(address + "now", {"seen": mark_of(html)}).content.decode()


def test_it_stops_when_the_owner_stops_it(wickerlark: House, quoted: Quote) -> None:
    owner, link = let_look(wickerlark, quoted)
    browser, address, html = looked(link)
    assert owner.post(wickerlark.url("quoting:quote-look-stop", quoted.pk)).status_code == 302
    gone = browser.get(address + "now", {"seen": mark_of(html)})
    assert gone.status_code == 404
    assert "has stopped sharing" in gone.content.decode()
    assert "<html" not in gone.content.decode(), "it takes the sketch's place on the page"
    assert browser.get(address).status_code == 404
    assert Client().get(link).status_code == 404
    page = owner.get(wickerlark.url("quoting:quote", quoted.pk)).content.decode()
    assert 'id="let-look"' in page
    assert 'id="look-link"' not in page


def test_it_ends_by_itself(wickerlark: House, quoted: Quote) -> None:
    _, link = let_look(wickerlark, quoted)
    browser, address, _ = looked(link)
    with wickerlark.enter():
        kept = PublicLink.objects.get(purpose=LinkPurpose.LOOK_ALONG)
        assert kept.expires_at - kept.made_at <= looking.LASTS + timedelta(seconds=5)
        PublicLink.objects.filter(pk=kept.pk).update(expires_at=timezone.now() - timedelta(seconds=1))
    assert browser.get(address).status_code == 404


def test_a_new_link_closes_the_one_before(wickerlark: House, quoted: Quote) -> None:
    _, first = let_look(wickerlark, quoted)
    _, second = let_look(wickerlark, quoted)
    assert first != second
    assert Client().get(first).status_code == 404
    looked(second)


def test_only_the_browser_that_asked_for_the_link_is_shown_it(wickerlark: House, quoted: Quote) -> None:
    _, link = let_look(wickerlark, quoted)
    other = wickerlark.client("staff").get(wickerlark.url("quoting:quote", quoted.pk)).content.decode()
    assert link not in other
    assert "The client can watch" in other
    with wickerlark.enter():
        kept = PublicLink.objects.get(purpose=LinkPurpose.LOOK_ALONG)
    assert link.rpartition("/")[2] not in (kept.token_hash, kept.handle), "the token itself is kept nowhere"


@pytest.mark.parametrize("address", ["/l/guess", "/look/0123456789ab/", "/look/0123456789ab/now"])
def test_a_guess_leads_nowhere(address: str, db: None) -> None:
    assert Client().get(address).status_code == 404


def test_a_link_to_an_offer_is_none_to_a_sketch_and_the_other_way_round(
    wickerlark: House, quoted: Quote
) -> None:
    _, link = let_look(wickerlark, quoted)
    token = link.rpartition("/")[2]
    assert Client().get(reverse("open-offer", args=[token])).status_code == 404


@pytest.mark.usefixtures("within_one_window")
def test_a_page_that_asks_without_end_is_told_to_wait(wickerlark: House, quoted: Quote) -> None:
    statuses = {Client().get("/look/0123456789ab/now").status_code for _ in range(301)}
    assert statuses == {404, 429}


def test_looking_along_costs_few_queries_whatever_there_is(wickerlark: House, quoted: Quote) -> None:
    _, link = let_look(wickerlark, quoted)
    browser, address, html = looked(link)
    with CaptureQueriesContext(connection) as still:
        browser.get(address + "now", {"seen": mark_of(html)})
    with CaptureQueriesContext(connection) as fresh:
        browser.get(address + "now", {"seen": "0-0"})
    marks = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE")
    counts = [
        sum(not query["sql"].startswith(marks) for query in each.captured_queries) for each in (still, fresh)
    ]
    assert counts[0] <= 6
    assert counts[1] <= 10


def pulse(house: House, quote: Quote, role: str, version: Any) -> dict[str, Any]:
    answer = house.client(role).get(house.url("quoting:quote-pulse", quote.pk), {"version": version})
    assert answer.status_code == 200
    found: dict[str, Any] = answer.json()
    return found


def test_colleagues_learn_who_is_here_and_what_was_changed(wickerlark: House, quoted: Quote) -> None:
    alone = pulse(wickerlark, quoted, "owner", 1)
    assert alone == {"version": 1, "words": "", "here": "", "looking": False}
    assert "is here too" in pulse(wickerlark, quoted, "staff", 1)["here"]
    with wickerlark.enter("staff"):
        sketch.alter_piece(quoted.pk, quoted.pieces.get().pk, {"fullness": 0.6}, version=1)
    told = pulse(wickerlark, quoted, "owner", 1)
    assert told["version"] == 2
    assert told["words"].endswith("Staff changed the fullness: this is version 2.")
    assert pulse(wickerlark, quoted, "owner", 2)["words"] == ""


def test_the_owner_learns_whether_the_client_looks(wickerlark: House, quoted: Quote) -> None:
    _, link = let_look(wickerlark, quoted)
    assert pulse(wickerlark, quoted, "owner", 1)["looking"] is False
    looked(link)
    assert pulse(wickerlark, quoted, "owner", 1)["looking"] is True


def test_whoever_goes_away_is_no_longer_here(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        assert presence.here(quoted.pk, person_id=1, name="Ines") == []
        shared_redis().hset(cache.make_key(f"here:{wickerlark.studio.pk}:{quoted.pk}"), "2", "1000.0 Teo")
        assert presence.here(quoted.pk, person_id=1, name="Ines") == []


def test_the_pulse_of_another_studios_quote_is_not_found(
    wickerlark: House, federkorn: House, quoted: Quote
) -> None:
    assert federkorn.client().get(federkorn.url("quoting:quote-pulse", quoted.pk)).status_code == 404
    assert federkorn.client().post(federkorn.url("quoting:quote-look", quoted.pk)).status_code == 404


def test_crew_neither_look_nor_let_look(wickerlark: House, quoted: Quote) -> None:
    crew = wickerlark.client("crew")
    assert crew.get(wickerlark.url("quoting:quote-pulse", quoted.pk)).status_code == 403
    assert crew.post(wickerlark.url("quoting:quote-look", quoted.pk)).status_code == 403

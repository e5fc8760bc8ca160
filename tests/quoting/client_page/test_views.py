"""The client's page: its link, what it shows, what it never shows, and how it answers."""

from __future__ import annotations

import gzip
import io
import re
import zipfile
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from events.models import Client as StudioClient
from events.models import Event, Stage
from quoting.models import Answer, AnswerKind, Offer, OfferState, Quote
from quoting.offers import offering
from quoting.offers import pdf as offer_pdf
from quoting.offers.document import read_offer, studio_part
from quoting.offers.document_presenter import present_offer
from quoting.quotes import sketch
from quoting.turning import in_room
from stock.catalogue.items import Material
from stock.holds import holds
from stock.ledger import movements
from stock.models import Item
from studio.models import LinkPurpose, OutboxEntry, PublicLink, Studio
from studio.people import public_links, rate_limit
from tests.people import House
from tests.quoting import offer_scenes, scenes
from tests.quoting.offer_scenes import as_shown, offered, open_link

pytestmark = pytest.mark.django_db


def text_of(content: bytes) -> str:
    """What a reader sees of a page: without tags, spaces as one."""
    bare = re.sub(r"<(svg|script)\b.*?</\1>", " ", content.decode(), flags=re.DOTALL)
    return " ".join(re.sub(r"<[^>]+>", " ", bare).replace("&amp;", "&").replace("&#x27;", "'").split())


def test_the_link_is_swapped_for_a_cookie_and_a_clean_address(wickerlark: House) -> None:
    made = offered(wickerlark)
    token = made.address.rsplit("/", 1)[1]
    browser, address = open_link(made.address)
    (cookie,) = browser.cookies.values()
    assert token not in address
    assert cookie["path"] == address
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"
    assert browser.get(address).status_code == 200


def test_the_page_says_that_delivery_is_included_only_where_the_price_has_it(wickerlark: House) -> None:
    with wickerlark.enter():
        near, unknown = scenes.quote(wickerlark), scenes.quote(wickerlark)
        Event.objects.filter(pk=unknown.event_id).update(venue=None)
        Quote.objects.filter(pk=unknown.pk).update(drive_minutes=0, distance_m=0)
    said = {}
    for quote in (near, unknown):
        browser, address = open_link(offered(wickerlark, quote).address)
        said[quote.pk] = text_of(browser.get(address).content)
    assert "Delivery, setup and take-down are included." in said[near.pk]
    assert "Delivery is not in this price." in said[unknown.pk]
    assert "Delivery, setup" not in said[unknown.pk]


def test_the_page_shows_what_was_frozen(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    page = browser.get(address)
    shown = present_offer(made.offer.frozen)
    seen = text_of(page.content)
    for words in (
        shown.event_title, shown.client, shown.total, shown.net, shown.deposit, shown.valid_until, shown.ready_by,
        *(line.amount for line in shown.lines), *(line.label for line in shown.lines),
        *(tax.amount for tax in shown.taxes), *shown.cautions, *shown.terms,
        *(f"{count.count} {count.label}" for piece in shown.pieces for count in piece.counts),
    ):  # fmt: skip
        assert " ".join(words.split()) in seen, words
    assert page.content.decode().count("<svg") >= len(shown.pieces)
    assert "Children under 8 yrs. can choke" in seen  # 16 CFR 1500.19(b)(2)
    assert "Local codes and licensed practice come first." in seen


def test_a_european_studio_warns_in_the_words_of_the_european_union(federkorn: House) -> None:
    browser, address = open_link(offered(federkorn).address)
    # Directive 2009/48/EC, EN 71-1; the German of packages under it, from memory.
    said = "Kinder unter acht Jahren können an nicht aufgeblasenen oder geplatzten Ballons ersticken."
    assert said in text_of(browser.get(address).content)


def test_a_client_who_reads_english_is_warned_in_english_by_a_german_studio(federkorn: House) -> None:
    with federkorn.enter():
        given = offer_scenes.quote(federkorn)
        StudioClient.objects.update(language="en")
    browser, address = open_link(offered(federkorn, given).address)
    # European Commission statement on balloons, October 2011.
    assert "Children under eight years can choke or suffocate" in text_of(browser.get(address).content)


def test_what_is_the_studios_own_is_not_on_the_page(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    page = browser.get(address).content.decode()
    for line in studio_part(read_offer(made.offer.frozen).quote).bill:
        assert line.code not in page
    for word in ("margin", "markup", "overhead", "Billowbook"):
        assert word not in text_of(page.encode())


def test_a_change_of_the_sketch_leaves_the_offered_page_as_it_was(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    before = text_of(browser.get(address).content)
    with wickerlark.enter():
        quote = Quote.objects.get(pk=made.offer.quote_id)
        sketch.set_way(quote.pk, distance_m=90_000, drive_minutes=80, trips=2, version=quote.version)
        Studio.objects.filter(pk=wickerlark.studio.pk).update(terms="Entirely other terms.")
    assert text_of(browser.get(address).content) == before


def test_opening_and_reading_changes_nothing(wickerlark: House) -> None:
    made = offered(wickerlark)

    def everything() -> list[Any]:
        with wickerlark.enter():
            models = (Offer, Answer, OutboxEntry, PublicLink, Quote, Event)
            return [sorted(map(str, model.objects.values_list())) for model in models]

    before = everything()
    browser, address = open_link(made.address)
    for path in ("", "paper", "offer.pdf", "agree", "decline", "change"):
        browser.get(address + path)
        browser.head(address + path)
    assert everything() == before


@pytest.mark.parametrize("path", ["agree", "decline", "change"])
def test_answers_are_taken_by_post_alone(wickerlark: House, path: str) -> None:
    browser, address = open_link(offered(wickerlark).address)
    assert browser.get(address + path).status_code == 405


def test_unknown_altered_and_closed_links_lead_nowhere_alike(wickerlark: House) -> None:
    made = offered(wickerlark)
    token = made.address.rsplit("/", 1)[1]
    with wickerlark.enter():
        offering.new_link(made.offer.pk)
    browser = Client()
    pages = [
        browser.get(reverse("open-offer", args=[each]))
        for each in ("x", "A" * 32, token[:-1] + ("a" if token[-1] != "a" else "b"), token, token * 40, "ü")
    ]
    assert {page.status_code for page in pages} == {404}
    assert len({text_of(page.content) for page in pages}) == 1
    assert "doesn't work" in text_of(pages[0].content)


def test_a_link_that_is_closed_while_the_page_is_open_is_closed_at_once(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    with wickerlark.enter():
        offering.new_link(made.offer.pk)
    assert browser.get(address).status_code == 404
    assert browser.post(address + "agree", as_shown(made.offer)).status_code == 404
    with wickerlark.enter():
        assert not Answer.objects.exists()


def test_one_link_does_not_open_another_offer(wickerlark: House, federkorn: House) -> None:
    mine, theirs = offered(wickerlark), offered(federkorn)
    browser, address = open_link(mine.address)
    _, foreign = open_link(theirs.address)
    stranger = Client()
    for path in ("", "paper", "offer.pdf", "logo.png"):
        assert browser.get(foreign + path).status_code == 404
        assert stranger.get(address + path).status_code == 404
    # A cookie under another offer's name opens nothing either.
    handle, other = (each.strip("/").split("/")[1] for each in (address, foreign))
    browser.cookies[f"link_{other}"] = browser.cookies[f"link_{handle}"].value
    assert browser.get(foreign).status_code == 404
    for path in ("agree", "decline", "change"):
        assert browser.post(foreign + path, as_shown(theirs.offer)).status_code == 404


@pytest.mark.parametrize(
    ("close", "said"),
    [
        ("lapse", "has expired"),
        ("replace", "was replaced"),
        ("withdraw", "was withdrawn"),
        ("decline", "was declined"),
    ],
)
def test_an_offer_that_is_over_says_so_and_shows_no_price(wickerlark: House, close: str, said: str) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    later = made.offer.expires_at + timedelta(minutes=1) if close == "lapse" else None
    with wickerlark.enter():
        if close == "replace":
            offering.offer(Quote.objects.get(pk=made.offer.quote_id), after_version=1)
        if close == "withdraw":
            offering.withdraw(made.offer.pk)
    if close == "decline":
        browser.post(address + "decline", {"decline-words": "No, thank you."})
    with time_machine.travel(later) if later else time_machine.travel(made.offer.offered_at, tick=True):
        page = browser.get(address)
        late = browser.post(address + "agree", as_shown(made.offer))
        wish = browser.post(address + "change", {"wish-words": "Bigger"})
    seen = text_of(page.content)
    assert page.status_code == 410
    assert said in seen
    assert present_offer(made.offer.frozen).total not in seen
    assert (late.status_code, wish.status_code) == (409, 409)
    assert said in text_of(late.content)
    with wickerlark.enter():
        assert not Answer.objects.exclude(kind=AnswerKind.DECLINED).exists()


def test_agreeing_on_the_page(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    answered = browser.post(address + "agree", as_shown(made.offer), REMOTE_ADDR="203.0.113.7")
    assert (answered.status_code, answered["Location"]) == (302, address)
    seen = text_of(browser.get(address).content)
    assert "Ada Adeyo agreed to this offer on" in seen
    assert present_offer(made.offer.frozen).total in seen
    with wickerlark.enter():
        answer = Answer.objects.get()
    assert (answer.name, answer.address, answer.user_agent) == (
        "Ada Adeyo",
        "203.0.113.7",
        "Harbour Browser 7",
    )


def test_the_form_on_the_page_carries_what_the_page_shows(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    form = re.search(
        r'<form[^>]*action="[^"]*agree".*?</form>', browser.get(address).content.decode(), re.DOTALL
    )
    assert form is not None
    fields = dict(re.findall(r'name="([^"]+)"[^>]*value="([^"]*)"', form[0]))
    filled = {**fields, "agree-name": "Ada Adeyo", "agree-ticked": "on"}
    assert browser.post(address + "agree", filled).status_code == 302


@pytest.mark.parametrize(
    ("left_out", "said"), [("agree-name", "Enter your name"), ("agree-ticked", "Tick this to agree.")]
)
def test_what_is_missing_is_said_at_its_field_and_what_was_typed_stays(
    wickerlark: House, left_out: str, said: str
) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    post = as_shown(made.offer)
    del post[left_out]
    page = browser.post(address + "agree", post)
    assert page.status_code == 422
    assert said in text_of(page.content)
    if left_out == "agree-ticked":
        assert 'value="Ada Adeyo"' in page.content.decode()
    with wickerlark.enter():
        assert not Answer.objects.exists()


@pytest.mark.parametrize(
    "changed",
    [
        {"total": "1"},
        {"version": "9"},
        {"version": "-1"},
        {"version": "9" * 40},
        {"digest": "x"},
        {"total": "\x00"},
    ],
)
def test_an_altered_form_agrees_to_nothing(wickerlark: House, changed: dict[str, str]) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    page = browser.post(address + "agree", as_shown(made.offer, **changed))
    assert page.status_code == 409
    seen = text_of(page.content)
    assert "page is out of date" in seen or "doesn't match your options" in seen
    with wickerlark.enter():
        assert not Answer.objects.exists()
        assert Offer.objects.get().state == OfferState.OPEN


def test_a_second_person_is_told_on_the_page(wickerlark: House) -> None:
    made = offered(wickerlark)
    ada, address = open_link(made.address)
    ben, _ = open_link(made.address, Client(headers={"user-agent": "Quay Browser 2"}))
    ada.post(address + "agree", as_shown(made.offer))
    page = ben.post(address + "agree", as_shown(made.offer, **{"agree-name": "Ben Adeyo"}))
    assert page.status_code == 409
    assert "Ada Adeyo has agreed to this offer already" in text_of(page.content)


def test_what_is_gone_since_is_said_on_the_page_and_the_studio_is_told(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    with wickerlark.enter():
        event = Event.objects.get(quotes=made.offer.quote_id)
        needs = [Material("frame-arch-7ft", 1)]
        holds.hold(label="Rowing club", window=event.hold_window(), needs=needs, key="rowing-club")
        movements.count(Item.objects.get(code="frame-arch-7ft").pk, 1, key="count-frames")
    page = browser.post(address + "agree", as_shown(made.offer))
    seen = text_of(page.content)
    assert page.status_code == 409
    assert "We can't confirm just yet." in seen
    assert "Wickerlark Decor has been told and will contact you" in seen
    assert "Arch frame 7ft" not in seen.split("confirm just yet.")[1].split("contact you")[0]
    with wickerlark.enter():
        assert not Answer.objects.exists()
        assert OutboxEntry.objects.get(task="studio.send_mail").arguments["template"] == "offer_gone"


def test_a_wish_is_passed_on_and_the_page_says_so(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    page = browser.post(address + "change", {"wish-words": "More ink <b>please</b>"}, follow=True)
    assert "Sent to Wickerlark Decor" in text_of(page.content)
    staff = wickerlark.client("staff").get(wickerlark.url("quoting:offer", made.offer.pk)).content.decode()
    assert "More ink &lt;b&gt;please&lt;/b&gt;" in staff
    empty = browser.post(address + "change", {"wish-words": " ", "wish-name": "Ada"})
    assert empty.status_code == 422
    assert 'value="Ada"' in empty.content.decode()


def test_the_pdf_is_said_to_be_on_its_way_and_then_is_there(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    waiting = browser.get(address + "paper").content.decode()
    assert "being made" in waiting
    assert f'hx-get="{address}paper"' in waiting
    assert browser.get(address + "offer.pdf").status_code == 302
    with wickerlark.enter():
        content = bytes(offer_pdf.make(made.offer.pk).content)
    there = browser.get(address + "paper").content.decode()
    assert f'href="{address}offer.pdf"' in there
    assert "hx-get" not in there
    file = browser.get(address + "offer.pdf")
    assert (file["Content-Type"], file.content) == ("application/pdf", content)
    assert file["Content-Disposition"] == f'attachment; filename="offer-{made.offer.reference}.pdf"'


def test_a_pdf_that_was_given_up_is_not_waited_for(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    with wickerlark.enter():
        OutboxEntry.objects.filter(task="quoting.render_offer_pdf").update(failed_at=made.offer.offered_at)
    assert "couldn't be made" in text_of(browser.get(address).content)


def test_the_page_takes_as_many_queries_for_three_pieces_as_for_one(wickerlark: House) -> None:
    with wickerlark.enter():
        quotes = [offer_scenes.quote(wickerlark), offer_scenes.quote(wickerlark, title="Bakery opening")]
        template = scenes.starter(wickerlark.studio)
        for _ in range(2):
            quotes[1] = sketch.add_piece(quotes[1].pk, template.pk, version=quotes[1].version)
    counts, page = [], None
    for quote in quotes:
        browser, address = open_link(offered(wickerlark, quote).address)
        with CaptureQueriesContext(
            connection,
        ) as captured:
            page = browser.get(address)
        counts.append(sum(query["sql"].startswith("SELECT") for query in captured.captured_queries))
        assert len(captured) <= 22  # with the savepoints and settings of its one transaction
    assert page is not None
    assert page.content.decode().count('class="show"') == 3
    assert counts[0] == counts[1]
    assert counts[0] <= 16


def test_two_pictures_on_one_page_have_gradients_of_their_own(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        quote = sketch.add_piece(quote.pk, scenes.starter(wickerlark.studio).pk, version=quote.version)
    browser, address = open_link(offered(wickerlark, quote).address)
    ids = re.findall(r'<(?:radial|linear)Gradient id="([^"]+)"', browser.get(address).content.decode())
    assert len(ids) == len(set(ids)) > 4


def test_the_first_view_is_small_and_reads_without_scripts_or_other_hosts(wickerlark: House) -> None:
    browser, address = open_link(offered(wickerlark).address)
    page = browser.get(address)
    html = page.content.decode()
    assert len(gzip.compress(page.content)) < 60_000
    assert not re.search(r'(?:src|href)="(?:https?:)?//', html)
    assert not re.search(r"<[^>]+\sstyle=", html)
    assert not re.search(r"<style\b|<script(?![^>]*\ssrc=)|\son\w+=|hx-on", html)
    assert "unsafe" not in page["Content-Security-Policy"]
    assert page["Cache-Control"] == "private, no-store"


@pytest.mark.usefixtures("within_one_window")
def test_too_many_tries_are_told_when_to_come_back(wickerlark: House) -> None:
    browser = Client()
    answers = [
        browser.get(reverse("open-offer", args=["x"])).status_code for _ in range(rate_limit.LINK.tries + 1)
    ]
    assert set(answers[:-1]) == {404}
    assert answers[-1] == 429
    made = offered(wickerlark)
    other, address = open_link(made.address, Client(REMOTE_ADDR="203.0.113.8"))
    posts = [
        other.post(address + "agree", {}, REMOTE_ADDR="203.0.113.8")
        for _ in range(rate_limit.ANSWER.tries + 1)
    ]
    assert posts[-1].status_code == 429
    assert posts[-1]["Retry-After"]


def test_forged_posts_from_elsewhere_are_refused(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address, Client(enforce_csrf_checks=True))
    assert browser.post(address + "agree", as_shown(made.offer)).status_code == 403
    with wickerlark.enter():
        assert not Answer.objects.exists()


def test_the_logo_is_the_studios_own(wickerlark: House) -> None:
    png = b"\x89PNG\r\n\x1a\n"
    with wickerlark.enter():
        Studio.objects.filter(pk=wickerlark.studio.pk).update(logo=png, logo_digest="d")
    browser, address = open_link(offered(wickerlark).address)
    assert f'src="{address}logo.png"' in browser.get(address).content.decode()
    logo = browser.get(address + "logo.png")
    assert (logo["Content-Type"], logo.content) == ("image/png", png)


def test_the_thread_shows_the_client_where_the_job_stands(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    assert re.search(
        r'aria-current="step".*?bead-name">offered', browser.get(address).content.decode(), re.DOTALL
    )
    browser.post(address + "agree", as_shown(made.offer))
    with wickerlark.enter():
        Event.objects.filter(quotes=made.offer.quote_id).update(stage=Stage.COUNTED_BACK)
    page = browser.get(address).content.decode()
    assert re.search(r'aria-current="step".*?bead-name">ready', page, re.DOTALL)
    assert "counted back" not in page


def room_addresses(browser: Client, address: str) -> list[str]:
    return re.findall(r'data-(?:glb|usdz)="([^"]+)"', browser.get(address).content.decode())


def test_a_phone_s_own_viewer_gets_the_model_without_a_cookie(wickerlark: House) -> None:
    browser, address = open_link(offered(wickerlark).address)
    glb, usdz = room_addresses(browser, address)
    viewer = Client()
    answer = viewer.get(glb)
    assert (answer.status_code, answer["Content-Type"], answer.content[:4]) == (
        200,
        "model/gltf-binary",
        b"glTF",
    )
    answer = viewer.get(usdz)
    assert (answer.status_code, answer["Content-Type"]) == (200, "model/vnd.usdz+zip")
    assert zipfile.ZipFile(io.BytesIO(answer.content)).namelist()[0] == "model.usda"


def test_a_model_is_given_for_an_hour_and_while_its_offer_s_link_is_open(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    glb, usdz = room_addresses(browser, address)
    viewer = Client()
    with time_machine.travel(timezone.now() + timedelta(minutes=59)):
        assert viewer.get(usdz).status_code == 200
    with time_machine.travel(timezone.now() + timedelta(minutes=61)):
        late = viewer.get(usdz)
        assert (late.status_code, late.content) == (410, b"This model is no longer shown.")
    with wickerlark.enter():
        public_links.revoke(LinkPurpose.OFFER, subject_id=made.offer.pk)
    assert [viewer.get(each).status_code for each in (glb, usdz)] == [410, 410]


def test_an_address_that_this_site_never_made_opens_no_model(wickerlark: House, federkorn: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    glb, _ = room_addresses(browser, address)
    viewer = Client()
    assert viewer.get(glb.replace("/m/", "/n/")).status_code == 404, "an offer's address opens no quote"
    assert viewer.get(glb[:5] + ("A" if glb[5] != "A" else "B") + glb[6:]).status_code == 404
    theirs = in_room.addresses("room-model", federkorn.studio.pk, made.offer.pk, 1)
    assert viewer.get(theirs.glb).status_code == 410, "another studio has no such offer"
    none = in_room.addresses("room-model", wickerlark.studio.pk, made.offer.pk, 7)
    assert viewer.get(none.glb).status_code == 404

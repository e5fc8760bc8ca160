"""The papers of an event: asked for by a press, made by the worker, opened by whoever may see the page."""

from __future__ import annotations

import re

import pytest
import time_machine
from django.utils import timezone

from events.loadout import ticks
from events.models import Event, LoadOutLine
from events.papers.papers import KINDS
from studio.models import OutboxEntry, StoredFile
from tests.events.conftest import agree, printed, said, stock_up, take, words_on
from tests.people import House
from tests.worker import print_papers


@pytest.fixture
def sheeted(wickerlark: House) -> Event:
    """An agreed event whose client has a telephone."""
    with wickerlark.enter():
        stock_up()
        event = take(client_phone="+1 617 555 0101")
        agree(event)
        event.refresh_from_db()
    return event


@pytest.mark.parametrize("kind", KINDS)
def test_the_page_itself_prints_nothing_the_worker_does(wickerlark: House, sheeted: Event, kind: str) -> None:
    browser = wickerlark.client("crew")
    ordered = browser.post(wickerlark.url("events:paper-make", sheeted.pk, kind))
    with wickerlark.enter():
        assert not StoredFile.objects.exists()
        assert OutboxEntry.objects.filter(task="studio.print_paper").count() == 1
    waiting = browser.get(ordered["Location"])
    assert "Making the PDF" in waiting.content.decode()
    to_open = ordered["Location"].rstrip("/") + ".pdf"
    assert browser.get(to_open)["Location"] == ordered["Location"], "back to waiting while there is none"
    assert print_papers(wickerlark) == 1
    assert f'href="{to_open}"' in browser.get(ordered["Location"]).content.decode()
    assert browser.get(to_open)["Content-Disposition"] == f'inline; filename="{kind}-{sheeted.pk}.pdf"'


@pytest.mark.parametrize("kind", KINDS)
def test_without_scripts_a_press_looks_again_until_the_paper_is_there(
    wickerlark: House, sheeted: Event, kind: str
) -> None:
    browser = wickerlark.client()
    address = browser.post(wickerlark.url("events:paper-make", sheeted.pk, kind))["Location"]
    again = f'<noscript><a href="{address}">Look again</a></noscript>'
    assert again in browser.get(address).content.decode()
    print_papers(wickerlark)
    page = browser.get(address).content.decode()
    assert again not in page
    assert f'href="{wickerlark.url(KINDS[kind].page, sheeted.pk)}"' in page, "a way back"


@pytest.mark.parametrize("kind", KINDS)
def test_with_scripts_the_button_becomes_the_wait_and_then_the_link(
    wickerlark: House, sheeted: Event, kind: str
) -> None:
    browser, by_script = wickerlark.client(), {"HX-Request": "true"}
    part = browser.post(
        wickerlark.url("events:paper-make", sheeted.pk, kind), headers=by_script
    ).content.decode()
    asks = re.search(r'hx-get="([^"]+)"', part)
    assert asks
    assert "<html" not in part
    print_papers(wickerlark)
    part = browser.get(asks[1], headers=by_script).content.decode()
    assert "Open the PDF" in part
    assert "hx-get" not in part
    assert 'id="paper-press"' in part, "what was pressed keeps the focus"


def test_it_says_what_was_known_when_it_was_asked_for(wickerlark: House, sheeted: Event) -> None:
    """A van is loaded by several phones: a tick in between must not take the paper away."""
    browser = wickerlark.client("crew")
    address = browser.post(wickerlark.url("events:paper-make", sheeted.pk, "load-out"))["Location"]
    with wickerlark.enter("crew"):
        line = LoadOutLine.objects.get(event=sheeted, code="greenery")
        ticks.save_ticks(sheeted.pk, [said(line, 7)])
    print_papers(wickerlark)
    text = words_on(browser.get(address.rstrip("/") + ".pdf").content)
    assert "Greenery" in text
    assert "7 in already" not in text
    assert "7 in already" in words_on(printed(wickerlark, browser, sheeted, "load-out"))


def test_crew_far_from_the_day_have_a_paper_without_the_clients_number(wickerlark: House) -> None:
    with wickerlark.enter():
        event = take(client_phone="+1 617 555 0101", days=30)
    crew, owner = (
        words_on(printed(wickerlark, wickerlark.client(role), event, "run-sheet"))
        for role in ("crew", "owner")
    )
    assert "555-0101" in owner
    assert "555-0101" not in crew


def test_two_presses_are_one_paper(wickerlark: House, sheeted: Event) -> None:
    browser = wickerlark.client()
    with time_machine.travel(timezone.now(), tick=False):
        for _ in range(2):
            browser.post(wickerlark.url("events:paper-make", sheeted.pk, "run-sheet"))
    assert print_papers(wickerlark) == 1


def test_an_unknown_paper_another_event_and_another_studio_are_not_found(
    wickerlark: House, federkorn: House, sheeted: Event
) -> None:
    browser = wickerlark.client()
    made = browser.post(wickerlark.url("events:paper-make", sheeted.pk, "run-sheet"))["Location"]
    digest = made.split("/")[-2]
    with wickerlark.enter():
        other = take("Supper")
    assert browser.post(wickerlark.url("events:paper-make", sheeted.pk, "menu")).status_code == 404
    for name in ("paper", "paper-open"):
        assert (
            browser.get(wickerlark.url(f"events:{name}", sheeted.pk, "run-sheet", "0" * 32)).status_code
            == 404
        )
        assert browser.get(wickerlark.url(f"events:{name}", other.pk, "run-sheet", digest)).status_code == 404
        assert (
            browser.get(wickerlark.url(f"events:{name}", sheeted.pk, "load-out", digest)).status_code == 404
        )
        theirs = federkorn.url(f"events:{name}", sheeted.pk, "run-sheet", digest)
        assert federkorn.client().get(theirs).status_code == 404

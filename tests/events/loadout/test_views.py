"""The load-out page: ticks as JSON and as pressed buttons."""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client as Browser
from django.utils import timezone

from events.jobs import calling_off
from events.models import Event, Tick
from tests.events.conftest import address, seen
from tests.people import House


def send(browser: Browser, house: House, event: Event, body: Any) -> Any:
    """Post ticks as the page's script does."""
    raw = body if isinstance(body, str) else json.dumps(body)
    return browser.post(address(house, "ticks", event), raw, content_type="application/json")


def tick_of(event: Event, house: House, code: str = "greenery", **more: Any) -> dict[str, Any]:
    """A tick as the page's script makes it."""
    with house.enter():
        line = event.load_out.get(code=code)
    made = {"uuid": str(uuid.uuid4()), "line": line.pk, "count": line.quantity, "phone": "p"}
    return {**made, "made_at": timezone.now().isoformat(), **more}


def test_ticks_are_kept_once_and_the_answer_tells_how_the_list_stands(
    wickerlark: House, agreed: Event
) -> None:
    browser, one = wickerlark.client("crew"), tick_of(agreed, wickerlark)
    for _ in range(3):
        answer = send(browser, wickerlark, agreed, {"ops": [one]}).json()
        assert answer["kept"] == [one["uuid"]]
        line = answer["lines"][str(one["line"])]
        assert (line["count"], line["by"], line["heads"]) == (12, "Wickerlark", [one["uuid"]])
        assert answer["hands"] == ["Wickerlark 1"]
    with wickerlark.enter():
        assert Tick.objects.count() == 1


def test_two_phones_see_each_others_ticks(wickerlark: House, agreed: Event) -> None:
    one, other = wickerlark.client("crew"), wickerlark.client("staff")
    send(one, wickerlark, agreed, {"ops": [tick_of(agreed, wickerlark, "ring-6ft")]})
    send(other, wickerlark, agreed, {"ops": [tick_of(agreed, wickerlark, "cover-oat")]})
    lines = one.get(address(wickerlark, "ticks", agreed)).json()["lines"]
    assert sorted(line["count"] for line in lines.values()) == [0] * 7 + [1, 1]


def test_a_foreign_line_among_ticks_is_named_and_the_rest_kept(wickerlark: House, agreed: Event) -> None:
    good, bad = tick_of(agreed, wickerlark), tick_of(agreed, wickerlark, line=10**9)
    answer = send(wickerlark.client("crew"), wickerlark, agreed, {"ops": [bad, good]}).json()
    assert answer["kept"] == [good["uuid"]]
    assert answer["refused"] == [{"uuid": bad["uuid"], "why": "This line isn’t on the list any more."}]


@pytest.mark.parametrize(
    "spoil",
    [
        lambda tick: "not json",
        lambda tick: "[]",
        lambda tick: {"ops": "x"},
        lambda tick: {"ops": [{}]},
        lambda tick: {"ops": [{**tick, "uuid": "x"}]},
        lambda tick: {"ops": [{**tick, "uuid": 7}]},
        lambda tick: {"ops": [{**tick, "line": "7"}]},
        lambda tick: {"ops": [{**tick, "line": 2**80}]},
        lambda tick: {"ops": [{**tick, "count": 1.5}]},
        lambda tick: {"ops": [{**tick, "made_at": "now"}]},
        lambda tick: {"ops": [{**tick, "made_at": "0001-01-01T00:00:00+14:00"}]},
        lambda tick: {"ops": [tick] * 501},
    ],
)
def test_what_is_no_tick_is_refused_and_nothing_kept(
    wickerlark: House, agreed: Event, spoil: Callable[[dict[str, Any]], Any]
) -> None:
    answer = send(wickerlark.client("crew"), wickerlark, agreed, spoil(tick_of(agreed, wickerlark)))
    assert answer.status_code in {200, 400}
    if answer.status_code == 200:
        assert answer.json()["kept"] == []
    with wickerlark.enter():
        assert not Tick.objects.exists()


def test_a_button_ticks_without_script(wickerlark: House, agreed: Event) -> None:
    browser = wickerlark.client("crew")
    sent = tick_of(agreed, wickerlark)
    pressed = {"tick": f"{sent['line']}:12:{sent['uuid']}"}
    for _ in range(2):
        page = browser.post(address(wickerlark, "ticks", agreed), pressed, follow=True)
        assert "1</span> of 9 in" in page.content.decode()
    counted_some = {"tick": f"{sent['line']}::{uuid.uuid4()}", f"some-{sent['line']}": "5"}
    page = browser.post(address(wickerlark, "ticks", agreed), counted_some, follow=True)
    assert "5 / 12" in page.content.decode()
    wrong = {"tick": f"{sent['line']}::{uuid.uuid4()}", f"some-{sent['line']}": "some"}
    page = browser.post(address(wickerlark, "ticks", agreed), wrong, follow=True)
    assert "Enter a whole number." in page.content.decode()


def test_the_list_of_a_called_off_event_says_so_and_takes_no_ticks_from_its_page(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        calling_off.call_off(agreed.pk)
    page = seen(wickerlark, "crew", agreed, "load-out")
    assert "This event was called off." in page
    assert "load_out.js" not in page

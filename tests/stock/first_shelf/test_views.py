"""The pages of the first shelf: what is typed stays, faults stand at their fields, costs are checked in one go."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest

from stock.models import Item
from tests.people import House

pytestmark = pytest.mark.django_db


def test_an_empty_shelf_leads_to_what_a_studio_has_and_then_to_its_costs(wickerlark: House) -> None:
    client = wickerlark.client()
    first = wickerlark.url("stock:first-shelf")
    assert first in client.get(wickerlark.url("stock:shelf")).content.decode()
    page = client.get(first).content.decode()
    for words in ("Arch frame 7 ft", "Eucalyptus garland", "Step ladder", "Oat", "11 in, bags of 100"):
        assert words in page
    said = {"count-frame-arch-7ft": "2", "sizes": ["11"], "colours": ["oat"], "bags": "1"}
    sent = client.post(first, said)
    assert sent["Location"] == wickerlark.url("stock:check-costs")
    costs = client.get(sent["Location"]).content.decode()
    assert "Arch frame 7 ft" in costs
    assert "a bag of 100" in costs
    with wickerlark.enter():
        frame, latex = Item.objects.get(code="frame-arch-7ft"), Item.objects.get(code="latex-11-oat")
    said = {f"cost-{frame.pk}": "140", f"cost-{latex.pk}": "14", f"checked-{latex.pk}": "on"}
    assert client.post(wickerlark.url("stock:check-costs"), said).status_code == 302
    with wickerlark.enter():
        frame.refresh_from_db()
        assert frame.unit_cost == Decimal(140)
        assert not Item.objects.filter(cost_is_usual=True).exclude(code="latex-260-oat").exists()


def test_colours_without_sizes_and_a_wrong_number_are_told_at_their_fields(wickerlark: House) -> None:
    said = {"count-frame-arch-7ft": "-1", "count-ladder-6ft": "two", "colours": ["oat"]}
    answer = wickerlark.client().post(wickerlark.url("stock:first-shelf"), said)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Tick the sizes that you have." in page
    assert "two" in page
    with wickerlark.enter():
        assert not Item.objects.exists()


def test_nothing_typed_is_told(wickerlark: House) -> None:
    answer = wickerlark.client().post(wickerlark.url("stock:first-shelf"), {})
    assert answer.status_code == 422
    assert "Tick what you have" in answer.content.decode()


def test_a_cost_that_is_checked_but_empty_is_told_and_what_was_typed_stays(wickerlark: House) -> None:
    client = wickerlark.client()
    client.post(wickerlark.url("stock:first-shelf"), {"count-ladder-6ft": "1", "count-hand-pump": "3"})
    with wickerlark.enter():
        ladder, pump = Item.objects.get(code="ladder-6ft"), Item.objects.get(code="hand-pump")
    said = {f"cost-{ladder.pk}": "", f"checked-{ladder.pk}": "on", f"cost-{pump.pk}": "5x"}
    answer = client.post(wickerlark.url("stock:check-costs"), said)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Enter what it costs." in page
    assert "5x" in page
    with wickerlark.enter():
        assert Item.objects.filter(cost_is_usual=True).count() == 2


def test_covers_without_frames_are_told_and_none_is_lost_in_silence(wickerlark: House) -> None:
    said = {"count-ladder-6ft": "1", "cover_colours": ["sage"]}
    answer = wickerlark.client().post(wickerlark.url("stock:first-shelf"), said)
    assert answer.status_code == 422
    assert "Enter how many frames you have" in answer.content.decode()
    with wickerlark.enter():
        assert not Item.objects.exists()


def test_all_costs_are_checked_in_one_act(wickerlark: House) -> None:
    client = wickerlark.client()
    client.post(wickerlark.url("stock:first-shelf"), {"count-ladder-6ft": "1", "count-hand-pump": "3"})
    with wickerlark.enter():
        ladder, pump = Item.objects.get(code="ladder-6ft"), Item.objects.get(code="hand-pump")
    said = {f"cost-{ladder.pk}": "92", f"cost-{pump.pk}": "", "all": "1"}
    assert client.post(wickerlark.url("stock:check-costs"), said).status_code == 302
    with wickerlark.enter():
        assert [item.code for item in Item.objects.filter(cost_is_usual=True)] == ["hand-pump"], (
            "it has no cost"
        )


def test_staff_set_up_the_shelf_and_see_no_costs(wickerlark: House) -> None:
    client = wickerlark.client("staff")
    sent = client.post(wickerlark.url("stock:first-shelf"), {"count-ladder-6ft": "1"})
    assert sent["Location"] == wickerlark.url("stock:shelf")
    assert client.get(wickerlark.url("stock:check-costs")).status_code == 403
    assert wickerlark.client("crew").get(wickerlark.url("stock:first-shelf")).status_code == 403


def test_a_small_studios_things_are_filled_in_and_added_as_they_stand(wickerlark: House) -> None:
    page = wickerlark.client().get(wickerlark.url("stock:first-shelf"), {"small": ""}).content.decode()
    sent: dict[str, list[str]] = {}
    for tag in re.findall(r"<input[^>]+>", page):
        said = dict(re.findall(r'(\w+)="([^"]*)"', tag))
        if said.get("value") and (said["type"] != "checkbox" or " checked" in tag):
            sent.setdefault(said["name"], []).append(said["value"])
    assert sent.pop("csrfmiddlewaretoken")
    assert sent["sizes"] == ["5", "11", "17", "24", "36"]
    assert wickerlark.client().post(wickerlark.url("stock:first-shelf"), sent).status_code == 302
    with wickerlark.enter():
        kinds = {item.kind for item in Item.objects.all()}
        assert kinds == {"frame", "cover", "latex", "260", "floral", "prop", "hardware", "tool"}
        assert Item.objects.filter(kind="latex").count() == 5 * 16
        assert not Item.objects.filter(cost_is_usual=False).exists()


def test_colours_of_one_size_have_one_cost_and_it_is_kept_for_each(wickerlark: House) -> None:
    client = wickerlark.client()
    said = {"count-frame-ring-6ft2": "1", "sizes": ["5", "11"], "colours": ["sage", "navy", "oat"], "bags": "2",
            "cover_colours": ["sage", "navy"]}  # fmt: skip
    client.post(wickerlark.url("stock:first-shelf"), said)
    page = client.get(wickerlark.url("stock:check-costs")).content.decode()
    for label in ("Latex 11 in, a bag of 100, 3 colors", "Cover for ring frame 6 ft 2 in, 2 colors"):
        assert page.count(label) == 1
    with wickerlark.enter():
        elevens = list(Item.objects.filter(kind="latex", size_in=11).order_by("name"))
    field = f"cost-{elevens[0].pk}"
    assert field in page
    client.post(wickerlark.url("stock:check-costs"), {field: "15.5"})
    with wickerlark.enter():
        prices = Item.objects.filter(size_in=11).values_list("bag_price", "cost_is_usual")
        assert set(prices) == {(Decimal("15.5"), False)}
        assert Item.objects.filter(size_in=5, cost_is_usual=False).count() == 0

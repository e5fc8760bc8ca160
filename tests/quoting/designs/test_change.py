"""A design changed by its form: looked at first, then kept; quotes drawn from it stay as they are."""

from __future__ import annotations

import re
from typing import Any

import pytest

from quoting.models import DesignTemplate
from tests.people import House
from tests.quoting import scenes

pytestmark = pytest.mark.django_db


def typed(html: str) -> dict[str, Any]:
    """What a browser would send back of the form."""
    form = html[html.index('name="name"') - 400 : html.index("Preview</button>")]
    found: dict[str, Any] = {}
    for tag in re.findall(r"<input[^>]*>", form):
        facts = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if facts.get("type") != "checkbox" or " checked" in tag:
            found[facts["name"]] = facts.get("value", "on")
    return found


def kept(house: House) -> DesignTemplate:
    with house.enter():
        return DesignTemplate.objects.get()


@pytest.fixture
def address(wickerlark: House) -> str:
    with wickerlark.enter():
        template = scenes.starter(wickerlark.studio)
        DesignTemplate.objects.update(is_starter=True)
    return wickerlark.url("quoting:design-change", template.pk)


def test_a_change_is_looked_at_first_and_kept_when_that_is_said(wickerlark: House, address: str) -> None:
    owner, before = wickerlark.client(), kept(wickerlark)
    sent = typed(owner.get(address).content.decode()) | {
        "fullness": "70",
        "share.oat": "50",
        "name": "Airy arches",
    }
    looked = owner.post(address, sent)
    assert looked.status_code == 200
    assert "not saved yet" in looked.content.decode()
    assert kept(wickerlark).design == before.design
    assert owner.post(address, {**sent, "keep": "1"}).status_code == 302
    after = kept(wickerlark)
    assert after.name == after.design["name"] == "Airy arches"
    assert "Airy arches" in after.alt
    assert after.design["garlands"][0]["fullness"] == pytest.approx(0.70)
    shares = {colour["colour"]: colour["share"] for colour in after.design["palette"]}
    assert sum(shares.values()) == pytest.approx(1)
    assert shares["oat"] == pytest.approx(50 / (50 + 100 - 100 * before.design["palette"][0]["share"]))
    assert after.picture != before.picture
    assert after.facts != before.facts
    assert after.made_at > before.made_at, "the old picture is kept by browsers under its day"
    assert not after.is_starter


def test_a_form_sent_back_untouched_changes_nothing_of_the_design(wickerlark: House, address: str) -> None:
    owner, before = wickerlark.client(), kept(wickerlark)
    sent = typed(owner.get(address).content.decode())
    assert owner.post(address, {**sent, "keep": "1"}).status_code == 302
    after = kept(wickerlark)
    assert (after.design, after.picture, after.is_starter) == (before.design, before.picture, True)


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("fullness", "140", "less than or equal to 97"),
        ("width_m", "wide", "is no length"),
        ("width_m", "40 ft", "No frame makes that width"),
        ("loss", "", "required"),
        ("seed", "-4", "greater than or equal to 0"),
        ("name", " ", "required"),
    ],
)
def test_what_can_not_be_is_said_at_its_field_and_all_that_was_typed_stays(
    wickerlark: House, address: str, field: str, value: str, says: str
) -> None:
    owner, before = wickerlark.client(), kept(wickerlark)
    sent = typed(owner.get(address).content.decode()) | {"recipes": "9", field: value, "keep": "1"}
    answer = owner.post(address, sent)
    html = answer.content.decode()
    assert answer.status_code == 422
    assert says in html
    assert typed(html)["recipes"] == "9"
    assert kept(wickerlark).design == before.design


def test_a_taken_name_and_a_stranger_are_refused(wickerlark: House, address: str) -> None:
    owner = wickerlark.client()
    sent = typed(owner.get(address).content.decode())
    with wickerlark.enter():
        other = DesignTemplate.objects.get()
        other.pk, other.name = None, "Another"
        other.save()
    answer = owner.post(address, {**sent, "name": "another", "keep": "1"})
    assert answer.status_code == 422
    assert "Choose a different name" in answer.content.decode()
    assert wickerlark.client("crew").get(address).status_code == 403

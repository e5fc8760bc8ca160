"""A studio's own colour on its clients' pages is legible whatever it is."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import tinycss2
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from studio.ui.brand import DARK_GROUNDS, LIGHT_GROUNDS, dark_tones, light_tones, stylesheet
from tests.people import House

CODES = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06X}")
LOOK = Path("studio/static/studio/css/look.css").read_text()


def ratio(one: str, other: str) -> float:
    """Contrast by the formula of WCAG 2.2, written out here on its own."""

    def luminance(code: str) -> float:
        shares = [int(code[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        linear = [share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


@given(CODES)
def test_any_color_is_legible_on_every_ground_and_under_its_ink(code: str) -> None:
    for tones, grounds in ((light_tones(code), LIGHT_GROUNDS), (dark_tones(code), DARK_GROUNDS)):
        assert all(ratio(tones.strong, ground) >= 4.499 for ground in grounds)
        assert all(ratio(tones.deep, ground) >= 4.499 for ground in grounds)
        assert ratio(tones.ink, tones.strong) >= 4.499


@given(CODES)
def test_a_legible_color_stays_as_it_is(code: str) -> None:
    if all(ratio(code, ground) >= 4.501 for ground in LIGHT_GROUNDS):
        assert light_tones(code).strong == code


def test_the_grounds_are_those_of_the_look() -> None:
    light, dark = LOOK.split("@media (prefers-color-scheme: dark)")[:2]
    for grounds, rules in ((LIGHT_GROUNDS, light), (DARK_GROUNDS, dark)):
        found = tuple(re.findall(r"--(?:paper|raised|tint): (#\w{6})", rules)[:3])
        assert found == grounds


@given(CODES)
def test_its_rules_are_read_by_a_parser_of_the_standard(code: str) -> None:
    # Read by tinycss2, an independent parser of CSS Syntax.
    rules = tinycss2.parse_stylesheet(stylesheet(code), skip_whitespace=True, skip_comments=True)
    assert [rule.type for rule in rules] == ["qualified-rule", "at-rule", "qualified-rule"]


def test_the_rules_come_without_a_cookie_and_are_kept(client: Client) -> None:
    answer = client.get("/brand/aa3355.css")
    assert answer.status_code == 200
    assert not answer.cookies
    assert "immutable" in answer["Cache-Control"]
    assert client.get("/brand/zz3355.css").status_code == 404


@pytest.mark.django_db
def test_the_owner_chooses_a_color_or_takes_it_away(wickerlark: House) -> None:
    browser = wickerlark.client()
    address = wickerlark.url("studio:profile")

    def save(code: str) -> Any:
        shown = browser.get(address).context["form"]
        values = {name: shown[name].value() or "" for name in shown.fields if not name.startswith("logo")}
        return browser.post(address, {**values, "brand_colour": code})

    assert save("#AA3355").status_code == 302
    with wickerlark.enter():
        assert type(wickerlark.studio).objects.get(pk=wickerlark.studio.pk).brand_colour == "#aa3355"
    assert "/brand/aa3355.css" in browser.get(address).content.decode()
    assert save("red").status_code == 422
    assert save("").status_code == 302
    assert "/brand/" not in browser.get(address).content.decode()

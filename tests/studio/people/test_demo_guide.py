"""The demo's sign-in says what to try, and whom it names can sign in; nowhere else does it stand."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

import quoting.demo
from studio.people.demo_guide import GUIDE

pytestmark = pytest.mark.django_db


def test_only_the_demo_says_what_to_try(settings: Any) -> None:
    assert "What to try here" not in Client().get("/account/login/").content.decode()
    settings.DEMO = True
    page = Client().get("/account/login/").content.decode()
    for one in GUIDE:
        assert f"Sign in as {one.name}" in page
        assert len(one.lines) == 5
        assert all(line.replace("'", "&#x27;") in page for line in one.lines)
    assert len(re.findall(r'name="csrfmiddlewaretoken"', page)) >= len(GUIDE)


def test_whom_it_names_belongs_to_the_demo_with_that_role() -> None:
    folder = Path(quoting.demo.__file__).parent
    people = tomllib.loads((folder / "wickerlark.toml").read_text(encoding="utf-8"))["studio"]["people"]
    known = {(person["role"], person["name"], person["email"]) for person in people}
    for one in GUIDE:
        assert (one.role.partition(":")[0].lower(), one.name, one.email) in known

"""Fixtures that every room's tests share."""

from __future__ import annotations

import gc
import logging
import secrets
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import hypothesis
import pytest
from django.core.cache import caches
from django.template.base import Template
from django.template.context import Context
from django.test.testcases import TransactionTestCase
from django.test.utils import _TestState
from django.utils import translation
from django.utils.safestring import SafeString
from pytest_django import Settings

from tests import database, people, pseudo
from tests.people import House

# A busy machine is no fault in a law: generated inputs are tried without a clock.
hypothesis.settings.register_profile("patient", deadline=None)
hypothesis.settings.register_profile("thorough", deadline=None, max_examples=2000)
hypothesis.settings.load_profile("patient")


class Loud(logging.Handler):
    """Makes a test fail of what is only logged in production."""

    def emit(self, record: logging.LogRecord) -> None:
        raise AssertionError(record.getMessage())


def pytest_collection_finish() -> None:
    """What is loaded by now stays: the garbage collector need not look through it again during the run."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 20)


@pytest.fixture(scope="session")
def django_db_setup(django_db_blocker: Any, request: pytest.FixtureRequest) -> Iterator[None]:
    """One database for each test process, made as production makes it."""
    worker = getattr(request.config, "workerinput", {}).get("workerid", "main")
    name = f"billowbook_test_{worker}"
    with django_db_blocker.unblock():
        database.make(name)
    yield
    with django_db_blocker.unblock():
        database.drop(name)


@pytest.fixture(autouse=True, scope="session")
def _empty_as_superuser() -> Iterator[None]:
    """After a transactional test the tables are emptied by the superuser: the app's role may not."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", lambda _: database.empty())
        yield


@pytest.fixture(autouse=True, scope="session")
def _whole_pages_are_noted(django_test_environment: None) -> Iterator[None]:
    """The test client notes what a page was given, not what each form field and included part of it was: noting those
    copies every context and takes a tenth of a page.
    """
    noted: Callable[[Template, Context], SafeString] = Template._render  # type: ignore[attr-defined] # no stubs
    saved = _TestState.saved_data  # type: ignore[attr-defined] # no stubs
    plain: Callable[[Template, Context], SafeString] = saved.template_render
    within = threading.local()

    def render(template: Template, context: Context) -> SafeString:
        if getattr(within, "page", False):
            return plain(template, context)
        within.page = True
        try:
            return noted(template, context)
        finally:
            within.page = False

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Template, "_render", render)
        yield


@pytest.fixture(autouse=True, scope="session")
def _quote_page_is_loud() -> Iterator[None]:
    """No test passes by a quote page that declares a name which nothing stands for."""
    log, loud = logging.getLogger("quoting.quote_page.sheet_answer"), Loud(logging.ERROR)
    log.addHandler(loud)
    yield
    log.removeHandler(loud)


@pytest.fixture(autouse=True)
def _own_corner_of_the_cache() -> None:
    """No test inherits the rate-limit counts of another, whichever process runs it."""
    caches["default"].key_prefix = f"test-{secrets.token_hex(6)}"


@pytest.fixture
def within_one_window(monkeypatch: pytest.MonkeyPatch) -> None:
    """However long a test takes to try too often, all its tries fall into one window of the limit."""
    monkeypatch.setattr("studio.tenancy.counters.time", lambda: 1_800_000_000.0)


@pytest.fixture
def marked(settings: Settings, tmp_path: Path) -> None:
    """German is the language in which every message of ours stands in brackets."""
    pseudo.write(tmp_path)
    settings.LOCALE_PATHS = [tmp_path]
    with translation.override("de"):
        assert translation.gettext("Agree") == "⟦Agree⟧"


@pytest.fixture
def wickerlark(db: None) -> House:
    """An imperial studio with its people."""
    return people.wickerlark()


@pytest.fixture
def federkorn(db: None) -> House:
    """A metric studio with its people."""
    return people.federkorn()

"""Pages are timed as the web server runs them."""

from __future__ import annotations

import gc
from collections.abc import Iterator

import pytest
from django.template.base import Template
from django.test.utils import _TestState


@pytest.fixture(autouse=True)
def _as_the_web_server(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """No template's context is copied, as Django's tests do; what is loaded by now is left out of every later
    collection, as in studio/wsgi.py.
    """
    monkeypatch.setattr(Template, "_render", _TestState.saved_data.template_render)  # type: ignore[attr-defined]
    gc.collect()
    gc.freeze()
    yield
    gc.unfreeze()

"""Django can read every template: its tags and filters are loaded where they are used."""

from __future__ import annotations

from pathlib import Path

from django.template import TemplateSyntaxError
from django.template.loader import get_template

TEMPLATES = Path(__file__).parents[3] / "templates"
SUFFIXES = {".html", ".txt"}


def test_every_template_can_be_read() -> None:
    names = [
        path.relative_to(TEMPLATES).as_posix() for path in TEMPLATES.rglob("*") if path.suffix in SUFFIXES
    ]
    assert "events/schedule/shift_times.html" in names
    assert [(name, fault) for name in sorted(names) if (fault := _fault(name))] == []


def _fault(name: str) -> str:
    try:
        get_template(name)
    except TemplateSyntaxError as error:
        return str(error)
    return ""

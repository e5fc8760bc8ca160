"""Names in any script have their letters on paper."""

from __future__ import annotations

import logging

import pytest
from weasyprint.logger import LOGGER

from studio.paper import pdf

NAMES = {
    "Greek": "Ελένη Παπαδοπούλου",
    "Cyrillic": "Ольга Щербакова",
    "Polish": "Łucja Żółć",
    "Vietnamese": "Nguyễn Thị Hương",
    "Armenian": "Անահիտ",
    "Georgian": "ნინო",
    "Arabic": "مريم الزهراء",
    "Hebrew": "נועה",
    "Hindi": "प्रिया शर्मा",
    "Thai": "สมชาย",
    "Chinese": "林美玲, 陈们龙",
    "Japanese": "さくら カナ 佐藤",
    "Korean": "김지우 한국",
}


def boxes(monkeypatch: pytest.MonkeyPatch, text: str) -> list[str]:
    """What WeasyPrint notes of letters that it must draw as empty boxes."""
    noted: list[str] = []
    handler = logging.Handler()
    monkeypatch.setattr(handler, "emit", lambda record: noted.append(record.getMessage()))
    page = f"<html lang=en><title>A name</title><h1>{text}</h1></html>"
    monkeypatch.setattr(pdf, "render_to_string", lambda template, context: page)
    level = LOGGER.level
    LOGGER.addHandler(handler)
    LOGGER.setLevel(logging.WARNING)
    try:
        assert pdf.rendered("any.html", {}).startswith(b"%PDF")
    finally:
        LOGGER.removeHandler(handler)
        LOGGER.setLevel(level)
    return [note for note in noted if "notdef" in note]


@pytest.mark.parametrize("script", NAMES)
def test_every_letter_of_a_name_is_found_in_a_font(script: str, monkeypatch: pytest.MonkeyPatch) -> None:
    assert not boxes(monkeypatch, NAMES[script])


def test_a_letter_that_no_font_has_is_noted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Otherwise the test above would see nothing."""
    assert boxes(monkeypatch, "\U000f1234")

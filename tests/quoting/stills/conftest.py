"""An installation that renders, without its renderer."""

from __future__ import annotations

import io
from typing import Any

import pytest
from PIL import Image

from quoting.stills import rendering
from quoting.stills.rendering import Rendered


def jpeg(width: int = 160, height: int = 125, colour: str = "#cc8844") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (width, height), colour).save(out, "JPEG")
    return out.getvalue()


@pytest.fixture
def renderer(settings: Any, monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """An installation that renders, and a renderer that paints one colour; what it was asked for."""
    asked: list[Any] = []

    def paint(files: Any, look: Any, progress: Any, **_: Any) -> Rendered:
        asked.append((files, look))
        progress(0.5)
        return Rendered(jpeg(), jpeg(80, 62))

    settings.STILLS = True
    monkeypatch.setattr(rendering, "rendered", paint)
    return asked

"""A studio's own colour on its clients' pages: as links, buttons and marks, always legible."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from django.template.loader import render_to_string

from studio.trade.colour import contrast

LEAST_CONTRAST: Final = 4.5
"""Of text with its ground. Source: WCAG 2.2, 1.4.3 (AA)."""
LIGHT_GROUNDS: Final = ("#FAF6EF", "#FFFFFF", "#F5EEE2")
DARK_GROUNDS: Final = ("#15191B", "#1E2427", "#2A3235")
"""What text stands on: paper, raised and tint of look.css."""
INKS: Final = ("#FFFFFF", "#0E1A1B")
STEPS: Final = 50
"""A colour goes towards black or white in so many steps."""


@dataclass(frozen=True, slots=True)
class Tones:
    """One colour as a page uses it."""

    strong: str
    """Links, buttons and marks."""
    deep: str
    """The same under a pointer."""
    ink: str
    """Text on a button of that colour."""


def light_tones(code: str) -> Tones:
    """A colour for light pages: itself, or as little darker as makes it legible.

    >>> light_tones("#0B5A5E").strong, light_tones("#FFE070").strong != "#FFE070"
    ('#0B5A5E', True)
    """
    return _tones(code, LIGHT_GROUNDS, "#000000")


def dark_tones(code: str) -> Tones:
    """A colour for dark pages: itself, or as little lighter as makes it legible.

    >>> dark_tones("#FFE070").strong
    '#FFE070'
    """
    return _tones(code, DARK_GROUNDS, "#FFFFFF")


def stylesheet(code: str) -> str:
    """The rules that put a colour in the place of ours, in light and dark."""
    return render_to_string("studio/ui/brand.css", {"light": light_tones(code), "dark": dark_tones(code)})


# --- Private ---


def _tones(code: str, grounds: tuple[str, ...], towards: str) -> Tones:
    mixed = [code.upper(), *(_mixed(code, towards, step / STEPS) for step in range(1, STEPS + 1))]
    first = next(step for step, each in enumerate(mixed) if _is_legible(each, grounds))
    strong = mixed[first]
    return Tones(
        strong, mixed[min(first + STEPS // 8, STEPS)], max(INKS, key=lambda ink: contrast(ink, strong))
    )


def _is_legible(code: str, grounds: tuple[str, ...]) -> bool:
    return all(contrast(code, ground) >= LEAST_CONTRAST for ground in grounds)


def _mixed(one: str, other: str, share: float) -> str:
    channels = [
        round(int(one[at : at + 2], 16) * (1 - share) + int(other[at : at + 2], 16) * share)
        for at in (1, 3, 5)
    ]
    return "#" + "".join(f"{channel:02X}" for channel in channels)

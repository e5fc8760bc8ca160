"""Drawings and words of the shelf."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any, Final

from django import template
from django.utils import timezone

from stock import weights
from stock.age import Layer
from stock.item_page import Step
from stock.models import Item
from stock.outlines import SHAPES

register = template.Library()

STRIP_LENGTH: Final = 100
LARGEST_BITE: Final = 0.6
"""Share of a drawn 260 that what is held takes at most, so that its colour stays to be seen."""

CHART_WIDTH: Final = 600
CHART_HEIGHT: Final = 60


@register.inclusion_tag("stock/partials/strip.html")
def strip(colour: str, free: int, held: int = 0, name: str = "") -> dict[str, Any]:
    """A 260: the number free beneath it, and as much of it left out as is held."""
    total = free + held
    share = min(held / total, LARGEST_BITE) if total else 1.0
    return {
        "colour": colour,
        "free": free,
        "held": held,
        "name": name,
        "whole": round(STRIP_LENGTH * (1 - share)),
    }


@dataclass(frozen=True, slots=True)
class Bar:
    """One step of the drawing of comings and goings, in its own units."""

    x: float
    y: float
    width: float
    height: float
    here: int


@register.inclusion_tag("stock/partials/comings.html")
def comings(steps: Sequence[Step], owned: int) -> dict[str, Any]:
    """How many are here over the coming weeks, as steps."""
    tallest = max(owned, 1)
    bars = [
        Bar(
            round(step.start * CHART_WIDTH, 1),
            round(CHART_HEIGHT * (1 - step.here / tallest), 1),
            round((step.end - step.start) * CHART_WIDTH, 1),
            round(CHART_HEIGHT * step.here / tallest, 1),
            step.here,
        )
        for step in steps
    ]
    least = min((step.here for step in steps), default=owned)
    return {"bars": bars, "owned": owned, "least": least, "width": CHART_WIDTH, "height": CHART_HEIGHT}


@register.filter
def weight(weight_kg: Decimal | None, units: str) -> str:
    """``14 lb``, ``6.4 kg``; nothing for no weight."""
    return "" if weight_kg is None else weights.written(weight_kg, units)


@register.filter
def past(layer: Layer, life_days: int) -> bool:
    """Whether what is left of an arrival is older than latex keeps."""
    return layer.at + timedelta(days=life_days) < timezone.now()


@register.filter
def shape_words(item: Item) -> str:
    """A frame's shape as people say it."""
    return SHAPES.get((item.outline or {}).get("shape", ""), "")

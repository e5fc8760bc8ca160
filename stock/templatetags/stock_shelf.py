"""Drawings and filters of the stock pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Final

from django import template
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from stock.care.shelf_life import Layer
from stock.catalogue.frame_outlines import shape_name
from stock.items.presenter import Step
from stock.models import Item
from stock.shelf.stock_levels import StockLevel
from studio.measures import weights
from studio.templatetags.studio_look import round_
from studio.tenancy import links

register = template.Library()

STRIP_LENGTH: Final = 100
STRIP_COURSE: Final = "M10 30C26 4 40 44 56 24S82 14 90 20"
LARGEST_BITE: Final = 0.6
"""Largest part of a drawn 260 that is left out for reserved pieces, so that its colour can be seen."""

CHART_WIDTH: Final = 600
CHART_HEIGHT: Final = 60


@register.simple_tag
def strip(colour: str, free: int, held: int = 0, name: str = "") -> SafeString:
    """A drawn 260 with the available number below it; the reserved part is left out."""
    total = free + held
    share = min(held / total, LARGEST_BITE) if total else 1.0
    whole = round(STRIP_LENGTH * (1 - share))
    return format_html(
        '<svg class="strip" viewBox="0 0 100 78" role="img" aria-label="{}260: {} free{}">'
        '<path class="strip-ring" d="{}" pathLength="100"/>'
        '<path d="{}" pathLength="100" stroke-dasharray="{} 100" stroke="#000" stroke-opacity=".18" stroke-width="15"/>'
        '<path d="{}" pathLength="100" stroke-dasharray="{} 100" stroke="{}" stroke-width="12.5"/>'
        '<path d="M13 25C20 14 27 14 33 19" stroke="#fff" stroke-opacity=".55" stroke-width="2.4"/>'
        '<text x="50" y="70" font-size="27">{}</text></svg>',
        f"{name}, " if name else "", free, f", {held} held" if held else "", STRIP_COURSE,
        STRIP_COURSE, whole, STRIP_COURSE, whole, colour, free,
    )  # fmt: skip


_NOT_KEPT: Final = mark_safe('<td><span class="not-kept" aria-hidden="true">·</span></td>')


@register.simple_tag
def shelf_cell(level: StockLevel | None) -> SafeString:
    """One cell of the latex table: the drawing, linked to its item, and below it what is reserved or short.

    A shelf has hundreds of cells, so they have no template of their own.
    """
    if level is None:
        return _NOT_KEPT
    item = level.item
    colour = item.colour
    assert colour is not None
    if item.size_in:
        drawing = round_(colour.hex, level.free, level.held, item.size_in, colour.name)
    else:
        drawing = strip(colour.hex, level.free, level.held, colour.name)
    words: SafeString | str = ""
    if level.missing:
        words = format_html('<span class="words-short"><strong>{} short</strong></span>', level.missing)
    elif level.promised:
        words = f"{level.promised} reserved"
    return format_html(
        '<td><a href="{}">{}</a><span class="round-words">{}</span></td>',
        links.to("stock:item", item.pk), drawing, words,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of the availability chart, in its own units."""

    x: float
    y: float
    width: float
    height: float
    here: int


@register.inclusion_tag("stock/items/availability_chart.html")
def availability_chart(steps: Sequence[Step], owned: int) -> dict[str, object]:
    """A chart of how many are here over the coming weeks."""
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
    """The weight in the studio's units: ``14 lb``, ``6.4 kg``; empty for None."""
    return "" if weight_kg is None else weights.written(weight_kg, units)


@register.filter
def past(layer: Layer, life_days: int) -> bool:
    """Whether an arrival of latex is past its shelf life."""
    return layer.at + timedelta(days=life_days) < timezone.now()


@register.filter
def shape_words(item: Item) -> str:
    """The name of a shape: of a frame, a prop or a foil balloon."""
    return shape_name((item.outline or {}).get("shape", ""))

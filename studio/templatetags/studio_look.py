"""The look in templates: thread, rounds, swatches, icons, the words of the masthead."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final

from django import template
from django.template.context import Context
from django.template.loader import get_template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from studio import tenancy
from studio.tenancy import links
from studio.tenancy.rights import Right, may
from studio.ui.balloon_svg import draw_round
from studio.ui.progress import Bead, BeadState, bead_places, string_path

register = template.Library()

THEMES: Final = ("light", "dark")
THEME_COOKIE: Final = "theme"

SLOT_HOURS: Final = 3
"""Length of one slot of the week strip, in hours; pieces.css has a rule for each of a week's slots."""
WEEK_SLOTS: Final = 7 * 24 // SLOT_HOURS

# ---- The frame ----


@dataclass(frozen=True, slots=True)
class Word:
    """One word of the masthead."""

    name: str
    address: str
    here: bool


_WORDS: Final = (
    ("Today", "events:week", Right.SEE_EVENTS, ("events:week",)),
    ("Calendar", "events:month", Right.SEE_EVENTS, ("events:",)),
    ("Quotes", "quoting:quotes", Right.SEE_QUOTES, ("quoting:",)),
    ("Stock", "stock:shelf", Right.SEE_SHELF, ("stock:",)),
    ("Designs", "quoting:designs", Right.SEE_QUOTES, ("quoting:design",)),
    ("Team", "events:crew", Right.SEE_EVENTS, ("events:crew", "events:plan", "events:van", "events:person")),
    ("Money", "quoting:invoices", Right.SEE_INVOICES, ("quoting:invoice", "quoting:receipt")),
)
"""Word, page, what one must be allowed to see, and the beginnings of the page names that light it up."""


@register.simple_tag(takes_context=True)
def masthead_words(context: Context) -> list[Word]:
    """The words that the present person may follow; the longest matching page name says where we are."""
    tenant = getattr(context.get("request"), "tenant", None)
    if tenant is None:
        return []
    match = context["request"].resolver_match
    here = _word_of(match.view_name if match else "")
    return [
        Word(name, address, here=name == here)
        for name, target, right, _ in _WORDS
        if may(tenant.role, right) and (address := _address(target))
    ]


_MENU: Final = (
    ("Find", "events:search", Right.SEE_EVENTS),
    ("Settings", "studio:profile", Right.EDIT_STUDIO),
    ("Portfolio", "events:portfolio", Right.EDIT_STUDIO),
    ("People", "studio:people", Right.MANAGE_PEOPLE),
    ("Activity log", "studio:audit", Right.SEE_AUDIT),
)


@register.simple_tag(takes_context=True)
def menu_pages(context: Context) -> list[Word]:
    """The pages of the person's menu that look after the studio itself, as far as the person may see them."""
    role = context["request"].tenant.role
    return [
        Word(name, address, here=False)
        for name, target, right in _MENU
        if may(role, right) and (address := _address(target))
    ]


@cache
def _word_of(page: str) -> str | None:
    fitting = [
        (len(start), name) for name, _, _, starts in _WORDS for start in starts if page.startswith(start)
    ]
    return max(fitting)[1] if fitting else None


def _address(target: str) -> str | None:
    """The address, or none where no studio is entered (an error page is drawn after the studio was left)."""
    try:
        return links.to(target)
    except tenancy.NoStudio:
        return None


@register.simple_tag
@cache
def same_everywhere(name: str) -> SafeString:
    """A template that says the same on every page, whoever looks: drawn once for as long as the process runs."""
    return mark_safe(get_template(name).render())  # noqa: S308 -- our own file


@register.simple_tag(takes_context=True)
def theme(context: Context) -> str:
    """``light`` or ``dark`` if the person chose one on this device, else nothing."""
    request = context.get("request")
    chosen = request.COOKIES.get(THEME_COOKIE, "") if request else ""
    return chosen if chosen in THEMES else ""


# ---- The thread ----


@register.inclusion_tag("studio/ui/_thread.html")
def thread(beads: Sequence[Bead], label: str = "Course of the job") -> dict[str, object]:
    """The whole thread, with names and dates."""
    return {"beads": beads, "path": string_path(len(beads)), "label": label}


@register.simple_tag
def thread_thin(beads: Sequence[Bead]) -> SafeString:
    """The thread as a small picture for a row, with the present stage as its description."""
    return _drawn_thin(tuple((bead.name, bead.state) for bead in beads)) if beads else mark_safe("")


# A week draws the same few courses for every event on it.
@lru_cache(maxsize=256)
def _drawn_thin(beads: tuple[tuple[str, BeadState], ...]) -> SafeString:
    width, height = 112.0, 14.0
    present = next((name for name, state in beads if state == "now"), beads[0][0])
    dots = format_html_join(
        "",
        '<circle class="bead-{}" cx="{}" cy="{}" r="{}"/>',
        (
            (state, f"{x:.1f}", f"{y:.1f}", "5.4" if state == "now" else "3.4")
            for (_, state), (x, y) in zip(
                beads, bead_places(len(beads), width=width, height=height), strict=True
            )
        ),
    )
    return format_html(
        '<svg class="thread-thin" viewBox="0 0 {} {}" role="img" aria-label="stage: {}">'
        '<path d="{}"/>{}</svg>',
        int(width),
        int(height),
        present,
        string_path(len(beads), width=width, height=height),
        dots,
    )


# ---- Colour on the shelf ----


_RING: Final = mark_safe('<circle class="round-ring" cx="50" cy="50" r="46"/>')
_SHINE: Final = mark_safe(
    '<path d="M22 33a33 33 0 0 1 17-15" fill="none" stroke="#fff" stroke-opacity=".62" stroke-width="5"'
    ' stroke-linecap="round"/>'
)


@register.simple_tag(name="round")
def round_(colour: str, free: int, held: int = 0, size_in: int = 11, name: str = "") -> SafeString:
    """A latex round of ``size_in`` inches: the number free inside, a bite out of it for what is held.

    A shelf shows hundreds of them, so they are written without a template of their own.
    """
    drawn = draw_round(colour, free, held)
    body = _RING if held or not drawn.path else ""
    if drawn.path:
        body = format_html(
            '{}<path d="{}" fill="{}" stroke="#000" stroke-opacity=".16"/>{}',
            body, drawn.path, drawn.fill, _SHINE,
        )  # fmt: skip
    x, y = (45, 68) if held and drawn.path else (50, 60)
    return format_html(
        '<svg class="round round-{}" viewBox="0 0 100 100" role="img" aria-label="{}{} in: {} free{}">{}'
        '<text x="{}" y="{}" font-size="{}" fill="{}">{}</text></svg>',
        size_in, f"{name}, " if name else "", size_in, free, f", {held} held" if held else "", body,
        x, y, 24 if free > 999 else 29, drawn.text, free,
    )  # fmt: skip


@register.simple_tag
@lru_cache(maxsize=512, typed=True)
def swatch(colour: str, words: str = "") -> SafeString:
    """A small round of one colour, to stand beside its name; ``words`` on tagged paper, where pictures need some."""
    return format_html(
        '<svg class="swatch" viewBox="0 0 24 24" aria-hidden="true">{}<circle cx="12" cy="12" r="11" fill="{}"'
        ' stroke="#000" stroke-opacity=".18"/><ellipse cx="8.6" cy="7.6" rx="3" ry="2.1" fill="#fff"'
        ' fill-opacity=".5" transform="rotate(-35 8.6 7.6)"/></svg>',
        format_html("<title>{}</title>", words) if words else "",
        colour,
    )


# ---- Icons of our own drawing, on a 24 by 24 box, one line thick ----

_ICONS: Final = {
    "tick": "M4.5 12.8l4.8 4.9L19.5 6.8",
    "short": "M12 4.2L21 19.6H3zM12 10v4.6M12 17.1v.1",
    "note": "M12 21a9 9 0 1 0 0-18 9 9 0 0 0 0 18zM12 11v5.6M12 7.4v.1",
    "no-signal": "M20.5 13.2A8.6 8.6 0 0 1 19.1 16.8M17.2 18.9A8.6 8.6 0 0 1 13.6 20.4"
    "M10.8 20.5A8.6 8.6 0 0 1 7.2 19.1M5.1 17.2A8.6 8.6 0 0 1 3.6 13.6"
    "M3.5 10.8A8.6 8.6 0 0 1 4.9 7.2M6.8 5.1A8.6 8.6 0 0 1 10.4 3.6"
    "M13.2 3.5A8.6 8.6 0 0 1 16.8 4.9M18.9 6.8A8.6 8.6 0 0 1 20.4 10.4",
    "undo": "M8.5 4.5L4 9l4.5 4.5M4.5 9H14a5.5 5.5 0 0 1 0 11h-4",
    "print": "M7 9V3.5h10V9M7 17.5H4V9.2h16v8.3h-3M7 14.5h10v6H7z",
    "phone": "M7.2 3.5h9.6v17H7.2zM11 17.8h2",
    "plus": "M12 4.5v15M4.5 12h15",
    "earlier": "M14.5 5L7.5 12l7 7",
    "later": "M9.5 5l7 7-7 7",
    "van": "M2.5 6h11.2v10.6H2.5zM13.7 9.5h4l3.8 3.8v3.3h-7.8M6.5 19.2a2 2 0 1 0 0-4 2 2 0 0 0 0 4z"
    "M17.4 19.2a2 2 0 1 0 0-4 2 2 0 0 0 0 4z",
    "find": "M10.5 17a6.5 6.5 0 1 0 0-13 6.5 6.5 0 0 0 0 13zM15.3 15.3l5.2 5.2",
    "key": "M8 16.5a4.5 4.5 0 1 0 0-9 4.5 4.5 0 0 0 0 9zM12.5 12H21v3.4M17.4 12v2.6",
}


@register.simple_tag
def icon(name: str) -> SafeString:
    """One of our drawings, the height of the text beside it; never without a word. Raises ``KeyError``."""
    return format_html(
        '<svg class="icon" viewBox="0 0 24 24" width="20" height="20" fill="none" stroke="currentColor"'
        ' stroke-width="1.9" stroke-linecap="round" stroke-linejoin="round" aria-hidden="true">'
        '<path d="{}"/></svg>',
        _ICONS[name],
    )


@register.simple_tag
def drawing(name: str) -> SafeString:
    """A drawing for an empty page, from templates/studio/ui/drawings; each knows light and dark."""
    return mark_safe(get_template(f"studio/ui/drawings/{name}.svg").render())  # noqa: S308 -- our own file


# ---- Notices ----


@register.filter
def is_bad_news(level: str) -> bool:
    """Whether a message tells of an error or a warning."""
    return level in {"error", "warning"}


@register.filter
def is_good_news(level: str) -> bool:
    """Whether a message tells that something worked."""
    return level == "success"


# ---- Devices ----

_BROWSERS: Final = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("Firefox", "Firefox"),
    ("FxiOS", "Firefox"),
    ("CriOS", "Chrome"),
    ("Chrome", "Chrome"),
    ("Safari", "Safari"),
)
_SYSTEMS: Final = (
    ("iPhone", "an iPhone"),
    ("iPad", "an iPad"),
    ("Android", "an Android device"),
    ("Windows", "Windows"),
    ("Macintosh", "a Mac"),
    ("Linux", "Linux"),
)


@register.filter
def device(user_agent: str) -> str:
    """``Firefox on a Mac`` out of what a browser says of itself; the first known name in each list wins."""
    browser = next((name for mark, name in _BROWSERS if mark in user_agent), "A browser")
    system = next((name for mark, name in _SYSTEMS if mark in user_agent), "an unknown device")
    return f"{browser} on {system}"


# ---- The week strip ----


@register.filter(expects_localtime=True)
def week_slot(value: dt.datetime, monday: dt.date) -> int:
    """Slot of the week strip that a moment falls in, kept inside the week: 0 at its start, 56 at its end."""
    hours = (value.date() - monday).days * 24 + value.hour + value.minute / 60
    return max(0, min(WEEK_SLOTS, int(hours // SLOT_HOURS)))

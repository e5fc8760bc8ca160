"""The quote page in fragments: after a change only those travel that say something else than the page shows.

A fragment declares what it shows, by the names of the page's context. It is rendered with that and nothing else, so
that nothing can be left out, and it is known by the digest of that. What stands outside of all fragments is the frame;
where the frame says something else, everything travels.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from functools import cache
from hashlib import blake2b
from typing import Final, TypeGuard

from django.db.models import Model
from django.forms import BaseForm, BoundField
from django.http import HttpRequest
from django.middleware.csrf import get_token
from django.template.loader import get_template
from django.utils.functional import SimpleLazyObject
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from quoting.quote_page.standing import Standing, StandingSketch

HEADER: Final = "X-Fragments"
"""What a page shows, as it says itself: ``frame:digest tape-lines:digest ...``."""
FRAME: Final = "frame"
_SHEET: Final = "quoting/quote_page/_sheet.html"
_SKETCH: Final = "quoting/quote_page/_piece_form.html"
_COUNTS: Final = "quoting/quote_page/_counts.html"
_TAPE: Final = "quoting/quote_page/_tape.html"


@dataclass(frozen=True, slots=True)
class Fragment:
    """A part of the page: the id of its element, its template, and what it shows."""

    name: str
    template: str
    shows: str
    when: str = ""
    """What has to be there for it to stand on the page."""
    brings: str = ""
    """What it shows as well and isn't known by: another fragment keeps that up to date where it stays."""


FRAGMENTS: Final = (
    Fragment(
        "quote-head", f"{_SHEET}#quote-head", "quote.changed_at saved_by studio can_undo quote.pk piece.pk"
    ),
    Fragment(
        "size-bench",
        f"{_SKETCH}#size-bench",
        "headline comes_out fullness_words bench.places bench.x bench.y bench.width bench.height bench.left"
        " bench.right bench.top bench.ground too_high may_edit quote.pk piece.pk"
        " form.height_m form.width_m form.non_field_errors",
        when="piece",
        brings="bench.picture",
    ),
    Fragment("balloon-colours", f"{_SKETCH}#balloon-colours", "bench.painted bench.words", when="piece"),
    Fragment("palette", f"{_SKETCH}#palette", "form.palette form.add_colour", when="piece"),
    Fragment("sizes", f"{_SKETCH}#sizes", "form.fullness form.sizes form.body_sizes", when="has_sizes"),
    Fragment("arrangement", f"{_SKETCH}#arrangement", "form.arrangement", when="piece"),
    Fragment("evenness", f"{_SKETCH}#evenness", "evenness", when="evenness"),
    Fragment(
        "frames-florals",
        f"{_SKETCH}#frames-florals",
        "form.frames form.add_frame form.florals form.sign",
        when="piece",
    ),
    Fragment("loss-crew", f"{_SKETCH}#loss-crew", "form.loss form.crew", when="piece"),
    Fragment("site-minds", f"{_SKETCH}#site-minds", "site.minds site.limits", when="has_site_minds"),
    Fragment("site-summary", f"{_SKETCH}#site-summary", "site.summary", when="piece"),
    Fragment("site-fields", f"{_SKETCH}#site-fields", "form.site", when="piece"),
    Fragment("site-cards", f"{_SKETCH}#site-cards", "site.cards", when="piece"),
    Fragment(
        "fit",
        "quoting/suggestions/_suggestions.html",
        "budget_form fit_waits fit_words versions proposal quote.pk piece.pk",
        when="may_fit",
    ),
    Fragment(
        "quote-versions",
        "quoting/variants/_strip.html",
        "strip may_edit quote.pk add_form name_form",
    ),
    Fragment("tape-lines", f"{_TAPE}#tape-lines", "tape parts inside may_edit quote.pk piece.pk"),
    Fragment("more-built", f"{_TAPE}#more-built", "built", when="built"),
    Fragment("unpriced", f"{_TAPE}#unpriced", "unpriced unpriced_words", when="unpriced"),
    Fragment("more-adjust", f"{_TAPE}#more-adjust", "adjust_form quote.pk piece.pk", when="may_edit"),
    Fragment("more-plan", f"{_TAPE}#more-plan", "plan_form studio quote.pk piece.pk", when="may_edit"),
    Fragment(
        "more-by-hand", f"{_TAPE}#more-by-hand", "by_hand_form quote.pk piece.pk", when="may_set_by_hand"
    ),
    Fragment("more-line", f"{_TAPE}#more-line", "line_form quote.pk piece.pk", when="may_edit"),
    Fragment(
        "more-options",
        "quoting/quote_page/_options.html",
        "options_form quote.pk piece.pk",
        when="may_mark_options",
    ),
    Fragment("more-way", f"{_TAPE}#more-way", "way_form quote.pk piece.pk", when="may_edit"),
    Fragment(
        "shelf-words",
        f"{_SHEET}#shelf-words",
        "event.pk event.ready_by event.tz is_loaded shelf has_missing may_edit crew_words hours quote.pk",
    ),
    Fragment("quote-bar", f"{_SHEET}#quote-bar", "bar offer may_edit"),
    Fragment("count-lines", f"{_COUNTS}#count-lines", "counts", when="piece"),
    Fragment("count-labor", f"{_COUNTS}#count-labor", "tasks", when="piece"),
)

OUTSIDE: Final = (
    "quote.pk quote.title quote.is_open quote.is_left_out event.pk event.ready_by event.tz event.venue.name"
    " event.ceiling_m event.is_off"
    " event.client.name event.client.phone event.client.email studio beads tabs piece.pk piece.name may_edit problem"
    " offer look may_copy stills_made tools form.size_errors form.more_errors form.site_errors"
)
"""What the page shows outside of the fragments, and whom and what they all depend on."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A fragment with its values."""

    fragment: Fragment
    values: dict[str, object]
    digest: str
    unknown: tuple[str, ...] = ()
    """Names that it declares and that nothing on the page stands for."""

    def render(self, request: HttpRequest, version: int, *, alone: bool) -> SafeString:
        """Its HTML; ``alone`` where it travels without the page and finds its place there."""
        mark = format_html(
            ' data-digest="{}"{}', self.digest, mark_safe(' hx-swap-oob="morph"') if alone else ""
        )
        quote = {**_mapping(self.values.get("quote")), "version": version}
        csrf_token = SimpleLazyObject(lambda: get_token(request))
        values = {**self.values, "quote": quote, "mark": mark, "csrf_token": csrf_token}
        return mark_safe(get_template(self.fragment.template).render(values))  # noqa: S308 # rendered, so escaped


def find_fragments(page: Mapping[str, object]) -> dict[str, Shown]:
    """The fragments that stand on a page with this context, by name."""
    found = {}
    for fragment in FRAGMENTS:
        if not fragment.when or page.get(fragment.when):
            known_by, unknown = _values(page, fragment.shows)
            digest = digest_of(known_by)
            if fragment.brings:
                _put(known_by, fragment.brings, _resolved(page, _parts(fragment.brings)))
            found[fragment.name] = Shown(fragment, known_by, digest, unknown)
    return found


@dataclass(frozen=True, slots=True)
class Frame:
    """What stands around the fragments, and which of them there are.

    ``unknown`` are names that it or a fragment declares and that nothing on the page stands for: what they were to show
    is missing on the page, and no digest knows of it.
    """

    digest: str
    unknown: tuple[str, ...]


def find_frame(page: Mapping[str, object], fragments: Mapping[str, Shown]) -> Frame:
    """The frame of a page with this context and these fragments."""
    outside, unknown = _values(page, OUTSIDE)
    missing = {*unknown, *(name for each in fragments.values() for name in each.unknown)}
    return Frame(digest_of([outside, list(fragments)]), tuple(sorted(missing)))


def read_header(request: HttpRequest) -> dict[str, str]:
    """The digests that the page says it shows; nothing for a page that says nothing."""
    pairs = (each.partition(":") for each in request.headers.get(HEADER, "").split())
    return {name: digest for name, _, digest in pairs}


def digest_of(values: object) -> str:
    """The digest of what is shown. What has no text of its own counts as changed, which is always safe."""
    return blake2b(repr(_plain(values)).encode(), digest_size=9).hexdigest()


# Private


def _values(page: Mapping[str, object], shows: str) -> tuple[dict[str, object], tuple[str, ...]]:
    """The values under these names, nested as the names are, and the names that nothing stands for."""
    found: dict[str, object] = {}
    unknown = []
    for path in shows.split():
        value = _resolved(page, _parts(path))
        if value is _UNKNOWN:
            unknown.append(path)
        elif value is not _NOTHING:
            _put(found, path, value)
    return found, tuple(unknown)


_PLAIN: Final = frozenset({str, SafeString, int, float, bool, type(None), Decimal, datetime})
"""Types whose text says what is shown; the quickest way for most values."""
_UNKNOWN: Final = object()
_NOTHING: Final = object()


@cache
def _parts(path: str) -> tuple[str, ...]:
    """A declared name, taken apart once."""
    return tuple(path.split("."))


def _resolved(page: Mapping[str, object], parts: Sequence[str]) -> object:
    """What a name stands for, looked up as a template does; ``_NOTHING`` where it hangs on something that is None, as
    an event without a venue has no name of it."""
    value: object = page
    for part in parts:
        if value is None:
            return _NOTHING
        value = value[part] if _holds(value, part) else getattr(value, part, _UNKNOWN)
        if value is _UNKNOWN:
            return value
        if callable(value) and not isinstance(value, Standing | StandingSketch):
            value = value()
    return value


def _holds(value: object, name: str) -> TypeGuard[Mapping[str, object]]:
    """Whether it has a key or a field of that name."""
    return (isinstance(value, dict | StandingSketch) and name in value) or (
        isinstance(value, BaseForm) and name in value.fields
    )


def _put(found: dict[str, object], path: str, value: object) -> None:
    """Nest a value as its name is."""
    *parents, last = _parts(path)
    place = found
    for parent in parents:
        inner = place.setdefault(parent, {})
        assert isinstance(inner, dict), f"{parent} is declared whole and in parts"
        place = inner
    place[last] = value


def _mapping(value: object) -> Mapping[str, object]:
    return value if isinstance(value, dict) else {}


def _plain(value: object) -> object:
    """The value with models, forms and fields as what they show, or as what they are made from."""
    if type(value) in _PLAIN:
        return value
    if isinstance(value, Standing):
        return value.known_by
    if isinstance(value, BoundField):
        return _field(value)
    if isinstance(value, BaseForm):
        return [_field(field) for field in value], list(value.non_field_errors())
    if isinstance(value, Model):
        return {name: each for name, each in vars(value).items() if name[0] != "_"}
    if isinstance(value, dict):
        return {name: _plain(each) for name, each in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    return value


def _field(bound: BoundField) -> tuple[object, ...]:
    field = bound.field
    attributes = getattr(field.widget, "attrs", None)
    choices = getattr(field, "choices", None)
    return (
        bound.html_name,
        bound.value(),
        list(bound.errors),
        attributes,
        list(choices) if choices else None,
        bound.label,
        bound.help_text,
        field.required,
        field.disabled,
    )

"""What a form is known by is all that it shows: through every kind of change, what is known the same looks the same."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from django.test import RequestFactory

from quoting.models import Quote, Rates
from quoting.quote_page import fragments
from quoting.quote_page.forms import SketchForm
from quoting.quote_page.sketch_fields import PARTS
from quoting.quote_page.standing import Standing
from quoting.quotes import sketch
from stock.models import Item
from studio.models import TaxRate
from tests.people import House
from tests.quoting import scenes
from tests.quoting.quote_page.test_fragments import alter, context_of, page_of, without_tokens
from tests.quoting.quote_page.test_quote_page import HTMX

SKETCHED: list[dict[str, Any]] = [
    {"loss": "9"}, {"crew": "3"}, {"fullness": "80"}, {"width_m": "9 ft"}, {"height_m": "7 ft"}, {"again": "1"},
    {"sizes": ["5", "17"]}, {"share": "52"}, {"swap": "-"}, {"add_colour": "-"}, {"pattern": "bands"},
    {"bands": "4"}, {"pattern": "scatter"}, {"recipes": "3"}, {"mirrored": "on"}, {"cover": "-"}, {"frame": "frame-"},
    {"add_frame": "frame-"}, {"floral": "40"}, {"site.temperature_c": "95"}, {"site.outdoors": "on"},
    {"site.steps": "12"},
]  # fmt: skip
"""Every kind of change to a set piece, at the first field of its kind. A dash is another choice that starts so."""
SAID: dict[str, dict[str, str]] = {
    "adjust": {"rush_percent": "10", "discount_percent": "5", "reason": "A friend"},
    "payment": {"deposit_percent": "30", "percent_1": "20", "due_on_1": "2027-01-01"},
    "way": {"distance": "11", "drive_minutes": "25", "trips": "2"},
    "add-line": {"label": "Plinth", "quantity": "1", "unit_price": "15"},
    "by-hand": {"key": "garland@0", "amount": "700", "reason": "As last year"},
    "options": {},
}
"""What is said of the quote beside its pieces, by the end of the address."""


@pytest.fixture
def quoted(wickerlark: House) -> Quote:
    with wickerlark.enter():
        return scenes.quote(wickerlark)


def test_what_is_known_the_same_looks_the_same_through_every_kind_of_change(
    wickerlark: House, quoted: Quote
) -> None:
    seen: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
    made: dict[str, set[str]] = defaultdict(set)
    request = RequestFactory().get("/")
    for _ in pages(wickerlark, quoted):
        page = context_of(wickerlark, quoted)
        with wickerlark.enter():
            found = fragments.find_fragments(page)
            frame = fragments.find_frame(page, found).digest
            for name, shown in found.items():
                html = without_picture(without_tokens(shown.render(request, 1, alone=False)))
                seen[f"{name} in {frame}", shown.digest].add(html)
                made[name].add(shown.digest)
    assert [name for (name, _), looks in seen.items() if len(looks) > 1] == []
    forms = {"palette", "sizes", "arrangement", "frames-florals", "loss-crew", "site-fields", "more-adjust",
        "more-plan", "more-by-hand", "more-options", "more-way", "more-line"}  # fmt: skip
    assert {name for name in forms if len(made[name]) < 2} == set(), "each form was changed"


def pages(house: House, quote: Quote) -> Iterator[None]:
    """After each change, the quote as it then stands."""
    yield None
    refused = []
    for typed in SKETCHED:
        page = page_of(house, quote)
        if alter(house, quote, page, **named_on(page, typed)).status_code != 200:
            refused.append(typed)
        yield None
    assert refused == []
    for end, typed in SAID.items():
        say(house, quote, end, typed)
        yield None
    for change in (reason_changed, shelf_changed, taxes_changed, rates_changed, piece_added):
        with house.enter():
            change(house, quote)
        yield None


def named_on(page: str, typed: dict[str, Any]) -> dict[str, Any]:
    """With the name of the first field of its kind, where only a kind is said."""
    (kind, value), *_ = typed.items()
    name = re.search(rf'name="({re.escape(kind)}(?:\.[\w-]+)?)"', page)
    assert name, kind
    return {name[1]: another(page, name[1], value) if isinstance(value, str) else value}


def another(page: str, name: str, value: str) -> str:
    """The value, or where it ends in a dash the last choice of the field that starts so and isn't chosen."""
    options = re.search(rf'<select name="{re.escape(name)}".*?</select>', page, re.DOTALL)
    if not options or not value.endswith("-"):
        return value
    found = re.findall(r'value="([^"]+)"(?! selected)', options[0])
    return str([each for each in found if each.startswith(value.removesuffix("-"))][-1])


def say(house: House, quote: Quote, end: str, typed: dict[str, str]) -> None:
    with house.enter():
        now = Quote.objects.get(pk=quote.pk)
        piece, tax = now.pieces.get(), TaxRate.objects.first()
    sent = {
        "version": str(now.version),
        "tax_id": str(tax.pk if tax else ""),
        f"piece-{piece.pk}": "on",
    } | typed
    answer = house.client().post(house.url(f"quoting:quote-{end}", quote.pk), sent, headers=HTMX)
    assert answer.status_code == 200, end


def reason_changed(_house: House, quote: Quote) -> None:
    Quote.objects.filter(pk=quote.pk).update(discount_reason="A neighbor")


def shelf_changed(_house: House, _quote: Quote) -> None:
    Item.objects.filter(code="frame-arch-8ft").update(name="Tall arch")
    Item.objects.filter(code="cover-arch-8ft-sage").update(name="Tall cover")


def taxes_changed(_house: House, _quote: Quote) -> None:
    TaxRate.objects.update(name="County tax")


def rates_changed(house: House, _quote: Quote) -> None:
    Rates.objects.update_or_create(studio=house.studio, defaults={"rush_percent": 33, "distance_unit": "km"})


def piece_added(house: House, quote: Quote) -> None:
    now = Quote.objects.get(pk=quote.pk)
    sketch.add_piece(quote.pk, scenes.starter(house.studio).pk, version=now.version)


def without_picture(html: str) -> str:
    """The bench without its picture, which it isn't known by: its colours are another fragment's."""
    return re.sub(r'<div class="size-picture">.*?</svg></div>', "", html, flags=re.DOTALL)


def test_a_part_made_by_itself_is_as_in_the_whole_form(wickerlark: House, quoted: Quote) -> None:
    page = context_of(wickerlark, quoted)
    with wickerlark.enter():
        whole = page["form"]()
        assert isinstance(whole, SketchForm)
        for part in PARTS:
            alone = page["form"]._make_part(part)
            own = [name for name in alone.fields if name not in ("version", "piece", "again")]
            assert [str(alone[name]) for name in own] == [str(whole[name]) for name in own]
        assert len(whole.fields) == 3 + sum(len(page["form"]._make_part(part).fields) - 3 for part in PARTS)


def test_a_form_is_made_once_and_only_where_it_is_shown() -> None:
    made: list[Decimal] = []

    def make() -> Decimal:
        made.append(Decimal(1))
        return made[-1]

    form = Standing(make, "loss", 9)
    assert fragments.digest_of(form) == fragments.digest_of(Standing(make, "loss", 9))
    assert fragments.digest_of(form) != fragments.digest_of(Standing(make, "loss", 8))
    assert made == []
    assert form() is form()
    assert made == [Decimal(1)]

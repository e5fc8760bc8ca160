"""Versions of a quote side by side."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from quoting.models import Offer, Quote
from quoting.offers.comparing import compared
from quoting.offers.document import QuoteDocument, read_offer
from quoting.offers.freezing import frozen_copy
from quoting.quotes import sheet
from quoting.set_pieces.size_bench import own_ids
from studio.people.gates import studio_page
from studio.tenancy.rights import Right

NOW = "now"


@require_safe
@studio_page(Right.OFFER)
def versions(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Any two of what was offered and the sketch as it stands, ``?before=`` and ``?after=``; at first the last two."""
    found = sheet.find_quote(quote_id)
    offers = {offer.version: offer for offer in found.offers.order_by("version")}
    names = {str(version): f"Offer {offer.reference}" for version, offer in offers.items()}
    if found.is_open:
        names[NOW] = "The quote now"
    last = list(names)[-2:]
    before = _chosen(request.GET.get("before"), names, last[0] if last else "")
    after = _chosen(request.GET.get("after"), names, last[-1] if last else "")
    context: dict[str, object] = {"quote": found, "names": names, "before": before, "after": after}
    if len(names) > 1:
        first, second = (_document(found, offers, which) for which in (before, after))
        context |= {
            "compared": compared(first, second),
            "before_name": names[before],
            "after_name": names[after],
            "pictures": [
                (names[before], _pictures(first, "before")),
                (names[after], _pictures(second, "after")),
            ],
        }
    return render(request, "quoting/offers/versions.html", context)


# Private


def _chosen(asked: str | None, names: dict[str, str], usual: str) -> str:
    return asked if asked in names else usual


def _document(quote: Quote, offers: dict[int, Offer], which: str) -> QuoteDocument:
    return frozen_copy(quote) if which == NOW else read_offer(offers[int(which)].frozen).quote


def _pictures(document: QuoteDocument, side: str) -> list[dict[str, str]]:
    return [
        {"name": piece.name, "svg": mark_safe(own_ids(piece.svg, f"{side}-{place}"))}  # noqa: S308 # Ours.
        for place, piece in enumerate(document.pieces)
    ]

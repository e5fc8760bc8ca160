"""Designs found by words, colours and tags, and what became of them: offers agreed, photos of the finished work."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from events.models import Photo
from quoting.models import DesignTemplate, Offer, OfferState, QuoteState, SetPiece
from studio.models import entered_studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right

MOST_WORDS: Final = 8
MOST_PHOTOS: Final = 12


@dataclass(frozen=True, slots=True)
class Found:
    """The designs that were asked for, and every tag of all designs with how many have it."""

    templates: Sequence[DesignTemplate]
    tags: Sequence[tuple[str, int]]


@dataclass(frozen=True, slots=True)
class Past:
    """The agreed offers that had a piece of a design, with the lowest and the highest of their totals."""

    offers: int
    lowest: Decimal
    highest: Decimal


def find(words: str = "", tag: str = "") -> Found:
    """The designs in use in which every word stands: in name, note, tags, colours or frames. One query.

    ``tag``: only designs that have it. Case makes no difference.
    """
    require(Right.SEE_QUOTES)
    everything = list(DesignTemplate.objects.filter(retired_at=None).defer("picture"))
    wanted = words.casefold().split()[:MOST_WORDS]
    tags = Counter(one for each in everything for one in tags_of(each))
    found = [
        each
        for each in everything
        if (not tag or tag.casefold() in tags_of(each)) and _has_all(_words_of(each), wanted)
    ]
    return Found(found, sorted(tags.items(), key=lambda pair: (-pair[1], pair[0])))


def tags_of(template: DesignTemplate) -> list[str]:
    """The tags of a design, in lower case."""
    return [str(one).casefold() for one in template.design.get("tags", ())]


def past_of(templates: Collection[DesignTemplate]) -> dict[int, Past]:
    """What agreed offers came to that had a piece of a design, by the design's id. One query.

    The total is that of the whole offer: other pieces may stand in it. Offers in a currency that the studio had before
    don't count.
    """
    require(Right.SEE_QUOTES)
    agreed = (
        Offer.objects.filter(
            state=OfferState.AGREED,
            currency=entered_studio().currency,
            quote__pieces__drawn_from__in=templates,
        )
        .values("quote__pieces__drawn_from", "pk", "total")
        .distinct()
    )
    totals: dict[int, list[Decimal]] = {}
    for row in agreed:
        totals.setdefault(row["quote__pieces__drawn_from"], []).append(row["total"])
    return {pk: Past(len(each), min(each), max(each)) for pk, each in totals.items()}


def photos_of(template: DesignTemplate) -> list[Photo]:
    """Photos from events whose agreed quote had a piece of this design, the latest first. One query."""
    require(Right.SEE_QUOTES)
    events = SetPiece.objects.filter(drawn_from=template, quote__state=QuoteState.AGREED).values(
        "quote__event"
    )
    return list(Photo.objects.filter(event__in=events).order_by("-made_at")[:MOST_PHOTOS])


# Private


def _words_of(template: DesignTemplate) -> str:
    design = template.design
    parts = [template.name, str(design.get("note", "")), *tags_of(template)]
    parts += [str(colour.get("name", "")) for colour in design.get("palette", ())]
    parts += [str(frame.get("label", "")) for frame in design.get("frames", ())]
    return " ".join(parts).casefold()


def _has_all(text: str, words: Collection[str]) -> bool:
    return all(word in text for word in words)

"""Look-along: while the call lasts, the client sees the sketch as it changes, through a link that ends by itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from django.db import transaction
from django.utils import timezone

from quoting.look_along import presence
from quoting.models import Quote, SetPiece
from studio.models import LinkPurpose, PublicLink
from studio.people import public_links
from studio.people.public_links import MadeLink
from studio.tenancy.access import require
from studio.tenancy.kept_query import Given, KeptQuery
from studio.tenancy.rights import Right

LASTS: Final = timedelta(hours=2)
"""A call is over by then."""
_OPEN_LINK: Final = KeptQuery(
    lambda: PublicLink.objects.filter(
        purpose=LinkPurpose.LOOK_ALONG,
        subject_id=Given("quote"),
        revoked_at=None,
        expires_at__gt=Given("now"),
    ).order_by("-pk")[:1]
)


@dataclass(frozen=True, slots=True)
class Seen:
    """What a client looks at: the quote, the piece that is talked about, and the names of all of them."""

    quote: Quote
    piece: SetPiece | None
    names: tuple[str, ...]
    mark: str
    """Changes whenever something to be seen does."""


def let_look(quote: Quote) -> MadeLink:
    """A link under which the client sees the sketch from now on; the one before is closed. Ends after :data:`LASTS`."""
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        public_links.revoke(LinkPurpose.LOOK_ALONG, subject_id=quote.pk)
        return public_links.make(
            LinkPurpose.LOOK_ALONG, subject_id=quote.pk, expires_at=timezone.now() + LASTS
        )


def stop(quote: Quote) -> None:
    """Close the link: the client's page says so within a second."""
    require(Right.EDIT_QUOTES)
    public_links.revoke(LinkPurpose.LOOK_ALONG, subject_id=quote.pk)


def find_open_link(quote_id: int) -> PublicLink | None:
    """The link by which a client may look along just now. One query."""
    return _OPEN_LINK.first(quote=quote_id, now=timezone.now())


def mark(quote_id: int) -> str | None:
    """What :class:`Seen` would carry as its mark, at the cost of one query; none for a quote that is gone."""
    version = Quote.objects.filter(pk=quote_id).values_list("version", flat=True).first()
    return None if version is None else f"{version}-{presence.on_bench(quote_id) or 0}"


def seen(quote_id: int) -> Seen | None:
    """The sketch as a client may see it: no cost, no margin, no stock, no names of the studio's people."""
    quote = (
        Quote.objects.select_related("event__venue", "studio")
        .defer("studio__logo")
        .filter(pk=quote_id)
        .first()
    )
    if quote is None:
        return None
    names = dict(SetPiece.objects.filter(quote_id=quote_id).values_list("pk", "name"))
    shown = presence.on_bench(quote_id)
    wanted = shown if shown in names else next(iter(names), None)
    piece = SetPiece.objects.filter(pk=wanted).first() if wanted else None
    return Seen(quote, piece, tuple(names.values()), f"{quote.version}-{shown or 0}")

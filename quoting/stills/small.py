"""Small pictures of set pieces, for lists: the lifelike one if there is one, else the drawing.

Each is a file of a few kilobytes under an address that carries what it shows: another picture is another address.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, TypeGuard

from django.core.cache import cache
from django.db.models import Case, QuerySet, Value, When
from django.http import Http404, HttpResponse
from PIL import Image

from events.progress.event_pictures import EventPicture
from quoting.models import Choice, QuoteState, SetPiece, Still, StillState
from quoting.prints.pictures import on_its_own
from quoting.stills import stills
from studio import tenancy
from studio.paper import raster
from studio.tenancy import links
from studio.tenancy.access import require
from studio.tenancy.rights import Right, may

WIDTH_PX: Final = 224
WIDE_PX: Final = 640
QUALITY: Final = 80
A_DAY: Final = 24 * 3600
FORM: Final = 2
"""Counted up when small pictures are made otherwise, so that their addresses change."""
COUNTS: Final = (QuoteState.AGREED, QuoteState.OFFERED, QuoteState.SKETCH)
"""Quotes that say what is built at an event; what comes first counts more."""


@dataclass(frozen=True, slots=True)
class SmallPicture:
    """A small picture by its address, and what it shows."""

    address: str
    alt: str


def of_quotes(quotes: Sequence[int]) -> dict[int, SmallPicture]:
    """By quote, the picture of its first piece. Two queries, three where one stands before a photo."""
    pieces = _visible().filter(quote__in=quotes).order_by("quote_id", *_first_of_a_quote())
    return _shown(pieces.distinct("quote_id"), "quote_id")


def of_events(events: Sequence[int]) -> dict[int, EventPicture]:
    """By event, the picture of what was agreed for it, else offered, else sketched last. Two or three
    queries."""
    pieces = _visible().filter(quote__event__in=events, quote__state__in=COUNTS)
    weight = Case(*(When(quote__state=state, then=Value(place)) for place, state in enumerate(COUNTS)))
    first = pieces.order_by("quote__event_id", weight, "-quote_id", *_first_of_a_quote())
    found = _shown(first.distinct("quote__event_id"), "quote__event_id")
    return {event: EventPicture(one.address, one.alt) for event, one in found.items()}


def event_of(piece_id: int, digest: str) -> int | None:
    """Which event a piece is built for, where whoever asks may see it."""
    return _visible().filter(pk=piece_id).values_list("quote__event_id", flat=True).first()


def response(piece_id: int, digest: str, *, wide: bool = False) -> HttpResponse:
    """The small picture of a piece, or one as wide as a column; kept by browsers where the address says what it shows.

    Raises ``Http404``.
    """
    require(Right.SEE_LOAD_OUT)
    piece = _visible().filter(pk=piece_id).first()
    if piece is None:
        raise Http404
    still = stills.of_piece(piece)
    now = _digest(stills.key_of_piece(piece), still)
    width_px = WIDE_PX if wide else WIDTH_PX
    key = f"small-{tenancy.current_studio_id()}-{now}-{width_px}"
    made = cache.get_or_set(key, lambda: _made(piece, still, width_px), A_DAY)
    answer = HttpResponse(made, content_type="image/webp")
    answer["Cache-Control"] = f"private, max-age={A_DAY}, immutable" if digest == now else "no-store"
    return answer


# Private


def _visible() -> QuerySet[SetPiece]:
    """Pieces that whoever acts may see a picture of: who sees no quotes sees those that were agreed."""
    role = tenancy.current().role
    if may(role, Right.SEE_QUOTES):
        return SetPiece.objects.all()
    agreed = SetPiece.objects.filter(quote__state=QuoteState.AGREED)
    return agreed if may(role, Right.SEE_LOAD_OUT) else agreed.none()


def _first_of_a_quote() -> tuple[Case, str]:
    """What is part of every version before what the client may leave out."""
    return Case(When(choice=Choice.FIXED, then=Value(0)), default=Value(1)), "position"


def _shown(pieces: QuerySet[SetPiece], stands_for: str) -> dict[int, SmallPicture]:
    """By what a piece stands for, its picture."""
    rows = list(pieces.values_list(stands_for, "pk", "name", *stills.SHOWN))
    keys = stills.keys_of(stills.Shown(*shows) for _, _, _, *shows in rows)
    found = stills.of_keys(keys)
    return {
        whose: SmallPicture(links.to("quoting:piece-small", pk, _digest(key, found.get(key))), name)
        for (whose, pk, name, *_), key in zip(rows, keys, strict=True)
    }


def _digest(key: str, still: Still | None) -> str:
    """What tells this picture of a piece from others."""
    kind = "still" if _is_ready(still) else "drawing"
    return hashlib.sha256(f"{FORM} {key} {kind}".encode()).hexdigest()[:16]


def _is_ready(still: Still | None) -> TypeGuard[Still]:
    return still is not None and still.state == StillState.READY


def _made(piece: SetPiece, still: Still | None, width_px: int) -> bytes:
    if _is_ready(still):
        content = bytes(stills.picture(still, small=True).content)
    else:
        content = raster.png(on_its_own(piece.picture), width_px=2 * width_px)
    with Image.open(io.BytesIO(content)) as image:
        whole = image.convert("RGB")
    whole.thumbnail((width_px, width_px))
    out = io.BytesIO()
    whole.save(out, "WEBP", quality=QUALITY)
    return out.getvalue()

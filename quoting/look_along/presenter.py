"""What the client's look-along page shows, and where the owner's browser keeps its address."""

from __future__ import annotations

from typing import Final

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from quoting.look_along.looking import LASTS, Seen
from quoting.models import SetPiece
from quoting.prints.pictures import on_its_own
from quoting.set_pieces.presenter import frame_words
from quoting.set_pieces.size_bench import bench
from studio.measures import lengths
from studio.models import Studio
from studio.money import amounts
from studio.people.public_links import MadeLink
from studio.tenancy import links
from studio.tenancy.links import absolute

SALT: Final = "quoting.look_along.page"


def context(seen: Seen, handle: str) -> dict[str, object]:
    """The page's context out of what a client may see."""
    quote, studio = seen.quote, seen.quote.studio
    piece = seen.piece
    return {
        "quote": quote,
        "event": quote.event,
        "studio": studio,
        "handle": handle,
        "mark": seen.mark,
        "piece": piece,
        "names": seen.names if len(seen.names) > 1 else (),
        "bench": bench(
            on_its_own(piece.picture), piece.takeoff, ceiling_m=quote.event.ceiling_m, units=studio.units
        )
        if piece
        else None,
        "facts": facts(piece, studio) if piece else [],
        "palette": piece.design["palette"] if piece else [],
        "total": amounts.written(quote.priced_total, studio.currency, studio.locale)
        if quote.priced_total is not None
        else "",
    }


def facts(piece: SetPiece, studio: Studio) -> list[str]:
    """Size, frames and balloons of a piece in words."""
    found = piece.takeoff
    size = " × ".join(lengths.written(side, studio.units) for side in (found.width_m, found.height_m))
    words = [f"{size} high"]
    if found.balloons:
        words.append(f"{found.balloons} balloons")
    if found.frames:
        words.append(frame_words(found.frames))
    return words


def keep_address(response: HttpResponse, quote_id: int, made: MadeLink) -> None:
    """Let the owner's browser remember the link's token, which is kept nowhere else, for as long as the link lasts."""
    response.set_signed_cookie(
        _cookie(made.link.handle),
        made.token,
        salt=SALT,
        path=links.to("quoting:quote", quote_id),
        max_age=int(LASTS.total_seconds()),
        httponly=True,
        secure=settings.SESSION_COOKIE_SECURE,
        samesite="Lax",
    )


def kept_address(request: HttpRequest, handle: str) -> str:
    """The link's whole address, where this browser asked for it; else nothing."""
    token = request.get_signed_cookie(_cookie(handle), default=None, salt=SALT)
    return absolute(reverse("open-look", args=[token])) if token else ""


# Private


def _cookie(handle: str) -> str:
    return f"look_{handle}"

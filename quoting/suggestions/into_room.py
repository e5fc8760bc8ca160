"""A set piece fitted into its site: which of the frames that are free fill it best, and why the others are refused."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from quoting.craft.change.room_check import Candidate, Clearances, Refusal, SiteFit, fit_site
from quoting.craft.design.records import Design
from quoting.craft.site.placing import Facts
from quoting.models import Quote, SetPiece
from quoting.quotes import sketch, stock_view
from quoting.set_pieces import measures
from quoting.set_pieces.alter import Owned, relabelled, sizes_for
from quoting.set_pieces.presenter import frame_words
from stock.catalogue.items import Material
from stock.holds import availability
from studio.tenancy.access import require
from studio.tenancy.rights import Right

MOST_TOLD: Final = 12
"""Candidates listed beside the chosen one."""
SIDES: Final = {"width_m": "wide", "height_m": "high", "depth_m": "deep with the gap to the wall"}


@dataclass(frozen=True, slots=True)
class Room:
    """What is clear at the site, and what stays free around the piece [m]."""

    width_m: Decimal
    height_m: Decimal
    depth_m: Decimal
    ceiling_m: Decimal
    wall_gap_m: Decimal
    sides_m: Decimal
    above_m: Decimal
    front_m: Decimal


@dataclass(frozen=True, slots=True)
class CandidateWords:
    """One other choice of frames: its size, and why it isn't taken."""

    frames: str
    size: str
    filled: str
    reasons: tuple[str, ...]


def room_of(quote: Quote, piece: SetPiece) -> Room:
    """What is known of the room: as the client asked and the venue has it, else as the design took for granted."""
    event, site = quote.event, piece.read_design().site
    ceiling = event.ceiling_m or (event.venue.ceiling_m if event.venue else None)
    nothing = Decimal(0)
    return Room(
        event.width_m or piece.width_m,
        event.height_m or ceiling or _short(site.ceiling_m),
        _short(site.depth_m),
        ceiling or _short(site.ceiling_m),
        _short(site.wall_gap_m),
        nothing,
        nothing,
        nothing,
    )


def free_frames(quote: Quote, piece: SetPiece, owned: Owned) -> dict[str, int]:
    """Frames free in the event's window by item code, without those that the quote's other pieces take.

    Five queries.
    """
    require(Right.SEE_SHELF)
    codes = [size.item for sizes in owned.frames.values() for size in sizes]
    if not codes:
        return {}
    asked = [Material(code, 1) for code in codes]
    window = quote.event.hold_window()
    held = stock_view.own_holds(quote)
    free = {need.code: need.free for need in availability.availability(asked, window, besides=held)}
    for other in quote.pieces.exclude(pk=piece.pk).values_list("design", flat=True):
        for frame in other.get("frames", []):
            if frame["item"] in free:
                free[frame["item"]] = max(0, free[frame["item"]] - 1)
    return free


def fit(piece: SetPiece, room: Room, owned: Owned, free: dict[str, int]) -> SiteFit:
    """The answer for a piece in a room. Raises ``DesignError`` where the design can't be built."""
    design = piece.read_design()
    frames = tuple(replace(frame, sizes=sizes_for(frame, owned)) for frame in design.frames)
    given: Facts = {
        name: float(getattr(room, name))
        for name in ("width_m", "height_m", "depth_m", "ceiling_m", "wall_gap_m")
    }
    placed = replace(design, frames=frames, site=replace(design.site, **given))
    kept_free = Clearances(**{name: float(getattr(room, name)) for name in ("sides_m", "above_m", "front_m")})
    # What the studio doesn't own keeps the sizes of its design: it shows as missing from the shelf, not here.
    strange = {size.item: 99 for frame in frames for size in frame.sizes if size.item not in free}
    return fit_site(placed, clearances=kept_free, owned={**strange, **free})


def take(quote_id: int, piece_id: int, design: Design, *, version: int) -> Quote:
    """Put what was chosen on the quote: one change that can be undone."""
    return sketch.redraw(
        quote_id, piece_id, relabelled(design, stock_view.owned()), what="fitted", version=version
    )


def owned_by_studio(quote: Quote, piece: SetPiece) -> tuple[Owned, dict[str, int]]:
    """What there is to build from, and how many of each frame are free. Five queries."""
    owned = stock_view.owned()
    return owned, free_frames(quote, piece, owned)


def words(candidate: Candidate, units: str) -> CandidateWords:
    """A candidate as the page lists it."""
    size = f"{measures.length(candidate.width_m, units)} × {measures.length(candidate.height_m, units)}"
    return CandidateWords(
        frame_words(candidate.frames) or "made to measure",
        size,
        f"{candidate.filled * 100:.0f} %",
        tuple(_reason(refusal, units) for refusal in candidate.refusals),
    )


# Private


def _reason(refusal: Refusal, units: str) -> str:
    if refusal.at not in SIDES:
        return refusal.words
    needed, there_is = (measures.length(length, units) for length in (refusal.needed, refusal.there_is))
    where = " under the ceiling" if refusal.by_ceiling else ""
    return f"comes out {needed} {SIDES[refusal.at]}; {there_is} is clear{where}"


def _short(metres: float) -> Decimal:
    return Decimal(str(round(metres, 4)))

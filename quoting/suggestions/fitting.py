"""Fitting a set piece to a budget, to the stock or to a room: asked for on a page, worked out by the worker."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final, TypeAlias

from django.core.exceptions import ValidationError

from quoting.craft.change.room_check import SiteFit
from quoting.craft.design.faults import DesignError
from quoting.models import SetPiece
from quoting.quotes import sheet, stock_view
from quoting.quotes.sheet import Sheet
from quoting.suggestions import budget, from_shelf, into_room
from quoting.suggestions.budget import Fitted
from quoting.suggestions.from_shelf import Answer
from quoting.suggestions.into_room import Room
from studio.models import entered_studio
from studio.outbox.long_work import LongWork, Progress, Work
from studio.tenancy.fair_share import FITS

GONE: Final = "That set piece is no longer in this quote."
MOVED: Final = "Somebody changed the quote in the meantime. This is how it is now; fit it again."


@dataclass(frozen=True, slots=True)
class PieceAsked:
    """A set piece of a quote as it stood when something was asked of it."""

    quote_id: int
    piece_id: int
    version: int


@dataclass(frozen=True, slots=True)
class BudgetAsked(PieceAsked):
    """What the whole quote may cost."""

    budget: Decimal


@dataclass(frozen=True, slots=True)
class RoomAsked(PieceAsked):
    """The room that the piece is to fill."""

    room: Room


BUDGET_FIT: Final = LongWork[BudgetAsked, Fitted]("quoting.fit_budget", FITS, seconds=3)
STOCK_FIT: Final = LongWork[PieceAsked, Answer]("quoting.fit_stock", FITS, seconds=1)
ROOM_FIT: Final = LongWork[RoomAsked, SiteFit]("quoting.fit_room", FITS, seconds=1)

FitWork: TypeAlias = Work[BudgetAsked, Fitted] | Work[PieceAsked, Answer]


def fit_budget(name: str) -> None:
    """Work out the versions that a budget buys. The worker calls this."""
    BUDGET_FIT.work_out(name, _fit_budget)


def fit_stock(name: str) -> None:
    """Work out the colors that are free on the day. The worker calls this."""
    STOCK_FIT.work_out(name, _fit_stock)


def fit_room(name: str) -> None:
    """Work out which frames fill a room best. The worker calls this."""
    ROOM_FIT.work_out(name, _fit_room)


# Private


def _fit_budget(asked: BudgetAsked, progress: Progress) -> Fitted:
    read, piece = _as_asked(asked)
    return budget.fit(read, piece, asked.budget, progress=progress)


def _fit_stock(asked: PieceAsked, _: Progress) -> Answer:
    read, piece = _as_asked(asked)
    held = stock_view.own_holds(read.quote)
    return from_shelf.propose(read, piece, read.quote.event.hold_window(), besides=held)


def _fit_room(asked: RoomAsked, _: Progress) -> SiteFit:
    read, piece = _as_asked(asked)
    owned, free = into_room.owned_by_studio(read.quote, piece)
    try:
        return into_room.fit(piece, asked.room, owned, free)
    except DesignError as error:
        raise ValidationError([str(fault) for fault in error.faults]) from error


def _as_asked(asked: PieceAsked) -> tuple[Sheet, SetPiece]:
    """The quote and the piece, if nobody changed them since."""
    read = sheet.read_sheet(sheet.find_quote(asked.quote_id), entered_studio())
    piece = next((each for each in read.pieces if each.pk == asked.piece_id), None)
    if piece is None:
        raise ValidationError(GONE)
    if read.quote.version != asked.version:
        raise ValidationError(MOVED)
    return read, piece

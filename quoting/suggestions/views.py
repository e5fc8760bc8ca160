"""Fitting a set piece to a budget or to the shelf: proposals beside the sketch, and taking one of them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from quoting.craft.design.records import Design
from quoting.models import SetPiece
from quoting.quote_page import presenter as desk
from quoting.quote_page import sheet_answer as page
from quoting.quotes import sheet, sketch
from quoting.quotes.sheet import Sheet
from quoting.set_pieces.alter import Owned
from quoting.suggestions import budget, from_shelf, presenter
from quoting.suggestions.forms import BudgetForm, VersionForm
from studio.people.gates import studio_page
from studio.tenancy.rights import Right

PART = "quoting/suggestions/_suggestions.html"
GONE = "That set piece is no longer in this quote."
MOVED = "The quote was changed meanwhile; this is how it stands now. Fit it again."


@require_POST
@studio_page(Right.EDIT_QUOTES)
def fit_budget(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Versions of the piece that a budget buys; nothing is changed yet."""

    def proposed(read: Sheet, piece: SetPiece) -> HttpResponse:
        form = BudgetForm(request.POST, studio=read.studio)
        if not form.is_valid():
            return _fit(request, read, piece, 422, budget_form=form)
        found = budget.fit(read, piece, form.cleaned_data["budget"])
        versions = presenter.version_cards(found, piece, read.studio)
        words = presenter.budget_words(found, read.studio)
        return _fit(request, read, piece, 200, budget_form=form, versions=versions, fit_words=words)

    return _proposing(request, quote_id, proposed)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def fit_shelf(request: HttpRequest, quote_id: int) -> HttpResponse:
    """The piece in colours that are free on the day; nothing is changed yet."""

    def proposed(read: Sheet, piece: SetPiece) -> HttpResponse:
        event = read.quote.event
        found = from_shelf.propose(read, piece, event.hold_window(), besides=event.hold_id)
        sees_costs: bool = request.tenant.can("SEE_COSTS")  # type: ignore[attr-defined]
        card = presenter.shelf_card(found, read, sees_costs=sees_costs)
        return _fit(request, read, piece, 200, proposal=card, fit_words=presenter.shelf_words(found))

    return _proposing(request, quote_id, proposed)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def take_version(request: HttpRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """Take one of the versions that a budget buys: one change, which undo takes back."""
    form = VersionForm(request.POST)
    if not form.is_valid():
        return page.refused(request, quote_id, "That version isn't one that was shown. Fit the budget again.")
    chosen = form.change

    def reshaped(piece: SetPiece, owned: Owned) -> Design:
        return budget.shaped(piece, chosen, owned)

    return page.act(
        request,
        quote_id,
        lambda found, version: sketch.reshape_piece(
            found,
            piece_id,
            reshaped,
            what="fitted a budget",
            version=version,
            width_m=chosen.width_m,
            height_m=chosen.height_m,
        ),
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def take_colours(request: HttpRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """Take the proposed colours: one change, which undo takes back."""
    swaps = [(old, new) for old, _, new in (each.partition(">") for each in request.POST.getlist("swap"))]

    def reshaped(piece: SetPiece, owned: Owned) -> Design:
        return from_shelf.swapped(piece, swaps, owned)

    return page.act(
        request,
        quote_id,
        lambda found, version: sketch.reshape_piece(
            found, piece_id, reshaped, what="fitted the shelf", version=version
        ),
        colours={new for _, new in swaps},
    )


# Private


def _proposing(
    request: HttpRequest, quote_id: int, proposed: Callable[[Sheet, SetPiece], HttpResponse]
) -> HttpResponse:
    found = sheet.find(quote_id)
    read = sheet.load(found, page.studio_of(request), pictures=False)
    piece = desk.shown(read.pieces, page.number(request.POST.get("piece")))
    if piece is None or page.number(request.POST.get("version")) != found.version:
        return page.refused(request, quote_id, GONE if piece is None else MOVED)
    return proposed(read, piece)


def _fit(request: HttpRequest, read: Sheet, piece: SetPiece, status: int, **context: Any) -> HttpResponse:
    whole = page.context(request, read.quote, piece_id=piece.pk) | context
    return page.answer(request, whole, status, part=PART)

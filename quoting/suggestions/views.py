"""Fitting a set piece to a budget or to the shelf: proposals beside the sketch, and taking one of them."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from quoting.craft.change.room_check import Candidate
from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import Design
from quoting.design_library import library
from quoting.models import SetPiece
from quoting.quote_page import presenter as desk
from quoting.quote_page import sheet_answer as page
from quoting.quote_page.forms import BudgetForm
from quoting.quotes import sheet, sketch, stock_view
from quoting.quotes.sheet import Sheet
from quoting.set_pieces.alter import Owned
from quoting.set_pieces.size_bench import bench
from quoting.set_pieces.worked import worked
from quoting.suggestions import budget, from_shelf, into_room, presenter
from quoting.suggestions.forms import RoomForm, VersionForm
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right

PART = "quoting/suggestions/_suggestions.html"
GONE = "That set piece is no longer in this quote."
MOVED = "Somebody changed the quote in the meantime. This is how it is now; fit it again."


@require_POST
@studio_page(Right.EDIT_QUOTES)
def fit_budget(request: StudioRequest, quote_id: int) -> HttpResponse:
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
def fit_shelf(request: StudioRequest, quote_id: int) -> HttpResponse:
    """The piece in colours that are free on the day; nothing is changed yet."""

    def proposed(read: Sheet, piece: SetPiece) -> HttpResponse:
        held = stock_view.own_holds(read.quote)
        found = from_shelf.propose(read, piece, read.quote.event.hold_window(), besides=held)
        sees_costs: bool = request.tenant.can("SEE_COSTS")
        card = presenter.shelf_card(found, read, sees_costs=sees_costs)
        return _fit(request, read, piece, 200, proposal=card, fit_words=presenter.shelf_words(found))

    return _proposing(request, quote_id, proposed)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def take_version(request: StudioRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """Take one of the versions that a budget buys: one change, which undo takes back."""
    form = VersionForm(request.POST)
    if not form.is_valid():
        return page.refused(
            request, quote_id, "That version wasn't one of those shown. Fit the budget again."
        )
    chosen = form.change

    def reshaped(piece: SetPiece, owned: Owned) -> Design:
        return budget.shaped(piece, chosen, owned)

    return page.act(
        request,
        quote_id,
        lambda read, version: sketch.reshape_piece(
            read,
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
def take_colours(request: StudioRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """Take the proposed colours: one change, which undo takes back."""
    swaps = [(old, new) for old, _, new in (each.partition(">") for each in request.POST.getlist("swap"))]

    def reshaped(piece: SetPiece, owned: Owned) -> Design:
        return from_shelf.swapped(piece, swaps, owned)

    return page.act(
        request,
        quote_id,
        lambda read, version: sketch.reshape_piece(
            read, piece_id, reshaped, what="fitted the shelf", version=version
        ),
        colours={new for _, new in swaps},
    )


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_QUOTES)
def fit_room(request: StudioRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """What fills the site best. ``?fit=1`` asks; a POST with the same room takes what was chosen."""
    studio = request.tenant.studio
    piece = library.set_piece(quote_id, piece_id)
    quote = sheet.find_quote(quote_id)
    asked = request.POST if request.method == "POST" else request.GET if "fit" in request.GET else None
    form = RoomForm(asked, room=into_room.room_of(quote, piece), units=studio.units)
    back = links.to("quoting:quote", quote_id) + f"?piece={piece_id}"
    context: dict[str, object] = {
        "quote": quote,
        "piece": piece,
        "form": form,
        "studio": studio,
        "back": back,
    }
    if not form.is_bound:
        return render(request, "quoting/suggestions/room.html", context)
    if not form.is_valid():
        return render(request, "quoting/suggestions/room.html", context, status=422)
    owned, free = into_room.owned_by_studio(quote, piece)
    try:
        answer = into_room.fit(piece, form.room, owned, free)
        if request.method == "POST" and answer.chosen and answer.chosen.design:
            into_room.take(
                quote_id,
                piece_id,
                answer.chosen.design,
                version=page.number(request.POST.get("version")) or 0,
            )
            messages.success(request, f"{piece.name} now fits the site. Undo reverses it.")
            return redirect(back)
        context |= {"answer": answer, **_shown_candidate(answer.chosen, studio.units)}
        context["others"] = [
            into_room.words(one, studio.units) for one in answer.others[: into_room.MOST_TOLD]
        ]
        context["more"] = max(0, len(answer.others) - into_room.MOST_TOLD) + answer.left_out
    except DesignError as error:
        form.add_error(None, " ".join(str(fault) for fault in error.faults))
    except ValidationError as fault:
        form.add_error(None, " ".join(fault.messages))
    return render(request, "quoting/suggestions/room.html", context, status=422 if form.errors else 200)


# Private


def _shown_candidate(chosen: Candidate | None, units: str) -> dict[str, object]:
    if chosen is None or chosen.design is None:
        return {}
    made = worked(chosen.design)
    return {
        "best": into_room.words(chosen, units),
        "bench": bench(made.picture, made.takeoff, ceiling_m=None, units=units),
        "balloons": made.takeoff.balloons,
    }


def _proposing(
    request: StudioRequest, quote_id: int, proposed: Callable[[Sheet, SetPiece], HttpResponse]
) -> HttpResponse:
    read = page.read_now(request, quote_id)
    piece = desk.shown(read.pieces, page.number(request.POST.get("piece")))
    if piece is None or page.number(request.POST.get("version")) != read.quote.version:
        return page.refused(request, quote_id, GONE if piece is None else MOVED)
    return proposed(read, piece)


def _fit(
    request: StudioRequest, read: Sheet, piece: SetPiece, status: int, **context: object
) -> HttpResponse:
    whole = page.context(request, read, piece_id=piece.pk) | context
    return page.answer(request, whole, status, part=PART)

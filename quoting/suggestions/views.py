"""Fitting a set piece to a budget or to the shelf: proposals beside the sketch, and taking one of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.craft.change.room_check import Candidate, SiteFit
from quoting.craft.design.records import Design
from quoting.design_library import library
from quoting.models import Quote, SetPiece
from quoting.quote_page import presenter as desk
from quoting.quote_page import sheet_answer as page
from quoting.quote_page.forms import BudgetForm
from quoting.quotes import sheet, sketch
from quoting.quotes.sheet import Sheet
from quoting.set_pieces.alter import Owned
from quoting.set_pieces.size_bench import bench
from quoting.set_pieces.worked import worked
from quoting.suggestions import budget, from_shelf, into_room, presenter
from quoting.suggestions.budget import Fitted
from quoting.suggestions.fitting import (
    BUDGET_FIT,
    GONE,
    MOVED,
    ROOM_FIT,
    STOCK_FIT,
    BudgetAsked,
    FitWork,
    PieceAsked,
    RoomAsked,
)
from quoting.suggestions.forms import RoomForm, VersionForm
from quoting.suggestions.from_shelf import Answer
from studio.outbox.long_work import Away, LongWork, Work
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.form_errors import save_form

PART: Final = "quoting/suggestions/_suggestions.html"
ANSWER: Final = "quoting/suggestions/_fit_answer.html"
ROOM_ANSWER: Final = "quoting/suggestions/_room_answer.html"
BUDGET, STOCK = "budget", "stock"
KINDS: Final[Mapping[str, LongWork[BudgetAsked, Fitted] | LongWork[PieceAsked, Answer]]] = {
    BUDGET: BUDGET_FIT,
    STOCK: STOCK_FIT,
}


@require_POST
@studio_page(Right.EDIT_QUOTES)
def fit_budget(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Have the worker find versions of the piece that a budget buys; nothing is changed yet."""

    def asked(read: Sheet, piece: SetPiece) -> HttpResponse:
        form = BudgetForm(request.POST, studio=read.studio)
        if not form.is_valid():
            return _fit(request, read, piece, 422, budget_form=form)
        wanted = BudgetAsked(quote_id, piece.pk, read.quote.version, form.cleaned_data["budget"])
        return _waiting(request, read, piece, BUDGET, BUDGET_FIT.ask(wanted), budget_form=form)

    return _asking(request, quote_id, asked)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def fit_stock(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Have the worker find colors that are free on the day; nothing is changed yet."""

    def asked(read: Sheet, piece: SetPiece) -> HttpResponse:
        wanted = PieceAsked(quote_id, piece.pk, read.quote.version)
        return _waiting(request, read, piece, STOCK, STOCK_FIT.ask(wanted))

    return _asking(request, quote_id, asked)


@require_safe
@studio_page(Right.EDIT_QUOTES)
def show_fit(request: StudioRequest, quote_id: int, kind: str, name: str) -> HttpResponse:
    """What became of a fitting: how far it is, what it proposes, or why there is nothing."""
    work = _found(quote_id, kind, name)
    if request.htmx and work.is_waiting and sheet.find_quote(quote_id).version == work.asked.version:
        waits = {"fit_waits": presenter.waiting(quote_id, kind, name, work)}
        return render(request, ANSWER, waits)  # it is asked for every second: nothing else is read for it
    read = page.read_now(request, quote_id)
    piece = desk.shown(read.pieces, work.asked.piece_id)
    if piece is None or read.quote.version != work.asked.version:
        KINDS[kind].stop(name)
        return page.refused(request, quote_id, GONE if piece is None else MOVED)
    return _answered(request, read, piece, kind, work)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def stop_fit(request: StudioRequest, quote_id: int, kind: str, name: str) -> HttpResponse:
    """Stop a fitting that nobody wants any more."""
    _found(quote_id, kind, name)
    KINDS[kind].stop(name)
    return redirect(links.to("quoting:fit-result", quote_id, kind, name))


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
    """The room that a piece is to fill; a POST has the worker find what fills it best."""
    piece, quote = library.set_piece(quote_id, piece_id), sheet.find_quote(quote_id)
    data = request.POST if request.method == "POST" else None
    form = RoomForm(data, room=into_room.room_of(quote, piece), units=request.tenant.studio.units)

    def asked() -> str:
        return ROOM_FIT.ask(RoomAsked(quote_id, piece_id, quote.version, form.room))

    if name := save_form(form, asked):
        return redirect(links.to("quoting:piece-room-result", quote_id, piece_id, name))
    return _room_page(request, quote, piece, form)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_QUOTES)
def show_room_fit(request: StudioRequest, quote_id: int, piece_id: int, name: str) -> HttpResponse:
    """What fills a room best; a POST takes what was found."""
    work = ROOM_FIT.find(name)
    if work is None or (work.asked.quote_id, work.asked.piece_id) != (quote_id, piece_id):
        raise Http404
    piece, quote = library.set_piece(quote_id, piece_id), sheet.find_quote(quote_id)
    form = RoomForm(room=work.asked.room, units=request.tenant.studio.units)
    chosen = work.result.chosen if work.result else None
    if request.method == "POST" and chosen and chosen.design:
        try:
            into_room.take(quote_id, piece_id, chosen.design, version=work.asked.version)
        except ValidationError as refusal:
            return _room_page(request, quote, piece, form, work=work, problem=" ".join(refusal.messages))
        messages.success(request, f"{piece.name} now fits the site. Undo reverses it.")
        return redirect(_back(quote_id, piece_id))
    return _room_page(request, quote, piece, form, work=work)


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


def _asking(
    request: StudioRequest, quote_id: int, asked: Callable[[Sheet, SetPiece], HttpResponse]
) -> HttpResponse:
    """Ask for a piece as the page showed it; the page says why that can't be."""
    read = page.read_now(request, quote_id)
    piece = desk.shown(read.pieces, page.number(request.POST.get("piece")))
    if piece is None or page.number(request.POST.get("version")) != read.quote.version:
        return page.refused(request, quote_id, GONE if piece is None else MOVED)
    try:
        return asked(read, piece)
    except Away as refusal:
        return page.refused(request, quote_id, " ".join(refusal.messages))


def _found(quote_id: int, kind: str, name: str) -> FitWork:
    """The fitting of a quote. Raises ``Http404`` where there is none, or it is too old."""
    work = KINDS[kind].find(name) if kind in KINDS else None
    if work is None or work.asked.quote_id != quote_id:
        raise Http404
    return work


def _waiting(
    request: StudioRequest, read: Sheet, piece: SetPiece, kind: str, name: str, **context: object
) -> HttpResponse:
    if not request.htmx:
        return redirect(links.to("quoting:fit-result", read.quote.pk, kind, name))
    shown = presenter.waiting(read.quote.pk, kind, name, _found(read.quote.pk, kind, name))
    return _fit(request, read, piece, 200, fit_waits=shown, **context)


def _answered(request: StudioRequest, read: Sheet, piece: SetPiece, kind: str, work: FitWork) -> HttpResponse:
    """The answer alone for htmx, which asked for it while it was worked out; else the whole page with it."""
    shown: dict[str, object] = {}
    if work.is_waiting:
        shown["fit_waits"] = presenter.waiting(read.quote.pk, kind, work.name, work)
    elif isinstance(work.result, Fitted):
        shown["versions"] = presenter.version_cards(work.result, piece, read.studio)
        shown["fit_words"] = presenter.budget_words(work.result, read.studio)
    elif isinstance(work.result, Answer):
        sees_costs: bool = request.tenant.can("SEE_COSTS")
        shown["proposal"] = presenter.shelf_card(work.result, read, sees_costs=sees_costs)
        shown["fit_words"] = presenter.shelf_words(work.result)
    else:
        shown["fit_words"] = presenter.nothing_words(work)
    if request.htmx:
        return render(request, ANSWER, {"quote": read.quote, "piece": piece, **shown})
    return _fit(request, read, piece, 200, **shown)


def _fit(
    request: StudioRequest, read: Sheet, piece: SetPiece, status: int, **context: object
) -> HttpResponse:
    """The part of the page for htmx, which needs nothing of the rest; else the whole page with it."""
    if request.htmx:
        part = {"quote": read.quote, "piece": piece, "budget_form": BudgetForm(studio=read.studio)} | context
        return render(request, PART, part, status=status)
    return page.answer(request, page.context(request, read, piece_id=piece.pk) | context, status)


def _room_page(
    request: StudioRequest,
    quote: Quote,
    piece: SetPiece,
    form: RoomForm,
    *,
    work: Work[RoomAsked, SiteFit] | None = None,
    problem: str = "",
) -> HttpResponse:
    units = request.tenant.studio.units
    context: dict[str, object] = {
        "quote": quote,
        "piece": piece,
        "form": form,
        "back": _back(quote.pk, piece.pk),
        "work": work,
        "nothing": problem or (presenter.nothing_words(work) if work else ""),
    }
    if work and work.result:
        context |= {"answer": work.result, **_shown_candidate(work.result.chosen, units)}
        others = work.result.others
        context["others"] = [into_room.words(one, units) for one in others[: into_room.MOST_TOLD]]
        context["more"] = max(0, len(others) - into_room.MOST_TOLD) + work.result.left_out
    page_name = ROOM_ANSWER if request.htmx else "quoting/suggestions/room.html"
    return render(request, page_name, context, status=422 if form.errors or problem else 200)


def _back(quote_id: int, piece_id: int) -> str:
    return links.to("quoting:quote", quote_id) + f"?piece={piece_id}"

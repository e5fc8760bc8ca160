"""The quote page: one picture, its sizes, its price; every change answers with the whole sheet."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Set
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from events import stages
from events.models import Event
from quoting import ports
from quoting.craft.design import design_from_dict
from quoting.designs.page import evenness_words
from quoting.fits.forms import BudgetForm
from quoting.look_along import page as look_page
from quoting.look_along import presence
from quoting.models import Quote, SetPiece
from quoting.pricing import adjusting
from quoting.pricing.forms import AdjustForm, ByHandForm, PaymentPlanForm
from quoting.quote_page import desk
from quoting.quote_page.forms import FreeLineForm, SketchForm, WayForm
from quoting.quote_page.options_form import OptionsForm
from quoting.quote_page.site_words import site_words
from quoting.showing.size_bench import bench
from quoting.sketching import sheet, shelf, sketch
from quoting.sketching.sheet import Sheet
from studio import links
from studio.access import Right, studio_page
from studio.models import Studio

PAGE = "quoting/quote.html"
SHEET = "quoting/partials/quote_sheet.html"


@require_safe
@studio_page(Right.SEE_QUOTES)
def quote(request: HttpRequest, quote_id: int) -> HttpResponse:
    """The page of one quote; ``?piece=`` says which set piece is on the bench."""
    found = sheet.find(quote_id)
    return answer(request, context(request, found, piece_id=number(request.GET.get("piece"))))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def alter(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Change a set piece."""
    found = sheet.find(quote_id, to_change=True)
    read = sheet.load(found, studio_of(request), pictures=False, colours=_colours(request))
    piece = desk.shown(read.pieces, number(request.POST.get("piece")))
    if piece is None:
        return answer(
            request, context(request, found, problem="That set piece is no longer in this quote."), 422
        )
    form = _sketch_form(read, piece, request.POST)
    version = number(request.POST.get("version")) or 0
    if version != found.version:
        return _stale(request, read, piece, form)
    if not form.is_valid():
        return answer(request, context(request, found, piece_id=piece.pk, form=form), 422)
    if not form.changes and not form.size:
        return _done(request, found, piece.pk)
    try:
        sketch.alter_piece(
            found,
            piece.pk,
            form.changes,
            version=version,
            width_m=form.size.get("width_m"),
            height_m=form.size.get("height_m"),
        )
    except sketch.StaleSketch as stale:
        return answer(request, context(request, sheet.find(quote_id), problem=stale.messages[0]), 422)
    except ValidationError as fault:
        _at_fields(form, fault)
        return answer(request, context(request, sheet.find(quote_id), piece_id=piece.pk, form=form), 422)
    return _done(request, found, piece.pk)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def undo(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Back to the sketch before."""
    return act(request, quote_id, lambda found, version: sketch.undo(found, version=version))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def add_piece(request: HttpRequest, quote_id: int, template_id: int) -> HttpResponse:
    """One more set piece from a design."""
    return act(
        request, quote_id, lambda found, version: sketch.add_piece(found, template_id, version=version)
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def remove_piece(request: HttpRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """Take a set piece out."""
    return act(
        request, quote_id, lambda found, version: sketch.remove_piece(found, piece_id, version=version)
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def remove_line(request: HttpRequest, quote_id: int, line_id: int) -> HttpResponse:
    """Take a free line out."""
    return act(
        request, quote_id, lambda found, version: sketch.remove_free_line(found, line_id, version=version)
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def add_line(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Add a free line."""
    found = sheet.find(quote_id)
    read = sheet.load(found, studio_of(request))
    form = FreeLineForm(request.POST, studio=read.studio, taxes=read.taxes)
    if not form.is_valid():
        return answer(request, context(request, found, line_form=form), 422)
    return act(
        request,
        quote_id,
        lambda found, version: sketch.add_free_line(found, **form.cleaned_data, version=version),
        line_form=form,
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def adjust(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Rush and discount."""
    found = sheet.find(quote_id)
    form = AdjustForm(request.POST, quote=found, studio=studio_of(request))
    if not form.is_valid():
        return answer(request, context(request, found, adjust_form=form), 422)
    return act(
        request,
        quote_id,
        lambda found, version: adjusting.adjust(found, **form.cleaned_data, version=version),
        adjust_form=form,
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def set_payment(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Deposit and instalments."""
    found = sheet.find(quote_id)
    form = PaymentPlanForm(request.POST, quote=found, studio=studio_of(request))
    if not form.is_valid():
        return answer(request, context(request, found, plan_form=form), 422)
    return act(
        request,
        quote_id,
        lambda found, version: adjusting.set_payment(
            found,
            deposit_percent=form.cleaned_data["deposit_percent"],
            instalments=form.instalments,
            version=version,
        ),
        plan_form=form,
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def set_by_hand(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Set one line's price by hand, or let it be built from costs again."""
    found = sheet.find(quote_id)
    form = ByHandForm(
        request.POST,
        lines=sheet.load(found, studio_of(request), pictures=False).whole_tape.lines,
        studio=studio_of(request),
    )
    if not form.is_valid():
        return answer(request, context(request, found, by_hand_form=form), 422)
    said = form.cleaned_data
    return act(
        request,
        quote_id,
        lambda found, version: adjusting.set_by_hand(
            found, said["key"], amount=said["amount"], reason=said["reason"], version=version
        ),
        by_hand_form=form,
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def way(request: HttpRequest, quote_id: int) -> HttpResponse:
    """How far the van goes."""
    found = sheet.find(quote_id)
    read = sheet.load(found, studio_of(request))
    form = WayForm(request.POST, unit=read.rates.distance_unit, initial=_way_of(found))
    if not form.is_valid():
        return answer(request, context(request, found, way_form=form), 422)
    return act(
        request,
        quote_id,
        lambda found, version: sketch.set_way(
            found,
            distance_m=form.distance_m,
            drive_minutes=form.cleaned_data["drive_minutes"],
            trips=form.cleaned_data["trips"],
            version=version,
        ),
        way_form=form,
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def mark_options(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Say what the client may switch on and off."""
    found = sheet.find(quote_id)
    form = OptionsForm(request.POST, sheet=sheet.load(found, studio_of(request), pictures=False))
    if not form.is_valid():
        return answer(request, context(request, found, options_form=form), 422)
    return act(
        request,
        quote_id,
        lambda found, version: sketch.set_options(found, form.choices, version=version),
        options_form=form,
    )


# Shared with the views beside this one


def act(
    request: HttpRequest, quote_id: int, change: Callable[[Quote, int], Quote], *, colours: Set[str] = frozenset(),
    **typed: forms.Form,
) -> HttpResponse:  # fmt: skip
    """Make one change under the version that the page showed; what can't be done is said on the page."""
    found = sheet.find(quote_id, to_change=True)
    sheet.load(found, studio_of(request), pictures=False, colours=colours)
    piece_id = number(request.POST.get("piece"))
    try:
        changed = change(found, number(request.POST.get("version")) or 0)
    except ValidationError as fault:
        found = sheet.find(quote_id)
        problem = ""
        if typed and not isinstance(fault, sketch.StaleSketch):
            for form in typed.values():
                _at_fields(form, fault)
        else:
            problem = " ".join(fault.messages)
        shown = context(request, found, piece_id=piece_id, problem=problem, **typed)  # type: ignore[arg-type]
        return answer(request, shown, 422)
    return _done(request, changed, piece_id)


def answer(
    request: HttpRequest, shown: dict[str, Any], status: int = 200, *, part: str = SHEET
) -> HttpResponse:
    """The page, or for htmx the part of it that changes."""
    return render(request, part if request.htmx else PAGE, shown, status=status)  # type: ignore[attr-defined]


def refused(request: HttpRequest, quote_id: int, problem: str) -> HttpResponse:
    """The sheet as it stands, whatever part was to be swapped, with what can't be done and why."""
    shown = context(
        request, sheet.find(quote_id), piece_id=number(request.POST.get("piece")), problem=problem
    )
    response = answer(request, shown, 422)
    response["HX-Retarget"], response["HX-Reswap"] = "#quote", "morph:outerHTML"
    return response


def context(
    request: HttpRequest,
    found: Quote,
    *,
    piece_id: int | None = None,
    form: SketchForm | None = None,
    line_form: FreeLineForm | None = None,
    adjust_form: AdjustForm | None = None,
    by_hand_form: ByHandForm | None = None,
    plan_form: PaymentPlanForm | None = None,
    way_form: WayForm | None = None,
    options_form: OptionsForm | None = None,
    problem: str = "",
) -> dict[str, Any]:
    """Everything that the page shows of a quote. One query besides those of the sheet."""
    studio = studio_of(request)
    read = sheet.load(found, studio, pictures=False)
    piece = desk.shown(read.pieces, piece_id)
    place = list(read.pieces).index(piece) if piece else 0
    if piece and found.look_handle:
        presence.put_on_bench(found.pk, piece.pk)
    tape = read.tape
    may_edit = found.is_open and request.tenant.can("EDIT_QUOTES")  # type: ignore[attr-defined]
    return {
        "quote": found,
        "event": found.event,
        "studio": studio,
        "beads": stages.beads(found.event),
        "pieces": read.pieces,
        "piece": piece,
        **(_of_piece(piece, found.event, studio) if piece else {}),
        "form": form or (_sketch_form(read, piece) if piece else None),
        "tape": desk.tape_rows(tape, studio, names=[each.name for each in read.pieces], shown_piece=place),
        **_costs(read, studio),
        "shelf": _shelf_words(read, studio),
        "hours": desk.hours(read),
        "crew_words": desk.crew_words(read),
        "parts": desk.payment_rows(tape, found, studio),
        "line_form": line_form or FreeLineForm(studio=studio, taxes=read.taxes),
        "adjust_form": adjust_form
        or AdjustForm(quote=found, studio=studio, usual_rush=read.rates.rush_percent),
        "plan_form": plan_form or PaymentPlanForm(quote=found, studio=studio),
        "by_hand_form": by_hand_form or ByHandForm(lines=tape.lines, studio=studio),
        "way_form": way_form or WayForm(unit=read.rates.distance_unit, initial=_way_of(found)),
        "options_form": options_form or OptionsForm(sheet=read),
        "budget_form": BudgetForm(studio=studio),
        "offer": ports.offer_address(found) if found.is_open and read.pieces else "",
        "may_edit": may_edit,
        "look": _look(request, found),
        "problem": problem,
    }


def studio_of(request: HttpRequest) -> Any:
    """The studio whose page this is."""
    return request.tenant.studio  # type: ignore[attr-defined]


def number(text: str | None) -> int | None:
    """A whole number out of a request; None for anything else."""
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 18 else None


# Private


def _done(request: HttpRequest, changed: Quote, piece_id: int | None) -> HttpResponse:
    if request.htmx:  # type: ignore[attr-defined]
        return answer(request, context(request, changed, piece_id=piece_id))
    return redirect(links.to("quoting:quote", changed.pk) + (f"?piece={piece_id}" if piece_id else ""))


def _stale(request: HttpRequest, read: Sheet, piece: SetPiece, typed: SketchForm) -> HttpResponse:
    """Somebody was faster: show how it stands now, with what was typed here still in its boxes, not yet applied."""
    version = number(request.POST.get("version")) or 0
    problem = str(sketch.StaleSketch(read.quote, version).messages[0])
    seen = sketch.piece_as_seen(read.quote, piece, version)
    typed_now = _sketch_form(read, seen, request.POST) if seen else typed
    changed = [name for name in typed_now.changed_data if name not in ("version", "piece")] if seen else []
    fresh = _sketch_form(read, piece)
    data = {name: value for name, value in fresh.as_typed().items() if value is not None}
    kept = [name for name in changed if name in data or name in fresh.fields]
    data |= {name: _sent(request, name) for name in kept}
    form = _sketch_form(read, piece, {**data, "version": read.quote.version})
    form.full_clean()
    for name in kept:
        if not form.has_error(name):
            form.add_error(
                name, "Not applied yet: somebody changed the quote meanwhile. Press Enter here to apply it."
            )
    return answer(request, context(request, read.quote, piece_id=piece.pk, form=form, problem=problem), 422)


def _sent(request: HttpRequest, name: str) -> Any:
    return request.POST.getlist(name) if name == "sizes" else request.POST.get(name, "")


def _at_fields(form: forms.Form, fault: ValidationError) -> None:
    """Put each message at the field that it belongs to, or at the form where it belongs to none."""
    told = fault.message_dict if hasattr(fault, "error_dict") else {"__all__": fault.messages}
    for field, messages in told.items():
        for message in messages:
            form.add_error(field if field in form.fields else None, message)


def _of_piece(piece: SetPiece, event: Event, studio: Studio) -> dict[str, Any]:
    """What is shown of the piece on the bench."""
    units = studio.units
    return {
        "bench": bench(piece.picture, piece.takeoff, ceiling_m=event.ceiling_m, units=units),
        "headline": desk.headline(piece, units),
        "too_high": desk.too_high(piece, event.ceiling_m, units),
        "comes_out": desk.comes_out(piece, units),
        "site": site_words(piece, event, units),
        "evenness": evenness_words(piece.takeoff.get("evenness", {})),
        "counts": desk.count_groups(piece, units),
        "tasks": desk.tasks(piece, units),
    }


def _costs(read: Sheet, studio: Studio) -> dict[str, Any]:
    """What the price is built from, for whoever may see costs, and what has no price yet."""
    tape = read.tape
    return {
        "inside": desk.inside_rows(tape, studio),
        "built": desk.built(tape, studio) if tape.inside else [],
        "unpriced": read.unpriced if tape.inside else [],
        "unpriced_words": desk.unpriced_words(read.unpriced),
    }


def _shelf_words(read: Sheet, studio: Studio) -> Any:
    event = read.quote.event
    standing = shelf.on_the_day(read.needs, read.items, event.hold_window(), besides=event.hold_id)
    return shelf.words(standing, read.labels, studio)


def _look(request: HttpRequest, found: Quote) -> dict[str, Any] | None:
    """How the client looks along, if so."""
    if not found.look_handle:
        return None
    return {"until": found.look_until, "address": look_page.kept_address(request, found.look_handle)}


def _sketch_form(read: Sheet, piece: SetPiece, data: Mapping[str, Any] | None = None) -> SketchForm:
    return SketchForm(
        data,
        design=design_from_dict(piece.design),
        size=(piece.width_m, piece.height_m),
        owned=read.owned,
        units=read.studio.units,
        names={"version": read.quote.version, "piece": piece.pk},
    )


def _colours(request: HttpRequest) -> set[str]:
    """Colour codes that were chosen on the page."""
    return {
        str(code) for name, code in request.POST.items() if name.startswith(("swap.", "add_colour")) and code
    }


def _way_of(found: Quote) -> dict[str, Any]:
    return {"distance_m": found.distance_m, "drive_minutes": found.drive_minutes, "trips": found.trips}

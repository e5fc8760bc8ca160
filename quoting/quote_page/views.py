"""The quote page: one picture, its sizes, its price; every change answers with what it changed."""

from __future__ import annotations

from collections.abc import Callable

from django import forms
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse, JsonResponse
from django.views.decorators.http import require_POST, require_safe

from events.wishes.presenter import shown_wishes
from events.wishes.wishes import wishes_of
from quoting.look_along import presence
from quoting.models import Quote, SetPiece, SketchVersion
from quoting.quote_page import presenter
from quoting.quote_page.forms import FreeLineForm, SketchForm, WayForm
from quoting.quote_page.options_form import OptionsForm
from quoting.quote_page.price_forms import AdjustForm, ByHandForm, PaymentPlanForm
from quoting.quote_page.sheet_answer import (
    act,
    answer,
    at_fields,
    context,
    done,
    number,
    read_now,
    sketch_form,
    way_of,
)
from quoting.quotes import adjusting, sheet, sketch, steps
from quoting.quotes.sheet import Sheet
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.SEE_QUOTES)
def quote(request: StudioRequest, quote_id: int) -> HttpResponse:
    """The page of one quote; ``?piece=`` says which set piece is shown."""
    read = read_now(request, quote_id)
    shown = context(request, read, piece_id=number(request.GET.get("piece")))
    wished = wishes_of(read.quote.event)
    return answer(request, shown, above={"wishes": shown_wishes(wished, read.studio)})


@require_POST
@studio_page(Right.EDIT_QUOTES)
def alter(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Change a set piece."""
    read = sheet.lock_sheet(quote_id, request.tenant.studio, colours=_colours(request))
    piece = presenter.shown(read.pieces, number(request.POST.get("piece")))
    if piece is None:
        return answer(
            request, context(request, read, problem="That set piece is no longer in this quote."), 422
        )
    form = sketch_form(read, piece, request.POST)
    if (number(request.POST.get("version")) or 0) != read.quote.version:
        return _stale(request, read, piece, form)
    if not form.is_valid():
        return answer(request, context(request, read, piece_id=piece.pk, form=form), 422)
    if not form.changes and not form.size:
        return done(request, read.quote, piece.pk, altered=read)
    return _altered(request, read, piece, form)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def undo(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Back to the sketch before."""
    return act(request, quote_id, lambda read, version: sketch.undo(read, version=version))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def add_piece(request: StudioRequest, quote_id: int, template_id: int) -> HttpResponse:
    """One more set piece from a design."""
    return act(request, quote_id, lambda read, version: sketch.add_piece(read, template_id, version=version))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def remove_piece(request: StudioRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """Take a set piece out."""
    return act(request, quote_id, lambda read, version: sketch.remove_piece(read, piece_id, version=version))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def remove_line(request: StudioRequest, quote_id: int, line_id: int) -> HttpResponse:
    """Take a free line out."""
    return act(
        request, quote_id, lambda read, version: sketch.remove_free_line(read, line_id, version=version)
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def add_line(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Add a free line."""
    read = read_now(request, quote_id)
    form = FreeLineForm(request.POST, studio=read.studio, taxes=read.taxes)
    return _apply(
        request,
        read,
        lambda read, version: sketch.add_free_line(read, **form.cleaned_data, version=version),
        line_form=form,
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def adjust(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Rush and discount."""
    read = read_now(request, quote_id)
    form = AdjustForm(request.POST, quote=read.quote, studio=read.studio)
    return _apply(
        request,
        read,
        lambda read, version: adjusting.adjust(read, **form.cleaned_data, version=version),
        adjust_form=form,
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def set_payment(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Deposit and instalments."""
    read = read_now(request, quote_id)
    form = PaymentPlanForm(request.POST, quote=read.quote, studio=read.studio, rates=read.rates)
    return _apply(
        request,
        read,
        lambda read, version: adjusting.set_payment(
            read,
            deposit_percent=form.cleaned_data["deposit_percent"],
            deposit_amount=form.cleaned_data["deposit_amount"],
            client_view=form.cleaned_data["client_view"],
            instalments=form.instalments,
            version=version,
        ),
        plan_form=form,
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def set_by_hand(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Set one line's price by hand, or let it be built from costs again."""
    read = read_now(request, quote_id)
    form = ByHandForm(request.POST, lines=read.whole_tape.lines, studio=read.studio)
    return _apply(
        request,
        read,
        lambda read, version: adjusting.set_by_hand(
            read,
            form.cleaned_data["key"],
            amount=form.cleaned_data["amount"],
            reason=form.cleaned_data["reason"],
            version=version,
        ),
        by_hand_form=form,
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def way(request: StudioRequest, quote_id: int) -> HttpResponse:
    """How far the van goes."""
    read = read_now(request, quote_id)
    form = WayForm(
        request.POST,
        unit=read.rates.distance_unit,
        initial=way_of(read.quote),
        by_distance=read.bands is not None,
    )
    return _apply(
        request,
        read,
        lambda read, version: sketch.set_way(
            read,
            distance_m=form.distance_m,
            drive_minutes=form.cleaned_data["drive_minutes"],
            trips=form.cleaned_data["trips"],
            version=version,
        ),
        way_form=form,
    )


@require_POST
@studio_page(Right.EDIT_QUOTES)
def mark_options(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Say what the client may switch on and off."""
    read = read_now(request, quote_id)
    form = OptionsForm(request.POST, sheet=read)
    return _apply(
        request,
        read,
        lambda read, version: sketch.set_options(read, form.choices, version=version),
        options_form=form,
    )


@require_safe
@studio_page(Right.SEE_QUOTES)
def pulse(request: StudioRequest, quote_id: int) -> JsonResponse:
    """The version, and where it isn't ``?version=`` what made it that; who else is here; whether the client looks."""
    found = (
        Quote.objects.filter(pk=quote_id).values_list("version", "changed_by_id", "changed_by__name").first()
    )
    if found is None:
        raise Http404
    version, changed_by, name = found
    person = request.tenant.person
    others = presence.here(quote_id, person_id=person.pk, name=person.get_short_name())
    words = ""
    if request.GET.get("version") != str(version):
        what = SketchVersion.objects.filter(quote_id=quote_id, number=version - 1).values_list(
            "what", flat=True
        )
        who = "You" if changed_by == person.pk else name or "Somebody"
        words = presenter.change_words(who, what.first(), version)
    return JsonResponse(
        {
            "version": version,
            "words": words,
            "here": presenter.here_words(others),
            "looking": presence.is_client_looking(quote_id),
        }
    )


# Private


def _apply(
    request: StudioRequest, read: Sheet, change: Callable[[Sheet, int], Quote], **typed: forms.Form
) -> HttpResponse:
    """Apply what a form asks of the quote, or show the page again with the form, under its name there."""
    if not all(form.is_valid() for form in typed.values()):
        return answer(request, {**context(request, read), **typed}, 422)
    return act(request, read.quote.pk, change, typed=typed)


def _altered(request: StudioRequest, read: Sheet, piece: SetPiece, form: SketchForm) -> HttpResponse:
    try:
        altered = sketch.alter_sheet(
            read,
            piece.pk,
            form.changes,
            version=read.quote.version,
            width_m=form.size.get("width_m"),
            height_m=form.size.get("height_m"),
        )
    except ValidationError as fault:
        at_fields(form, fault)
        now = read_now(request, read.quote.pk)
        return answer(request, context(request, now, piece_id=piece.pk, form=form), 422)
    return done(request, read.quote, piece.pk, altered=altered)


def _stale(request: StudioRequest, read: Sheet, piece: SetPiece, typed: SketchForm) -> HttpResponse:
    """Somebody was faster: show how it stands now, with what was typed here still in its boxes, not yet applied."""
    version = number(request.POST.get("version")) or 0
    problem = str(steps.StaleSketch(read.quote, version).messages[0])
    seen = steps.piece_as_seen(read.quote, piece, version)
    typed_now = sketch_form(read, seen, request.POST) if seen else typed
    changed = [name for name in typed_now.changed_data if name not in ("version", "piece")] if seen else []
    fresh = sketch_form(read, piece)
    data = {name: value for name, value in fresh.as_typed().items() if value is not None}
    kept = [name for name in changed if name in data or name in fresh.fields]
    data |= {name: _sent(request, name) for name in kept}
    form = sketch_form(read, piece, {**data, "version": read.quote.version})
    form.full_clean()
    for name in kept:
        if not form.has_error(name):
            form.add_error(
                name,
                "Not applied yet: somebody else changed the quote. Press Enter here to apply your change.",
            )
    return answer(request, context(request, read, piece_id=piece.pk, form=form, problem=problem), 422)


def _sent(request: StudioRequest, name: str) -> str | list[str]:
    return request.POST.getlist(name) if name == "sizes" else request.POST.get(name, "")


def _colours(request: StudioRequest) -> set[str]:
    """Colour codes that were chosen on the page."""
    return {
        str(code) for name, code in request.POST.items() if name.startswith(("swap.", "add_colour")) and code
    }

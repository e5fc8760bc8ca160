"""The load-out list, the return list and photos on phones, and the address that takes ticks."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import BinaryIO, cast
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.crew_phones.phone_links import event_of_address
from events.loadout import forms, hours, loadout_json, photos, presenter, returns, steps, ticks
from events.loadout.line_states import LoadOutList
from events.loadout.load_list import find_load_out_list
from events.loadout.photos import CannotSavePhoto, TakenPhoto
from events.loadout.ticks import TickOp
from events.models import Event, Step, TickKind
from studio.people.body_limits import PICTURE_BYTES, takes_bodies_of
from studio.people.gates import in_own_language, studio_page
from studio.people.page_request import StudioRequest, clean_text
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.offline import kept_on_phones


@require_safe
@studio_page(Right.SEE_LOAD_OUT, linked_to=event_of_address)
@in_own_language
@kept_on_phones
def show_load_out(request: StudioRequest, event_id: int) -> HttpResponse:
    """Show the load-out list."""
    context = presenter.load_out_context(find_load_out_list(event_id), request.tenant)
    return render(request, "events/loadout/load_out.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_LOAD_OUT, linked_to=event_of_address)
@in_own_language
def take_ticks(request: StudioRequest, event_id: int) -> HttpResponse:
    """Save ticks: JSON from the page's script, or one tick of a pressed button. A GET answers with the list."""
    if request.method != "POST":
        return JsonResponse(loadout_json.write_list(find_load_out_list(event_id)))
    if request.content_type != "application/json":
        get_object_or_404(Event, pk=event_id)
        return _take_pressed(request, event_id)
    try:
        ops = loadout_json.read_ticks(request.body)
    except loadout_json.NotTicks as fault:
        return JsonResponse({"error": str(fault)}, status=400)
    answer = ticks.save_ticks(event_id, ops)
    return JsonResponse(
        {
            "kept": [str(kept) for kept in answer.kept],
            "refused": [{"uuid": str(refusal.uuid), "why": refusal.why} for refusal in answer.refused],
            **loadout_json.write_list(find_load_out_list(event_id)),
        }
    )


@require_safe
@studio_page(Right.TICK_LOAD_OUT, linked_to=event_of_address)
@in_own_language
def mark_step(request: StudioRequest, event_id: int, step: str) -> HttpResponse:
    """Ask whether a step is to be marked, where the page's script doesn't ask."""
    if step not in steps.ON_SITE:
        raise Http404
    context = presenter.step_context(find_load_out_list(event_id), Step(step))
    return render(request, "events/loadout/step.html", {**context, "text": request.GET.get("text", "")})


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_LOAD_OUT, linked_to=event_of_address)
@in_own_language
@kept_on_phones
def show_return_list(request: StudioRequest, event_id: int) -> HttpResponse:
    """Show the return list; a POST saves the numbers and, if asked, counts the event back."""
    the_list = find_load_out_list(event_id)
    if request.method != "POST":
        return _return_page(request, the_list)
    faults = _save_returns(request, the_list)
    if faults:
        return _return_page(request, find_load_out_list(event_id), faults)
    messages.success(request, _("Counted back.") if _closes(request) else _("Count saved."))
    after = "events:load-out" if request.tenant.phone else "events:event"
    return redirect(links.to(after, event_id))


@takes_bodies_of(PICTURE_BYTES)
@require_POST
@studio_page(Right.TICK_LOAD_OUT, linked_to=event_of_address)
@in_own_language
def add_photo(request: StudioRequest, event_id: int) -> HttpResponse:
    """Save a photo: from the page's script, which wants JSON, or from the form itself."""
    get_object_or_404(Event, pk=event_id)
    by_script = request.POST.get("by") == "script"
    try:
        photo = photos.save_photo(event_id, _taken_photo(request, by_script=by_script))
    except CannotSavePhoto as refusal:
        why = " ".join(refusal.messages)
        if by_script:
            return JsonResponse({"error": why}, status=422)
        messages.error(request, why)
    else:
        if by_script:
            return JsonResponse({"kept": [str(photo.uuid)]})
        messages.success(request, _("Photo saved."))
    return redirect(links.to("events:load-out", event_id))


@require_safe
@studio_page(Right.SEE_EVENTS, linked_to=photos.find_event_id, many_at_once=True)
def show_photo(request: StudioRequest, photo_id: int) -> HttpResponse:
    """Show one photo."""
    file = photos.find_file(photo_id)
    response = HttpResponse(bytes(file.content), content_type=file.media_type)
    response.headers["Cache-Control"] = "private, max-age=86400"
    return response


# --- Private ---


def _take_pressed(request: StudioRequest, event_id: int) -> HttpResponse:
    """Save the tick of a button that was pressed without script."""
    try:
        op = _pressed_tick(request, event_id)
    except ValueError:
        messages.error(request, _("Enter a whole number."))
    else:
        if op.task in steps.ON_SITE and op.kind == TickKind.STEP and "asked" not in request.POST:
            return redirect(_step_page(event_id, op))
        for refusal in ticks.save_ticks(event_id, [op]).refused:
            messages.error(request, refusal.why)
    return redirect(links.to("events:load-out", event_id))


def _step_page(event_id: int, op: TickOp) -> str:
    """The page that asks about a step, with what was typed beside its button."""
    page = links.to("events:step-mark", event_id, op.task)
    return f"{page}?{urlencode({'text': op.text})}" if op.text else page


def _pressed_tick(request: StudioRequest, event_id: int) -> TickOp:
    """The tick of the pressed button. Raises ``ValueError``."""
    posted = request.POST
    if posted.get("step"):
        return forms.read_step(posted)
    if posted.get("undo"):
        return forms.read_undo(posted)
    if "note" in posted:
        return forms.read_note(posted)
    if "hours" in posted:
        return forms.read_hours(posted, hours.task_hours(find_load_out_list(event_id)))
    return forms.read_count(posted)


def _closes(request: StudioRequest) -> bool:
    return request.POST.get("do") == "close"


def _save_returns(request: StudioRequest, the_list: LoadOutList) -> list[str]:
    """Save the typed numbers and count the event back, if asked; what prevents it."""
    ops, faults = [], []
    for state in the_list.states:
        try:
            op = forms.read_return(request.POST, state)
        except ValueError:
            faults.append(_("%(name)s: enter whole numbers.") % {"name": state.line.label})
        else:
            ops += [op] if op else []
    if not faults:
        faults = [refusal.why for refusal in ticks.save_ticks(the_list.event.pk, ops).refused]
    if not faults and _closes(request):
        try:
            returns.count_back(the_list.event.pk)
        except returns.CannotCountBack as refusal:
            return refusal.messages
    return faults


def _return_page(
    request: StudioRequest, the_list: LoadOutList, faults: list[str] | None = None
) -> HttpResponse:
    context = presenter.return_list_context(
        the_list, request.tenant, posted=request.POST, faults=faults or []
    )
    return render(request, "events/loadout/return_list.html", context, status=422 if faults else 200)


def _taken_photo(request: StudioRequest, *, by_script: bool) -> TakenPhoto:
    upload = request.FILES.get("photo")
    if upload is None or upload.file is None:
        raise CannotSavePhoto(_("Choose a photo first."))
    name, made_at = _photo_name(request) if by_script else (uuid.uuid4(), timezone.now())
    phone = clean_text(request.POST.get("phone", ""))[:36]
    return TakenPhoto(name, made_at, cast("BinaryIO", upload.file), upload.size or 0, phone)


def _photo_name(request: StudioRequest) -> tuple[uuid.UUID, datetime]:
    try:
        return forms.read_photo_name(request.POST)
    except ValueError:
        raise CannotSavePhoto("A photo needs a uuid and the time at which it was taken.") from None

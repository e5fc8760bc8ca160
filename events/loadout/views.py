"""The load-out list on the phone, and where what phones say is sent."""

from __future__ import annotations

import uuid
from typing import Final

from django.contrib import messages
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from events.crew_phones.phone_links import this_event
from events.loadout import crew_links, hours, load_list, loadout_json, photos, ticks
from events.loadout.line_states import LoadOutList
from events.loadout.ticks import TickOp
from events.models import Event, Step, TickKind
from studio.models import dates
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest, clean_text
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.offline import kept_on_phones

NO_SCRIPT: Final = "no script"
"""Stands where the phone's name would, of what was pressed without script."""


@require_safe
@studio_page(Right.SEE_LOAD_OUT, linked_to=this_event)
@kept_on_phones
def load_out(request: StudioRequest, event_id: int) -> HttpResponse:
    """The list for a thumb."""
    the_list = load_list.load_out_list(event_id)
    context = {
        "list": the_list,
        "event": the_list.event,
        "papers": crew_links.of(the_list.event),
        "told": loadout_json.shown(the_list),
        "may_tick": request.tenant.can(Right.TICK_LOAD_OUT) and not the_list.event.is_off,
        "tasks": hours.spent(the_list),
        "photos": photos.of(event_id),
        "steps": [(step, _done(the_list, step)) for step in Step],
    }
    return render(request, "events/loadout/load_out.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_LOAD_OUT, linked_to=this_event)
def tick_log(request: StudioRequest, event_id: int) -> HttpResponse:
    """Take what phones say: JSON from the page's script, or one tick from a pressed button; a GET tells how
    the list stands."""
    if request.method != "POST":
        return JsonResponse(loadout_json.shown(load_list.load_out_list(event_id)))
    if request.content_type != "application/json":
        get_object_or_404(Event, pk=event_id)
        return _pressed(request, event_id)
    try:
        ops = loadout_json.read_ticks(request.body)
    except loadout_json.NotTicks as fault:
        return JsonResponse({"error": str(fault)}, status=400)
    answer = ticks.tick(event_id, ops)
    return JsonResponse(
        {
            "kept": [str(kept) for kept in answer.kept],
            "refused": [{"uuid": str(refusal.uuid), "why": refusal.why} for refusal in answer.refused],
            **loadout_json.shown(load_list.load_out_list(event_id)),
        }
    )


# --- Private ---


def _done(the_list: LoadOutList, step: Step) -> str:
    """When a step was taken on a phone and by whom, in words."""
    tick = the_list.steps.get(step)
    if tick is None:
        return ""
    by = f" {tick.by}" if tick.by else ""
    handed = f". Handed over to {tick.text}." if tick.text else ""
    return f"{dates.time_written(tick.made_at.astimezone(the_list.event.tz))}{by}{handed}"


def _pressed(request: StudioRequest, event_id: int) -> HttpResponse:
    """What a press without script says."""
    back = redirect(links.to("events:load-out", event_id))
    try:
        op = _op(request, event_id)
    except ValueError:
        messages.error(request, "Write how many, as a whole number.")
        return back
    for refusal in ticks.tick(event_id, [op]).refused:
        messages.error(request, refusal.why)
    return back


def _op(request: StudioRequest, event_id: int) -> TickOp:
    """The tick of the pressed button. Raises ``ValueError``.

    ``tick``: ``line:count:uuid``, or ``line::uuid`` with the number beside it; ``note``: ``line:uuid`` with the
    text beside it; ``step``; ``hours``: the row of the task.
    """
    posted, now = request.POST, timezone.now()
    if step := posted.get("step"):
        text = clean_text(posted.get("text", ""))
        return TickOp(uuid.uuid4(), None, 0, now, NO_SCRIPT, kind=TickKind.STEP, task=step[:60], text=text)
    if "note" in posted:
        line, _, name = posted["note"].partition(":")
        text = clean_text(posted.get(f"note-{line}", ""))
        name_or_new = uuid.UUID(name) if name else uuid.uuid4()
        return TickOp(
            name_or_new, int(line) if line else None, 0, now, NO_SCRIPT, kind=TickKind.NOTE, text=text
        )
    if "hours" in posted:
        return _hours_op(request, event_id)
    line, count, name = posted.get("tick", "").split(":")
    return TickOp(uuid.UUID(name), int(line), int(count or posted.get(f"some-{line}", "")), now, NO_SCRIPT)


def _hours_op(request: StudioRequest, event_id: int) -> TickOp:
    row = int(request.POST["hours"])
    tasks = hours.spent(load_list.load_out_list(event_id))
    if not 0 <= row < len(tasks):
        raise ValueError(row)
    minutes, hands = (int(request.POST.get(f"{name}-{row}", "")) for name in ("minutes", "hands"))
    return TickOp(
        uuid.uuid4(),
        None,
        minutes,
        timezone.now(),
        NO_SCRIPT,
        kind=TickKind.HOURS,
        task=tasks[row].task,
        hands=hands,
    )

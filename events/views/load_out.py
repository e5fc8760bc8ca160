"""The load-out list: on the phone, on paper, and where ticks are sent."""

from __future__ import annotations

import json
import uuid
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from events import loadout, papers, stages
from events.loadout import MOST_TICKS_AT_ONCE, LoadOutList, TickOp
from events.models import Event
from events.views.request import StudioRequest, clean_text
from studio import links
from studio.access import Right, studio_page


class NotTicks(ValueError):
    """A body that holds no ticks; the message says what is wrong with it."""


@require_safe
@studio_page(Right.SEE_LOAD_OUT)
def load_out(request: StudioRequest, event_id: int) -> HttpResponse:
    """The list for a thumb."""
    the_list = loadout.load_out_list(event_id)
    context = {
        "list": the_list,
        "event": the_list.event,
        "next_stage": stages.next_by_hand(the_list.event),
        "papers": papers.of(the_list.event),
        "may_tick": request.tenant.can(Right.TICK_LOAD_OUT) and not the_list.event.is_off,
    }
    return render(request, "events/load_out.html", context)


@require_safe
@studio_page(Right.SEE_LOAD_OUT)
def paper(request: StudioRequest, event_id: int) -> HttpResponse:
    """The same list to print."""
    the_list = loadout.load_out_list(event_id)
    return render(request, "events/load_out_paper.html", {"list": the_list, "event": the_list.event})


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_LOAD_OUT)
def ticks(request: StudioRequest, event_id: int) -> HttpResponse:
    """Take ticks: JSON from the page's script, or one from a pressed button; a GET tells how the list
    stands."""
    if request.method != "POST":
        return JsonResponse(_told(loadout.load_out_list(event_id)))
    if request.content_type != "application/json":
        get_object_or_404(Event, pk=event_id)
        return _pressed(request, event_id)
    try:
        ops = _read(request.body)
    except NotTicks as fault:
        return JsonResponse({"error": str(fault)}, status=400)
    answer = loadout.tick(event_id, ops)
    return JsonResponse(
        {
            "kept": [str(kept) for kept in answer.kept],
            "refused": [{"uuid": str(refusal.uuid), "why": refusal.why} for refusal in answer.refused],
            **_told(loadout.load_out_list(event_id)),
        }
    )


def _told(the_list: LoadOutList) -> dict[str, Any]:
    states = [state for group in the_list.groups for state in group.lines]
    return {
        "lines": {str(state.line.pk): {"count": state.count, "by": state.by} for state in states},
        "hands": [f"{name} {count}" for name, count in the_list.hands],
    }


def _read(body: bytes) -> list[TickOp]:
    try:
        sent = json.loads(body)
        ops = [_op(op) for op in sent["ops"]]
    except (ValueError, KeyError, TypeError, OverflowError):
        raise NotTicks("Ticks have a uuid, a line, a count, and the time at which they were made.") from None
    if len(ops) > MOST_TICKS_AT_ONCE:
        raise NotTicks(f"Send at most {MOST_TICKS_AT_ONCE} ticks at once.")
    return ops


def _op(sent: dict[str, Any]) -> TickOp:
    if not isinstance(sent["line"], int) or not isinstance(sent["count"], int):
        raise TypeError
    made_at = datetime.fromisoformat(sent["made_at"])
    return TickOp(
        uuid=uuid.UUID(str(sent["uuid"])),
        line_id=sent["line"],
        count=sent["count"],
        made_at=made_at.astimezone(UTC),
        phone=clean_text(str(sent.get("phone", "")))[:36],
    )


def _pressed(request: StudioRequest, event_id: int) -> HttpResponse:
    """A tick without script: ``line:count:uuid`` of the button, or ``line::uuid`` with the number beside
    it."""
    back = redirect(links.to("events:load-out", event_id))
    try:
        line, count, name = request.POST.get("tick", "").split(":")
        wanted = int(count or request.POST.get(f"some-{line}", ""))
        op = TickOp(uuid.UUID(name), int(line), wanted, timezone.now(), "no script")
    except ValueError:
        messages.error(request, "Write how many are in, as a whole number.")
        return back
    refused: Sequence[loadout.Refused] = loadout.tick(event_id, [op]).refused
    for refusal in refused:
        messages.error(request, refusal.why)
    return back

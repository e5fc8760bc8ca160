"""Counting back: the load-out list backwards, for a thumb; it works without script as well."""

from __future__ import annotations

import uuid
from typing import Final

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from events.crew_phones.phone_links import this_event
from events.loadout import hours, load_list, loadout_json, returns, ticks
from events.loadout.line_states import LineState, LoadOutList
from events.loadout.ticks import TickOp
from events.models import Stage, TickKind
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.offline import kept_on_phones

NUMBERS: Final = ("back", "mend", "broken", "lost", "used")


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_LOAD_OUT, linked_to=this_event)
@kept_on_phones
def return_list(request: StudioRequest, event_id: int) -> HttpResponse:
    """What came back of what went out; a POST keeps the numbers and, if asked, counts the event back."""
    the_list = load_list.load_out_list(event_id)
    if request.method == "POST":
        return _posted(request, the_list)
    return _page(request, the_list)


# --- Private ---


def _page(request: StudioRequest, the_list: LoadOutList, faults: list[str] | None = None) -> HttpResponse:
    rows = [(row.state, row.comes_back, _typed(request, row.state)) for row in returns.to_come_home(the_list)]
    context = {
        "list": the_list,
        "event": the_list.event,
        "told": loadout_json.shown(the_list),
        "rows": rows,
        "counted": sum(state.is_accounted_for for state in the_list.states),
        "is_closed": the_list.event.stage == Stage.COUNTED_BACK,
        "is_out": the_list.event.stage in (Stage.PREPARED, Stage.INSTALLED),
        "may_count": request.tenant.can(Right.TICK_LOAD_OUT) and the_list.event.is_agreed,
        "tasks": hours.spent(the_list),
        "faults": faults or [],
    }
    return render(request, "events/loadout/return_list.html", context, status=422 if faults else 200)


def _posted(request: StudioRequest, the_list: LoadOutList) -> HttpResponse:
    ops, faults = [], []
    for state in the_list.states:
        try:
            op = _op(request, state)
        except ValueError:
            faults.append(f"{state.line.label}: whole numbers, please.")
        else:
            ops += [op] if op else []
    if faults:
        return _page(request, the_list, faults)
    faults = [refusal.why for refusal in ticks.tick(the_list.event.pk, ops).refused]
    if not faults and request.POST.get("do") == "close":
        try:
            returns.count_back(the_list.event.pk)
        except returns.CannotCountBack as refusal:
            faults = refusal.messages
    if faults:
        return _page(request, load_list.load_out_list(the_list.event.pk), faults)
    messages.success(request, "Counted back." if request.POST.get("do") == "close" else "Kept.")
    after = "events:load-out" if request.tenant.phone else "events:event"
    return redirect(links.to(after, the_list.event.pk))


def _typed(request: StudioRequest, state: LineState) -> dict[str, str]:
    """The numbers of a line as they were typed, else as they are known."""
    back = state.back
    known = (back.whole, back.mend, back.broken, back.lost, back.used) if back else ("",) * len(NUMBERS)
    return {
        name: request.POST.get(f"{name}-{state.line.pk}", str(number))
        for name, number in zip(NUMBERS, known, strict=True)
    }


def _op(request: StudioRequest, state: LineState) -> TickOp | None:
    """What was typed for a line, if it says something new. Raises ``ValueError``."""
    typed = [request.POST.get(f"{name}-{state.line.pk}", "").strip() for name in NUMBERS]
    if not any(typed):
        return None
    whole, mend, broken, lost, used = (int(number or 0) for number in typed)
    back = state.back
    if back and (back.whole, back.mend, back.broken, back.lost, back.used) == (
        whole,
        mend,
        broken,
        lost,
        used,
    ):
        return None
    return TickOp(
        uuid.uuid4(),
        state.line.pk,
        whole,
        timezone.now(),
        "no script",
        kind=TickKind.BACK,
        mend=mend,
        broken=broken,
        lost=lost,
        used=used,
    )

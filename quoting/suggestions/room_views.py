"""Fitting a set piece into its site: asked for, looked at, taken."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from quoting.craft.change.room_check import Candidate
from quoting.craft.design.faults import DesignError
from quoting.design_library import library
from quoting.quotes import sheet
from quoting.set_pieces.size_bench import bench
from quoting.set_pieces.worked import worked
from quoting.suggestions import into_room
from quoting.suggestions.room_form import FitForm
from studio.people.gates import studio_page
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_QUOTES)
def fit(request: HttpRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """What fills the site best. ``?fit=1`` asks; a POST with the same room takes what was chosen."""
    studio = request.tenant.studio  # type: ignore[attr-defined]
    piece = library.set_piece(quote_id, piece_id)
    quote = sheet.find(quote_id)
    asked = request.POST if request.method == "POST" else request.GET if "fit" in request.GET else None
    form = FitForm(asked, room=into_room.room_of(quote, piece), units=studio.units)
    context: dict[str, Any] = {"quote": quote, "piece": piece, "form": form, "studio": studio}
    context["back"] = links.to("quoting:quote", quote_id) + f"?piece={piece_id}"
    if not form.is_bound:
        return render(request, "quoting/suggestions/room.html", context)
    if not form.is_valid():
        return render(request, "quoting/suggestions/room.html", context, status=422)
    owned, free = into_room.owned_by_studio(quote, piece)
    try:
        answer = into_room.fit(piece, form.room, owned, free)
        if request.method == "POST" and answer.chosen and answer.chosen.design:
            into_room.take(
                quote_id, piece_id, answer.chosen.design, version=_number(request.POST.get("version"))
            )
            messages.success(request, f"{piece.name} is fitted to the site; undo takes it back.")
            return redirect(context["back"])
        context |= {"answer": answer, **_shown(answer.chosen, studio.units)}
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


def _shown(chosen: Candidate | None, units: str) -> dict[str, Any]:
    if chosen is None or chosen.design is None:
        return {}
    made = worked(chosen.design)
    return {
        "best": into_room.words(chosen, units),
        "bench": bench(made.picture, made.takeoff, ceiling_m=None, units=units),
        "balloons": made.takeoff["balloons"],
    }


def _number(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 18 else 0

"""The lifelike picture of a set piece: asked for, waited for, seen."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from quoting.design_library import library
from quoting.models import SetPiece, StillRoom
from quoting.stills import presenter, stills, venue
from quoting.stills import small as small_pictures
from quoting.stills.forms import LookForm
from quoting.stills.venue import NoPhoto
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_QUOTES)
def still(request: StudioRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """The picture of a piece as it stands, and the form that asks for one."""
    piece = library.set_piece(quote_id, piece_id)
    has_photo = venue.is_marked(piece)
    if request.method != "POST":
        initial = {"room": piece.still_room, "turn_deg": piece.still_turn_deg}
        return _page(request, piece, LookForm(initial=initial, has_photo=has_photo))
    require(Right.EDIT_QUOTES)
    form = LookForm(request.POST, has_photo=has_photo)
    if not form.is_valid():
        return _page(request, piece, form, status=422)
    try:
        stills.show_in(piece, form.cleaned_data["room"], form.cleaned_data["turn_deg"])
    except NoPhoto:
        form.add_error("room", "The photo was taken away just now. Choose another place.")
        return _page(request, library.set_piece(quote_id, piece_id), form, status=422)
    return redirect(links.to("quoting:piece-still", quote_id, piece_id))


@require_safe
@studio_page(Right.SEE_QUOTES)
def picture(request: StudioRequest, digest: str) -> HttpResponse:
    """The picture as a file; ``?small`` for a phone."""
    return stills.picture_response(stills.picture(stills.find(digest), small="small" in request.GET))


@require_safe
@studio_page(Right.SEE_LOAD_OUT, linked_to=small_pictures.event_of, many_at_once=True)
def small(request: StudioRequest, piece_id: int, digest: str) -> HttpResponse:
    """The small picture of a piece, for lists; ``?wide`` where it stands beside photos."""
    return small_pictures.response(piece_id, digest, wide="wide" in request.GET)


# Private


def _page(request: StudioRequest, piece: SetPiece, form: LookForm, *, status: int = 200) -> HttpResponse:
    context = {
        "piece": piece,
        "quote": piece.quote,
        "form": form,
        "shown": presenter.shown(stills.of_piece(piece)),
        "are_made": stills.are_made(),
        "has_photo": form.has_photo,
        "lacks_photo": piece.still_room == StillRoom.VENUE and not form.has_photo,
    }
    template = "quoting/stills/_still.html" if request.htmx else "quoting/stills/still.html"
    return render(request, template, context, status=status)

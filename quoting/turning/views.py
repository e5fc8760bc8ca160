"""A set piece to turn in the hand: the page, and the file of the model."""

from __future__ import annotations

from csp.decorators import csp_update
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from quoting.design_library import library
from quoting.turning import in_room, turned
from studio import tenancy
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.people.rate_limit import LINK, limited
from studio.tenancy.rights import Right, Role


@csp_update({"style-src": [turned.VIEWER_STYLE]})
@require_safe
@studio_page(Right.SEE_QUOTES)
def turn(request: StudioRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """The piece, turned by a finger once somebody asks for it."""
    shown = turned.turned(quote_id, piece_id, request.tenant.studio.units)
    room = in_room.addresses("room-piece", request.tenant.studio.pk, quote_id, piece_id)
    context = {"shown": shown, "quote": shown.piece.quote, "room": room}
    return render(request, "quoting/turning/turn.html", context)


@require_safe
@studio_page(Right.SEE_QUOTES)
def model(request: StudioRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """The model as a binary glTF file."""
    piece = library.set_piece(quote_id, piece_id)
    return turned.model_response(piece.name, turned.model_of(piece.read_design(), piece.name))


@require_safe
@limited(LINK, "model in a room")
def room_piece(request: HttpRequest, token: str, ending: str) -> HttpResponse:
    """A quote's piece for a phone's own viewer."""
    try:
        parts = in_room.read("room-piece", token)
    except in_room.Ended:
        return in_room.ended_response()
    if parts is None:
        raise Http404
    studio_id, quote_id, piece_id = map(int, parts)
    with tenancy.entered(studio_id, role=Role.STAFF):
        piece = library.set_piece(quote_id, piece_id)
        return in_room.response(ending, piece.read_design(), piece.name)

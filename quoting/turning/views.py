"""A set piece to turn in the hand: the page, and the file of the model."""

from __future__ import annotations

from csp.decorators import csp_update
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from quoting.design_library import library
from quoting.turning import turned
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy.rights import Right


@csp_update({"style-src": [turned.VIEWER_STYLE]})
@require_safe
@studio_page(Right.SEE_QUOTES)
def turn(request: StudioRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """The piece, turned by a finger once somebody asks for it."""
    shown = turned.turned(quote_id, piece_id, request.tenant.studio.units)
    return render(request, "quoting/turning/turn.html", {"shown": shown, "quote": shown.piece.quote})


@require_safe
@studio_page(Right.SEE_QUOTES)
def model(request: StudioRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """The model as a binary glTF file."""
    piece = library.set_piece(quote_id, piece_id)
    return turned.model_response(piece.name, turned.model_of(piece.read_design(), piece.name))

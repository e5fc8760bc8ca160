"""A set piece to turn in the hand: the page, and the file of the model."""

from __future__ import annotations

from typing import Final

from csp.decorators import csp_update
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from quoting.design_library import library
from quoting.turning import turned
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy.rights import Right

VIEWER_STYLE: Final = "'sha256-PXtZZkJMMyc18o/DN1ZEFOJ2qEGq95IQbVaJFMOXOb0='"
"""The one style sheet that the viewer writes into the page, by its hash."""


@csp_update({"style-src": [VIEWER_STYLE]})
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
    response = HttpResponse(turned.model_of(piece), content_type="model/gltf-binary")
    name = slugify(piece.name)[:60] or "set-piece"
    response["Content-Disposition"] = f'inline; filename="{name}.glb"'
    response["Cache-Control"] = "private, no-cache"
    return response

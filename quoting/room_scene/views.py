"""All set pieces of a quote in one picture."""

from __future__ import annotations

from typing import Final

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from quoting.quotes import sheet
from quoting.quotes.steps import ClosedSketch, StaleSketch
from quoting.room_scene import presenter, scene
from quoting.room_scene.forms import PhotoForm, PlaceForm, marked
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right

PAGE: Final = "quoting/room_scene/room.html"
PART: Final = "quoting/room_scene/_room.html"


@require_safe
@studio_page(Right.SEE_QUOTES)
def room(request: StudioRequest, quote_id: int) -> HttpResponse:
    """The pieces as they stand, and the photo behind them."""
    return _page(request, quote_id)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def place_piece(request: StudioRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """Stand a piece elsewhere."""
    form = PlaceForm(request.POST, units=request.tenant.studio.units, prefix=f"p{piece_id}")
    if not form.is_valid():
        return _page(request, quote_id, refused={piece_id: form}, status=422)
    typed = form.cleaned_data
    try:
        scene.place(quote_id, piece_id, typed["x_m"], typed["back_m"], version=typed["version"])
    except (StaleSketch, ClosedSketch) as refusal:
        return _page(request, quote_id, told=refusal.messages, status=409)
    except ValidationError as refusal:
        return _page(request, quote_id, told=refusal.messages, status=422)
    if request.htmx:
        return _page(request, quote_id)
    return redirect(links.to("quoting:room-scene", quote_id))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def put_photo_behind(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Put a photo of the venue behind the pieces, or move its marks."""
    photos = scene.photos_for(sheet.find_quote(quote_id))
    form = PhotoForm(request.POST, photos=photos, units=request.tenant.studio.units)
    if not form.is_valid():
        return _page(request, quote_id, photo_form=form, status=422)
    try:
        scene.put_behind(quote_id, form.cleaned_data["photo"], form.marks)
    except ValidationError as refusal:
        form.take_refusal(refusal.message_dict)
        return _page(request, quote_id, photo_form=form, status=422)
    return redirect(links.to("quoting:room-scene", quote_id))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def take_away_photo(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Show the drawn room again."""
    scene.take_away_photo(quote_id)
    messages.success(request, "The photo was taken out of the picture. The file itself was not deleted.")
    return redirect(links.to("quoting:room-scene", quote_id))


# Private


def _page(
    request: StudioRequest,
    quote_id: int,
    *,
    refused: dict[int, PlaceForm] | None = None,
    photo_form: PhotoForm | None = None,
    told: list[str] | None = None,
    status: int = 200,
) -> HttpResponse:
    found, units = scene.scene(quote_id), request.tenant.studio.units
    photos = scene.photos_for(found.quote)
    context = {
        "quote": found.quote,
        "scene": found,
        "rows": presenter.piece_rows(found, units, refused),
        "in_the_way": presenter.in_the_way(found, units),
        "camera": presenter.camera_words(found, units),
        "photos": photos,
        "photo_form": photo_form or PhotoForm(photos=photos, units=units, initial=marked(found.photo)),
        "told": told or [],
    }
    return render(request, PART if request.htmx else PAGE, context, status=status)

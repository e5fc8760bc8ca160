"""The photo of an item: shown, taken in, taken away."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from stock import item_photos
from stock.forms import PhotoForm
from stock.models import Item
from stock.views import items
from stock.views.request import StudioRequest
from studio import links
from studio.access import Right, studio_page


@require_safe
@studio_page(Right.SEE_SHELF)
def photo(request: StudioRequest, item_id: int) -> HttpResponse:
    """The picture. Pages ask for it by its digest, so a browser may keep it for a day."""
    file = item_photos.content(item_id)
    response = HttpResponse(bytes(file.content), content_type=file.media_type)
    response["Cache-Control"] = "private, max-age=86400"
    return response


@require_POST
@studio_page(Right.EDIT_SHELF)
def keep(request: StudioRequest, item_id: int) -> HttpResponse:
    """Take a photo in; it takes the place of the one before."""
    found = get_object_or_404(Item, pk=item_id)
    form = PhotoForm(request.POST, request.FILES, prefix="photo")
    if form.is_valid():
        upload = form.cleaned_data["photo"]
        try:
            item_photos.keep(found, upload, size=upload.size)
        except ValidationError as refusal:
            form.add_error("photo", refusal.messages)
    if form.errors:
        return items.shown(request, items.find(item_id), photo=form)
    messages.success(request, f"{found.name} has its photo.")
    return redirect(links.to("stock:item", found.pk))


@require_POST
@studio_page(Right.EDIT_SHELF)
def remove(request: StudioRequest, item_id: int) -> HttpResponse:
    """Show no photo any more."""
    found = get_object_or_404(Item, pk=item_id)
    item_photos.remove(found)
    messages.success(request, f"{found.name} has no photo any more.")
    return redirect(links.to("stock:item", found.pk))

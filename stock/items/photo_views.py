"""The photo of an item: shown, taken in, taken away."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from stock.catalogue.forms import PhotoForm
from stock.items import photos, views
from stock.models import Item
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.SEE_SHELF)
def photo(request: StudioRequest, item_id: int) -> HttpResponse:
    """The picture. Pages ask for it by its digest, so a browser may keep it for a day."""
    file = photos.content(item_id)
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
            photos.keep(found, upload, size=upload.size)
        except ValidationError as refusal:
            form.add_error("photo", refusal.messages)
    if form.errors:
        return views.shown(request, views.find(item_id), photo=form)
    messages.success(request, f"{found.name} has its photo.")
    return redirect(links.to("stock:item", found.pk))


@require_POST
@studio_page(Right.EDIT_SHELF)
def remove(request: StudioRequest, item_id: int) -> HttpResponse:
    """Show no photo any more."""
    found = get_object_or_404(Item, pk=item_id)
    photos.remove(found)
    messages.success(request, f"{found.name} has no photo any more.")
    return redirect(links.to("stock:item", found.pk))

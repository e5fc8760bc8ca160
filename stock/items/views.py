"""Pages of one item: its facts, its movements, its photo, its tags."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import OuterRef, Subquery
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from stock.care import tagged_items
from stock.care.forms import TagForm
from stock.catalogue import items as catalogue
from stock.catalogue.fields import KeyedForm, add_refusal, is_saved
from stock.counting import stocktake
from stock.holds import holds
from stock.items import photos
from stock.items.forms import CountForm, ItemForm, PhotoForm, ReceiveForm, SetAsideForm, WriteOffForm
from stock.items.presenter import item_page
from stock.ledger import movements
from stock.models import Colour, Hold, Item, ItemPhoto, Kind, MovementKind, Purpose
from studio.people.body_limits import PICTURE_BYTES, takes_bodies_of
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.SEE_SHELF)
def show_item(request: StudioRequest, item_id: int) -> HttpResponse:
    """The item's page."""
    return _render_item(request, _find_item(item_id))


# --- Facts ---


@require_safe
@studio_page(Right.EDIT_SHELF)
def choose_kind(request: StudioRequest) -> HttpResponse:
    """The kinds of items to choose from."""
    has_colours = Colour.objects.filter(retired_at=None).exists()
    return render(request, "stock/items/choose_kind.html", {"has_colours": has_colours})


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def add_item(request: StudioRequest, kind: str) -> HttpResponse:
    """Add an item, and how many of it there are."""
    if kind not in Kind.values:
        raise Http404
    form = _item_form(request, Kind(kind))
    if request.method == "POST" and form.is_valid():
        try:
            with transaction.atomic():
                added = catalogue.add_item(kind=Kind(kind), place=form.cleaned_data["place"], **form.facts())
                if opening := form.cleaned_data["opening"]:
                    movements.open_with([catalogue.Material(added.code, opening)])
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, f"{added.name} is on the shelf.")
            return redirect(links.to("stock:item", added.pk))
    context = {"form": form, "kind": Kind(kind)}
    return render(request, "stock/items/item_form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def change_item(request: StudioRequest, item_id: int) -> HttpResponse:
    """Change the facts of an item; another place is a movement."""
    item = _find_item(item_id)
    form = _item_form(request, Kind(item.kind), item)
    if request.method == "POST" and form.is_valid():
        try:
            with transaction.atomic():
                catalogue.change_item(item, **form.facts())
                movements.move(item.pk, form.cleaned_data["place"])
        except ValidationError as refusal:
            add_refusal(form, refusal)
            item.refresh_from_db()
        else:
            messages.success(request, f"{item.name} saved.")
            return redirect(links.to("stock:item", item.pk))
    context = {"form": form, "kind": Kind(item.kind), "item": item}
    return render(request, "stock/items/item_form.html", context, status=422 if form.errors else 200)


@require_POST
@studio_page(Right.EDIT_SHELF)
def retire_item(request: StudioRequest, item_id: int) -> HttpResponse:
    """Take an item out of use; the notice offers to undo it."""
    item = _find_item(item_id)
    catalogue.retire_item(item)
    restore = links.to("stock:item-restore", item.pk)
    messages.success(request, f"{item.name} is out of use.", extra_tags=restore)
    return redirect(links.to("stock:shelf"))


@require_POST
@studio_page(Right.EDIT_SHELF)
def restore_item(request: StudioRequest, item_id: int) -> HttpResponse:
    """Use a retired item again."""
    item = _find_item(item_id)
    catalogue.restore_item(item)
    messages.success(request, f"{item.name} is in use again.")
    return redirect(links.to("stock:item", item.pk))


# --- Movements ---


@require_POST
@studio_page(Right.EDIT_SHELF)
def receive_item(request: StudioRequest, item_id: int) -> HttpResponse:
    """Put what came in on the shelf."""
    item = _find_item(item_id)
    form = ReceiveForm(request.POST, prefix="receive", item=item)
    if not form.is_valid():
        return _render_item(request, item, receive=form)
    data = form.cleaned_data
    return _write_movement(request, item, form, lambda: movements.receive(
        item.pk, data["total"], key=data["key"], reason=data["reason"], batch=data["batch"]
    ))  # fmt: skip


@require_POST
@studio_page(Right.EDIT_SHELF)
def count_item(request: StudioRequest, item_id: int) -> HttpResponse:
    """Set the number owned to what was counted."""
    item = _find_item(item_id)
    form = CountForm(request.POST, prefix="count")
    if not form.is_valid():
        return _render_item(request, item, count=form)
    data = form.cleaned_data
    return _write_movement(request, item, form, lambda: stocktake.count_all(
        item.pk, data["quantity"], key=data["key"], reason=data["reason"]
    ))  # fmt: skip


@require_POST
@studio_page(Right.EDIT_SHELF)
def write_off_item(request: StudioRequest, item_id: int) -> HttpResponse:
    """Write off what is broken or lost."""
    item = _find_item(item_id)
    form = WriteOffForm(request.POST, prefix="write_off")
    if not form.is_valid():
        return _render_item(request, item, write_off=form)
    data = form.cleaned_data
    return _write_movement(request, item, form, lambda: movements.write_off(
        item.pk, data["quantity"], kind=MovementKind(data["kind"]), key=data["key"], reason=data["reason"]
    ))  # fmt: skip


@require_POST
@studio_page(Right.EDIT_SHELF)
def set_item_aside(request: StudioRequest, item_id: int) -> HttpResponse:
    """Take some of an item out of service for cleaning or repair."""
    item = _find_item(item_id)
    form = SetAsideForm(request.POST, prefix="set_aside")
    if form.is_valid():
        data = form.cleaned_data
        until = datetime.combine(data["until"], datetime.min.time(), tzinfo=request.tenant.studio.tz)
        purpose = Purpose(data["purpose"])
        if is_saved(form, lambda: holds.set_aside(
            item.pk, data["quantity"], until=until, purpose=purpose, why=data["why"], key=data["key"]
        )):  # fmt: skip
            messages.success(request, f"{item.name}: {data['quantity']} set aside.")
            return redirect(links.to("stock:item", item.pk))
    return _render_item(request, item, set_aside=form)


@require_POST
@studio_page(Right.EDIT_SHELF)
def return_to_service(request: StudioRequest, item_id: int, hold_id: int) -> HttpResponse:
    """Count again what was set aside."""
    item = _find_item(item_id)
    get_object_or_404(Hold, pk=hold_id)
    try:
        with transaction.atomic():
            holds.back_in_service(hold_id, key=f"back-in-service-{hold_id}")
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"{item.name} is back in service.")
    return redirect(links.to("stock:item", item.pk))


# --- Photo and tags ---


@require_safe
@studio_page(Right.SEE_SHELF, many_at_once=True)
def show_photo(request: StudioRequest, item_id: int) -> HttpResponse:
    """The picture. Pages ask for it by its digest, so a browser may keep it for a day."""
    file = photos.find_photo(item_id)
    response = HttpResponse(bytes(file.content), content_type=file.media_type)
    response["Cache-Control"] = "private, max-age=86400"
    return response


@takes_bodies_of(PICTURE_BYTES)
@require_POST
@studio_page(Right.EDIT_SHELF)
def save_photo(request: StudioRequest, item_id: int) -> HttpResponse:
    """Save a photo; it replaces the one before."""
    item = _find_item(item_id)
    form = PhotoForm(request.POST, request.FILES, prefix="photo")
    if form.is_valid():
        upload = form.cleaned_data["photo"]
        try:
            photos.save_photo(item, upload, size=upload.size)
        except ValidationError as refusal:
            form.add_error("photo", refusal.messages)
    if form.errors:
        return _render_item(request, item, photo=form)
    messages.success(request, f"Photo of {item.name} saved.")
    return redirect(links.to("stock:item", item.pk))


@require_POST
@studio_page(Right.EDIT_SHELF)
def remove_photo(request: StudioRequest, item_id: int) -> HttpResponse:
    """Remove the photo."""
    item = _find_item(item_id)
    photos.remove_photo(item)
    messages.success(request, f"Photo of {item.name} removed.")
    return redirect(links.to("stock:item", item.pk))


@require_POST
@studio_page(Right.EDIT_SHELF)
def tag_item(request: StudioRequest, item_id: int) -> HttpResponse:
    """Give one of an item a tag of its own."""
    item = _find_item(item_id)
    form = TagForm(request.POST, prefix="tag")
    if form.is_valid() and is_saved(form, lambda: tagged_items.add_tag(item.pk, **form.cleaned_data)):
        messages.success(request, f"Tag {form.cleaned_data['tag']} added.")
        return redirect(links.to("stock:item", item.pk))
    return _render_item(request, item, tag=form)


# --- Private ---


def _find_item(item_id: int) -> Item:
    """The item with its colour, its frame if it is a cover, and the digest of its photo (``photo``)."""
    photo = ItemPhoto.objects.filter(item=OuterRef("pk")).values("file__digest")[:1]
    items = Item.objects.select_related("colour", "fits_frame").annotate(photo=Subquery(photo))
    return get_object_or_404(items, pk=item_id)


def _render_item(request: StudioRequest, item: Item, **bound: forms.Form) -> HttpResponse:
    """The page, with the forms as they were sent where one was refused."""
    studio = request.tenant.studio
    context: dict[str, object] = {
        "item": item,
        "page": item_page(item, studio),
        "receive": ReceiveForm(prefix="receive", item=item),
        "count": CountForm(prefix="count"),
        "write_off": WriteOffForm(prefix="write_off"),
        "set_aside": SetAsideForm(prefix="set_aside"),
        "photo": PhotoForm(prefix="photo"),
        "tag": TagForm(prefix="tag"),
        "tagged_items": tagged_items.list_tagged_items(item) if item.is_reusable else [],
        "today": timezone.localdate(timezone=studio.tz),
        **bound,
    }
    return render(request, "stock/items/item.html", context, status=422 if bound else 200)


def _item_form(request: StudioRequest, kind: Kind, item: Item | None = None) -> ItemForm:
    return ItemForm(
        request.POST or None,
        kind=kind,
        studio=request.tenant.studio,
        sees_costs=request.tenant.can(Right.SEE_COSTS.name),
        item=item,
    )


def _write_movement(
    request: StudioRequest, item: Item, form: KeyedForm, write: Callable[[], movements.Written]
) -> HttpResponse:
    """Write it and go back to the page; what the ledger refuses is shown at its field."""
    try:
        with transaction.atomic():
            written = write()
    except ValidationError as refusal:
        form.add_error(None if not hasattr(refusal, "error_dict") else "quantity", refusal.messages)
        return _render_item(request, item, **{str(form.prefix): form})
    messages.success(request, f"{item.name}: {written.quantity:+d}, now {written.on_hand}.")
    return redirect(links.to("stock:item", item.pk))

"""One item: its page, its movements, adding, changing, retiring."""

from __future__ import annotations

from datetime import datetime
from typing import Any, cast

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import OuterRef, Subquery
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from stock.care import tagged_items
from stock.care.forms import TagForm
from stock.catalogue import items as catalogue
from stock.catalogue.forms import (
    CountForm,
    ItemForm,
    KeyedForm,
    PhotoForm,
    ReceiveForm,
    SetAsideForm,
    WriteOffForm,
)
from stock.counting import stocktake
from stock.holds import holds
from stock.items.presenter import item_page
from stock.ledger import movements
from stock.models import Colour, Hold, Item, ItemPhoto, Kind, MovementKind, Purpose
from studio.people.gates import studio_page
from studio.people.page_request import PageTenant
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.SEE_SHELF)
def item(request: HttpRequest, item_id: int) -> HttpResponse:
    """The item's page."""
    return shown(request, find(item_id))


@require_POST
@studio_page(Right.EDIT_SHELF)
def receive(request: HttpRequest, item_id: int) -> HttpResponse:
    """Put on the shelf what came in."""
    found = find(item_id)
    form = ReceiveForm(request.POST, prefix="receive", item=found)
    if not form.is_valid():
        return shown(request, found, receive=form)
    data = form.cleaned_data
    return _done(request, found, form, "receive", lambda: movements.receive(
        found.pk, data["total"], key=data["key"], reason=data["reason"], batch=data["batch"]
    ))  # fmt: skip


@require_POST
@studio_page(Right.EDIT_SHELF)
def count(request: HttpRequest, item_id: int) -> HttpResponse:
    """Set the shelf to what was counted."""
    found = find(item_id)
    form = CountForm(request.POST, prefix="count")
    if not form.is_valid():
        return shown(request, found, count=form)
    data = form.cleaned_data
    return _done(request, found, form, "count", lambda: stocktake.count_all(
        found.pk, data["quantity"], key=data["key"], reason=data["reason"]
    ))  # fmt: skip


@require_POST
@studio_page(Right.EDIT_SHELF)
def write_off(request: HttpRequest, item_id: int) -> HttpResponse:
    """Take out of the number what broke or got lost."""
    found = find(item_id)
    form = WriteOffForm(request.POST, prefix="write_off")
    if not form.is_valid():
        return shown(request, found, write_off=form)
    data = form.cleaned_data
    return _done(request, found, form, "write_off", lambda: movements.write_off(
        found.pk, data["quantity"], kind=MovementKind(data["kind"]), key=data["key"], reason=data["reason"]
    ))  # fmt: skip


@require_safe
@studio_page(Right.EDIT_SHELF)
def choose_kind(request: HttpRequest) -> HttpResponse:
    """What sort of thing is to be added."""
    return render(
        request, "stock/items/choose_kind.html", {"has_colours": Colour.objects.filter(retired_at=None).exists()}
    )


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def add(request: HttpRequest, kind: str) -> HttpResponse:
    """A new item, and how many of it there are."""
    if kind not in Kind.values:
        raise Http404
    form = _form(request, Kind(kind))
    if request.method == "POST" and form.is_valid():
        try:
            with transaction.atomic():
                added = catalogue.add_item(kind=Kind(kind), place=form.cleaned_data["place"], **form.facts())
                if opening := form.cleaned_data["opening"]:
                    movements.open_with([catalogue.Material(added.code, opening)])
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, f"{added.name} is on the shelf.")
            return redirect(links.to("stock:item", added.pk))
    context = {"form": form, "kind": Kind(kind)}
    return render(request, "stock/items/item_form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def change(request: HttpRequest, item_id: int) -> HttpResponse:
    """Other facts about an item; another place is a movement."""
    found = find(item_id)
    form = _form(request, Kind(found.kind), found)
    if request.method == "POST" and form.is_valid():
        try:
            with transaction.atomic():
                catalogue.change_item(found, **form.facts())
                movements.move(found.pk, form.cleaned_data["place"])
        except ValidationError as refusal:
            form.refuse(refusal)
            found.refresh_from_db()
        else:
            messages.success(request, f"{found.name} is changed.")
            return redirect(links.to("stock:item", found.pk))
    context = {"form": form, "kind": Kind(found.kind), "item": found}
    return render(request, "stock/items/item_form.html", context, status=422 if form.errors else 200)


@require_POST
@studio_page(Right.EDIT_SHELF)
def retire(request: HttpRequest, item_id: int) -> HttpResponse:
    """Take an item out of use; the notice brings it back."""
    found = find(item_id)
    catalogue.retire(found)
    messages.success(
        request, f"{found.name} is out of use.", extra_tags=links.to("stock:bring-back", found.pk)
    )
    return redirect(links.to("stock:shelf"))


@require_POST
@studio_page(Right.EDIT_SHELF)
def bring_back(request: HttpRequest, item_id: int) -> HttpResponse:
    """Use a retired item again."""
    found = find(item_id)
    catalogue.bring_back(found)
    messages.success(request, f"{found.name} is in use again.")
    return redirect(links.to("stock:item", found.pk))


@require_POST
@studio_page(Right.EDIT_SHELF)
def set_aside(request: HttpRequest, item_id: int) -> HttpResponse:
    """Take pieces out of service for the wash or for mending."""
    found = find(item_id)
    form = SetAsideForm(request.POST, prefix="set_aside")
    if not form.is_valid():
        return shown(request, found, set_aside=form)
    data = form.cleaned_data
    tz = _tenant(request).studio.tz
    try:
        with transaction.atomic():
            holds.set_aside(
                found.pk,
                data["quantity"],
                until=datetime.combine(data["until"], datetime.min.time(), tzinfo=tz),
                purpose=Purpose(data["purpose"]),
                why=data["why"],
                key=data["key"],
            )
    except ValidationError as refusal:
        form.add_error(None, refusal.messages)
        return shown(request, found, set_aside=form)
    messages.success(request, f"{found.name}: {data['quantity']} set aside.")
    return redirect(links.to("stock:item", found.pk))


@require_POST
@studio_page(Right.EDIT_SHELF)
def back_in_service(request: HttpRequest, item_id: int, hold_id: int) -> HttpResponse:
    """What was set aside counts again."""
    found = find(item_id)
    get_object_or_404(Hold, pk=hold_id)
    try:
        with transaction.atomic():
            holds.back_in_service(hold_id, key=f"back-in-service-{hold_id}")
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"{found.name} counts again.")
    return redirect(links.to("stock:item", found.pk))


def find(item_id: int) -> Item:
    """The item with its colour, its frame if it is a cover, and the digest of its photo (``photo``)."""
    photo = ItemPhoto.objects.filter(item=OuterRef("pk")).values("file__digest")[:1]
    items = Item.objects.select_related("colour", "fits_frame").annotate(photo=Subquery(photo))
    return get_object_or_404(items, pk=item_id)


def shown(request: HttpRequest, found: Item, **bound: forms.Form) -> HttpResponse:
    """The page, with the forms as they were sent where one was refused."""
    context: dict[str, Any] = {
        "item": found,
        "page": item_page(found, _tenant(request).studio),
        "receive": ReceiveForm(prefix="receive", item=found),
        "count": CountForm(prefix="count"),
        "write_off": WriteOffForm(prefix="write_off"),
        "set_aside": SetAsideForm(prefix="set_aside"),
        "photo": PhotoForm(prefix="photo"),
        "tag": TagForm(prefix="tag"),
        "pieces": tagged_items.of(found) if found.is_reusable else [],
        "today": timezone.localdate(timezone=_tenant(request).studio.tz),
        **bound,
    }
    return render(request, "stock/items/item.html", context, status=422 if bound else 200)


# --- Private
# --------------------------------------------------------------------------------------------------


def _tenant(request: HttpRequest) -> PageTenant:
    return cast("PageTenant", request.tenant)  # type: ignore[attr-defined]


def _form(request: HttpRequest, kind: Kind, found: Item | None = None) -> ItemForm:
    tenant = _tenant(request)
    return ItemForm(
        request.POST or None,
        kind=kind,
        studio=tenant.studio,
        sees_costs=tenant.can(Right.SEE_COSTS.name),
        item=found,
    )


def _done(request: HttpRequest, found: Item, form: KeyedForm, name: str, deed: Any) -> HttpResponse:
    """Do it and go back to the page; what the ledger refuses is shown at its field."""
    try:
        with transaction.atomic():
            written: movements.Written = deed()
    except ValidationError as refusal:
        form.add_error(None if not hasattr(refusal, "error_dict") else "quantity", refusal.messages)
        return shown(request, found, **{name: form})
    messages.success(request, f"{found.name}: {written.quantity:+d}, now {written.on_hand}.")
    return redirect(links.to("stock:item", found.pk))

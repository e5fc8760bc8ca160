"""Orders to suppliers, from writing them to the last bag."""

from __future__ import annotations

import secrets
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from stock.models import OrderLine, OrderState, PurchaseOrder, Supplier
from stock.orders import order_document, orders
from stock.orders.forms import DeliveryForm, OrderLineForm, SendBackForm, SendForm
from stock.orders.orders import Wanted
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.forms import MoneyField


@require_safe
@studio_page(Right.EDIT_SHELF)
def show_orders(request: StudioRequest) -> HttpResponse:
    """The newest orders: what is expected first."""
    found = orders.newest()
    on_the_way = sorted(
        (order for order in found if order.state == OrderState.SENT),
        key=lambda order: (order.expected_on, order.number),
    )
    context = {
        "on_the_way": on_the_way,
        "drafts": [order for order in found if order.state == OrderState.DRAFT],
        "over": [order for order in found if order.state in {OrderState.CLOSED, OrderState.CALLED_OFF}],
    }
    return render(request, "stock/orders/orders.html", context)


@require_POST
@studio_page(Right.SEE_COSTS)
def start_order(request: StudioRequest, supplier_id: int) -> HttpResponse:
    """A new, empty order."""
    supplier = get_object_or_404(Supplier, pk=supplier_id)
    key = request.POST.get("key", "")[:60] or secrets.token_urlsafe(12)
    try:
        with transaction.atomic():
            order = orders.write(supplier.pk, [], key=f"order-{key}")
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect(links.to("stock:supplier", supplier.pk))
    return redirect(links.to("stock:order", order.pk))


@require_safe
@studio_page(Right.EDIT_SHELF)
def show_order(request: StudioRequest, order_id: int) -> HttpResponse:
    """One order: what is on it, what came, what is still to come."""
    return _shown(request, orders.find(order_id))


@require_POST
@studio_page(Right.SEE_COSTS)
def set_order_line(request: StudioRequest, order_id: int) -> HttpResponse:
    """Put so many bags on an order that isn't sent; nought takes them off."""
    found = orders.find(order_id)
    form = OrderLineForm(request.POST, studio=request.tenant.studio)
    if not form.is_valid():
        return _shown(request, found, line_form=form)
    data = form.cleaned_data
    wanted = Wanted(data["item"].pk, data["bag_size"], data["bags"], data["price"])
    return _done(request, found, lambda: orders.set_line(found.pk, wanted), "The order is changed.", form)


@require_POST
@studio_page(Right.SEE_COSTS)
def send_order(request: StudioRequest, order_id: int) -> HttpResponse:
    """Mark the order as sent."""
    found = orders.find(order_id)
    form = SendForm(request.POST)
    if not form.is_valid():
        return _shown(request, found, send_form=form)
    expected_on = form.cleaned_data["expected_on"]
    deed = lambda: orders.send(found.pk, expected_on=expected_on)  # noqa: E731
    return _done(request, found, deed, "The order counts as sent. Give the supplier its PDF or CSV.", form)


@require_POST
@studio_page(Right.EDIT_SHELF)
def receive_delivery(request: StudioRequest, order_id: int) -> HttpResponse:
    """Put on the shelf what came."""
    found = orders.find(order_id)
    form = DeliveryForm(request.POST, lines=list(found.lines.all()))
    if not form.is_valid():
        return _shown(request, found, delivery=form)
    data = form.cleaned_data
    try:
        with transaction.atomic():
            told = orders.receive(found.pk, form.delivered(), key=data["key"], note=data["note"])
    except ValidationError as refusal:
        form.add_error(None, refusal.messages)
        return _shown(request, orders.find(order_id), delivery=form)
    rest = f"{told['due']:,} pieces are still to come." if told["due"] else "That was all of it."
    messages.success(request, f"{told['came']:,} pieces are on the shelf. {rest}")
    return redirect(links.to("stock:order", found.pk))


@require_POST
@studio_page(Right.EDIT_SHELF)
def close_order(request: StudioRequest, order_id: int) -> HttpResponse:
    """Expect nothing more."""
    found = orders.find(order_id)
    return _done(request, found, lambda: orders.close(found.pk), "Nothing more is expected of this order.")


@require_POST
@studio_page(Right.SEE_COSTS)
def cancel_order(request: StudioRequest, order_id: int) -> HttpResponse:
    """Give up an order of which nothing came."""
    found = orders.find(order_id)
    return _done(request, found, lambda: orders.call_off(found.pk), "The order is called off.")


@require_POST
@studio_page(Right.EDIT_SHELF)
def send_back(request: StudioRequest, order_id: int) -> HttpResponse:
    """Pieces that go back to the supplier."""
    found = orders.find(order_id)
    form = SendBackForm(request.POST, lines=list(found.lines.all()), prefix="back")
    if not form.is_valid():
        return _shown(request, found, back=form)
    data = form.cleaned_data
    deed = lambda: orders.send_back(  # noqa: E731
        int(data["line"]), data["pieces"], key=data["key"], reason=data["reason"]
    )
    return _done(request, found, deed, f"{data['pieces']:,} pieces go back.", form)


@require_POST
@studio_page(Right.SEE_COSTS)
def change_price(request: StudioRequest, order_id: int) -> HttpResponse:
    """The invoice says another price."""
    found = orders.find(order_id)
    number = request.POST.get("line", "")
    lines = OrderLine.objects.filter(order=found)
    line = get_object_or_404(lines, pk=int(number) if number.isdecimal() and len(number) < 18 else 0)
    studio = request.tenant.studio
    try:
        price = MoneyField(currency=studio.currency, locale=studio.locale).clean(request.POST.get("price"))
    except ValidationError as fault:
        messages.error(request, " ".join(fault.messages))
        return _shown(request, found, status=422)
    deed = lambda: orders.change_price(line.pk, price)  # noqa: E731
    return _done(request, found, deed, "The price is kept, here and on their list.")


@require_safe
@studio_page(Right.SEE_COSTS)
def download_pdf(request: StudioRequest, order_id: int) -> HttpResponse:
    """The PDF for the supplier; back to the page while there is none of the order as it stands."""
    found = orders.find(order_id)
    file = order_document.paper(found, request.tenant.studio).file
    if file is None:
        return redirect(links.to("stock:order", found.pk))
    return _file(bytes(file.content), file.media_type, f"order-{found.number}.pdf")


@require_POST
@studio_page(Right.SEE_COSTS)
def make_pdf(request: StudioRequest, order_id: int) -> HttpResponse:
    """Have the PDF made; the page shows it as soon as it is there."""
    found = orders.find(order_id)
    order_document.order_paper(found, request.tenant.studio)
    if request.htmx:
        return _paper(request, found)
    return redirect(links.to("stock:order", found.pk) + "?paper=ordered")


@require_safe
@studio_page(Right.SEE_COSTS)
def show_pdf_state(request: StudioRequest, order_id: int) -> HttpResponse:
    """Whether the PDF is there yet: the part of the page that asks again by itself."""
    return _paper(request, orders.find(order_id))


@require_safe
@studio_page(Right.SEE_COSTS)
def download_csv(request: StudioRequest, order_id: int) -> HttpResponse:
    """The order as a table for the supplier's own program."""
    found = orders.find(order_id)
    content = order_document.as_csv(found).encode("utf-8-sig")
    return _file(content, "text/csv; charset=utf-8", f"order-{found.number}.csv")


# --- Private ---


def _paper(request: StudioRequest, found: PurchaseOrder) -> HttpResponse:
    paper = order_document.paper(found, request.tenant.studio)
    context = {"order": found, "paper": paper, "ordered": True}
    return render(request, "stock/orders/order_pdf.html", context)


def _file(content: bytes, media_type: str, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type=media_type)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _shown(request: StudioRequest, found: PurchaseOrder, *, status: int = 0, **bound: Any) -> HttpResponse:
    lines = list(found.lines.all())
    studio = request.tenant.studio
    context: dict[str, Any] = {
        "order": found,
        "lines": lines,
        "total": sum(line.bags * line.price for line in lines),
        "due": sum(line.due for line in lines),
        "came": sum(line.received for line in lines),
        "is_draft": found.state == OrderState.DRAFT,
        "is_sent": found.state == OrderState.SENT,
        "send_form": SendForm(),
        "ordered": request.GET.get("paper") == "ordered",
        **bound,
    }
    if lines and request.tenant.can(Right.SEE_COSTS.name):
        context["paper"] = order_document.paper(found, studio)
    if found.state == OrderState.SENT:
        context.setdefault("delivery", DeliveryForm(lines=lines))
    if found.state == OrderState.DRAFT and request.tenant.can(Right.SEE_COSTS.name):
        context.setdefault("line_form", OrderLineForm(studio=studio))
    if any(line.received > line.sent_back for line in lines):
        context.setdefault("back", SendBackForm(lines=lines, prefix="back"))
    return render(request, "stock/orders/order.html", context, status=status or (422 if bound else 200))


def _done(
    request: StudioRequest, found: PurchaseOrder, deed: Any, words: str, form: Any = None
) -> HttpResponse:
    """Do it and go back to the page; what is refused is said at the form, or above the page."""
    try:
        with transaction.atomic():
            deed()
    except PermissionDenied:
        raise
    except ValidationError as refusal:
        if form is None:
            messages.error(request, " ".join(refusal.messages))
            return redirect(links.to("stock:order", found.pk))
        for field, errors in getattr(refusal, "error_dict", {None: refusal}).items():
            form.add_error(field if field in form.fields else None, errors)
        return _shown(request, found, **{form.on_page_as: form})
    messages.success(request, words)
    return redirect(links.to("stock:order", found.pk))

"""Pages of the purchase orders."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from stock.catalogue.fields import add_refusal, is_saved
from stock.models import OrderLine, OrderState, PurchaseOrder, Supplier
from stock.orders import order_document, order_mail, orders, receipts
from stock.orders.forms import DeliveryForm, OrderLineForm, ReceiptForm, SendBackForm, SendForm
from stock.orders.orders import Wanted
from studio.models.spelling import spelled
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.forms import MoneyField


@require_safe
@studio_page(Right.EDIT_SHELF)
def show_orders(request: StudioRequest) -> HttpResponse:
    """The newest orders, the next expected first."""
    found = orders.list_newest_orders()
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
    """Start an empty order."""
    supplier = get_object_or_404(Supplier, pk=supplier_id)
    key = request.POST.get("key", "")[:60] or secrets.token_urlsafe(12)
    try:
        with transaction.atomic():
            order = orders.write_order(supplier.pk, [], key=f"order-{key}")
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect(links.to("stock:supplier", supplier.pk))
    return redirect(links.to("stock:order", order.pk))


@require_safe
@studio_page(Right.EDIT_SHELF)
def show_order(request: StudioRequest, order_id: int) -> HttpResponse:
    """One order: its lines, what was received, what is still due."""
    return _render_order(request, orders.find_order(order_id))


@require_POST
@studio_page(Right.SEE_COSTS)
def set_order_line(request: StudioRequest, order_id: int) -> HttpResponse:
    """Set the bags of an item on a draft order; 0 removes it."""
    found = orders.find_order(order_id)
    form = OrderLineForm(request.POST, studio=request.tenant.studio)
    if not form.is_valid():
        return _render_order(request, found, {"line_form": form})
    data = form.cleaned_data
    wanted = Wanted(data["item"].pk, data["bag_size"], data["bags"], data["price"])
    return _save_and_return(
        request, found, lambda: orders.set_order_line(found.pk, wanted), "Order saved.", form
    )


@require_POST
@studio_page(Right.SEE_COSTS)
def send_order(request: StudioRequest, order_id: int) -> HttpResponse:
    """Mail the order to the supplier, or mark it as ordered in another way."""
    found = orders.find_order(order_id)
    form = SendForm(request.POST)
    if not form.is_valid():
        return _render_order(request, found, {"send_form": form})
    expected_on = form.cleaned_data["expected_on"]
    if request.POST.get("by") == "mail":
        words = f"Order {found.number} goes to {found.supplier.email} by e-mail, with its PDF and CSV."
        save = lambda: order_mail.send_order(found.pk, expected_on=expected_on)  # noqa: E731
    else:
        words = "Marked as ordered. Now send the supplier the PDF or CSV."
        save = lambda: orders.send_order(found.pk, expected_on=expected_on)  # noqa: E731
    return _save_and_return(request, found, save, words, form)


@require_POST
@studio_page(Right.SEE_COSTS)
def mail_order(request: StudioRequest, order_id: int) -> HttpResponse:
    """Mail the order to the supplier once more."""
    found = orders.find_order(order_id)
    words = f"Order {found.number} goes to {found.supplier.email} by e-mail once more."
    return _save_and_return(request, found, lambda: order_mail.send_again(found.pk), words)


@require_POST
@studio_page(Right.EDIT_SHELF)
def receive_delivery(request: StudioRequest, order_id: int) -> HttpResponse:
    """Receive a delivery."""
    found = orders.find_order(order_id)
    form = DeliveryForm(request.POST, lines=list(found.lines.all()))
    if not form.is_valid():
        return _render_order(request, found, {"delivery": form})
    data = form.cleaned_data
    try:
        with transaction.atomic():
            received = orders.receive_delivery(
                found.pk, form.delivered(), key=data["key"], note=data["note"], sure=data["sure"]
            )
    except orders.FarTooMany as refusal:
        form.ask_again(refusal.by_line)
        return _render_order(request, found, {"delivery": form})
    except ValidationError as refusal:
        form.add_error(None, refusal.messages)
        return _render_order(request, orders.find_order(order_id), {"delivery": form})
    rest = f"{received.due:,} pieces are still due." if received.due else "The order is complete."
    messages.success(request, f"{received.came:,} pieces received. {rest}")
    return redirect(links.to("stock:order", found.pk))


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def correct_receipt(request: StudioRequest, receipt_id: int) -> HttpResponse:
    """Correct how many pieces a receipt was."""
    found = receipts.find_receipt(receipt_id)
    movement = found.movement
    order_id = movement.order_line.order_id if movement.order_line else None
    back = links.to("stock:order", order_id) if order_id else links.to("stock:item", movement.item_id)
    form = ReceiptForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        if is_saved(form, lambda: receipts.correct_receipt(
            movement.pk, data["pieces"], key=data["key"], reason=data["reason"]
        )):  # fmt: skip
            messages.success(
                request, f"{movement.item.name}: receipt corrected to {data['pieces']:,} pieces."
            )
            return redirect(back)
    context = {"receipt": found, "form": form, "back": back}
    return render(request, "stock/orders/receipt.html", context, status=422 if form.errors else 200)


@require_POST
@studio_page(Right.EDIT_SHELF)
def close_order(request: StudioRequest, order_id: int) -> HttpResponse:
    """Close the order."""
    found = orders.find_order(order_id)
    return _save_and_return(request, found, lambda: orders.close_order(found.pk), "Order closed.")


@require_POST
@studio_page(Right.SEE_COSTS)
def cancel_order(request: StudioRequest, order_id: int) -> HttpResponse:
    """Cancel an order of which nothing has been received."""
    found = orders.find_order(order_id)
    return _save_and_return(request, found, lambda: orders.cancel_order(found.pk), spelled("Order canceled."))


@require_POST
@studio_page(Right.EDIT_SHELF)
def send_back(request: StudioRequest, order_id: int) -> HttpResponse:
    """Record pieces that go back to the supplier."""
    found = orders.find_order(order_id)
    form = SendBackForm(request.POST, lines=list(found.lines.all()), prefix="back")
    if not form.is_valid():
        return _render_order(request, found, {"back": form})
    data = form.cleaned_data
    save = lambda: orders.send_back(  # noqa: E731
        int(data["line"]), data["pieces"], key=data["key"], reason=data["reason"]
    )
    return _save_and_return(request, found, save, f"{data['pieces']:,} pieces sent back.", form)


@require_POST
@studio_page(Right.SEE_COSTS)
def change_price(request: StudioRequest, order_id: int) -> HttpResponse:
    """Change a price as invoiced."""
    found = orders.find_order(order_id)
    number = request.POST.get("line", "")
    lines = OrderLine.objects.filter(order=found)
    line = get_object_or_404(lines, pk=int(number) if number.isdecimal() and len(number) < 18 else 0)
    studio = request.tenant.studio
    try:
        price = MoneyField(currency=studio.currency, locale=studio.locale).clean(request.POST.get("price"))
    except ValidationError as fault:
        messages.error(request, " ".join(fault.messages))
        return _render_order(request, found, status=422)
    save = lambda: orders.change_price(line.pk, price)  # noqa: E731
    return _save_and_return(request, found, save, "Price saved, here and on the supplier’s price list.")


@require_safe
@studio_page(Right.SEE_COSTS)
def download_pdf(request: StudioRequest, order_id: int) -> HttpResponse:
    """The PDF for the supplier; back to the page while there is none of the present order."""
    found = orders.find_order(order_id)
    file = order_document.find_pdf(found, request.tenant.studio).file
    if file is None:
        return redirect(links.to("stock:order", found.pk))
    return _file(bytes(file.content), file.media_type, f"order-{found.number}.pdf")


@require_POST
@studio_page(Right.SEE_COSTS)
def make_pdf(request: StudioRequest, order_id: int) -> HttpResponse:
    """Have the PDF made; the page shows it when it is ready."""
    found = orders.find_order(order_id)
    order_document.request_pdf(found, request.tenant.studio)
    if request.htmx:
        return _render_pdf_state(request, found)
    return redirect(links.to("stock:order", found.pk) + "?paper=ordered")


@require_safe
@studio_page(Right.SEE_COSTS)
def show_pdf_state(request: StudioRequest, order_id: int) -> HttpResponse:
    """Whether the PDF is ready: the part of the page that polls."""
    return _render_pdf_state(request, orders.find_order(order_id))


@require_safe
@studio_page(Right.SEE_COSTS)
def download_csv(request: StudioRequest, order_id: int) -> HttpResponse:
    """The order as CSV for the supplier."""
    found = orders.find_order(order_id)
    content = order_document.export_csv(found).encode("utf-8-sig")
    return _file(content, "text/csv; charset=utf-8", f"order-{found.number}.csv")


# --- Private ---


def _render_pdf_state(request: StudioRequest, found: PurchaseOrder) -> HttpResponse:
    paper = order_document.find_pdf(found, request.tenant.studio)
    context = {"order": found, "paper": paper, "ordered": True}
    return render(request, "stock/orders/order_pdf.html", context)


def _file(content: bytes, media_type: str, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type=media_type)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _render_order(
    request: StudioRequest,
    found: PurchaseOrder,
    bound: Mapping[str, Form] | None = None,
    *,
    status: int = 200,
) -> HttpResponse:
    lines = list(found.lines.all())
    studio = request.tenant.studio
    context: dict[str, object] = {
        "order": found,
        "lines": lines,
        "total": sum(line.bags * line.price for line in lines),
        "due": sum(line.due for line in lines),
        "came": sum(line.received for line in lines),
        "is_draft": found.state == OrderState.DRAFT,
        "is_sent": found.state == OrderState.SENT,
        "send_form": SendForm(),
        "ordered": request.GET.get("paper") == "ordered",
        "receipts": receipts.list_receipts(lines),
        "mail": order_mail.find_mail(found),
        **(bound or {}),
    }
    if lines and request.tenant.can(Right.SEE_COSTS.name):
        context["paper"] = order_document.find_pdf(found, studio)
    if found.state == OrderState.SENT:
        context.setdefault("delivery", DeliveryForm(lines=lines))
    if found.state == OrderState.DRAFT and request.tenant.can(Right.SEE_COSTS.name):
        context.setdefault("line_form", OrderLineForm(studio=studio))
    if any(line.received > line.sent_back for line in lines):
        context.setdefault("back", SendBackForm(lines=lines, prefix="back"))
    return render(request, "stock/orders/order.html", context, status=422 if bound else status)


def _save_and_return(
    request: StudioRequest,
    found: PurchaseOrder,
    save: Callable[[], object],
    words: str,
    form: OrderLineForm | SendForm | SendBackForm | None = None,
) -> HttpResponse:
    """Save and go back to the page; a refusal is shown on the form, or above the page."""
    try:
        with transaction.atomic():
            save()
    except ValidationError as refusal:
        if form is None:
            messages.error(request, " ".join(refusal.messages))
            return redirect(links.to("stock:order", found.pk))
        add_refusal(form, refusal)
        return _render_order(request, found, {form.on_page_as: form})
    messages.success(request, words)
    return redirect(links.to("stock:order", found.pk))

"""Setting up the shelf from the usual things, and checking their costs."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from stock.first_shelf import setting_up
from stock.first_shelf.forms import CostsForm, OwnedForm
from stock.first_shelf.setting_up import Owned
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def first_shelf(request: StudioRequest) -> HttpResponse:
    """Show the usual things; add what was ticked."""
    form = OwnedForm(request.POST if request.method == "POST" else None, studio=request.tenant.studio)
    if request.method != "POST" and "small" in request.GET:
        form = OwnedForm.of_a_small_studio(request.tenant.studio)
    if request.method == "POST" and form.is_valid() and _set_up(request, form):
        sees = request.tenant.can(Right.SEE_COSTS)
        return redirect(links.to("stock:check-costs" if sees else "stock:shelf"))
    status = 422 if request.method == "POST" else 200
    return render(request, "stock/first_shelf/first_shelf.html", {"form": form}, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_COSTS)
def check_costs(request: StudioRequest) -> HttpResponse:
    """Show the usual costs that nobody has checked; keep those that were."""
    items = setting_up.unchecked_costs()
    form = CostsForm(
        request.POST if request.method == "POST" else None, items=items, studio=request.tenant.studio
    )
    if request.method == "POST" and form.is_valid():
        count = setting_up.check_costs(form.checked(every="all" in request.POST))
        messages.success(request, f"{count} cost{'' if count == 1 else 's'} checked.")
        return redirect(links.to("stock:check-costs"))
    status = 422 if form.errors else 200
    return render(request, "stock/first_shelf/costs.html", {"form": form, "items": items}, status=status)


# Private


def _set_up(request: StudioRequest, form: OwnedForm) -> bool:
    owned: Owned = form.owned()
    try:
        done = setting_up.set_up(owned)
    except ValidationError as refusal:
        form.add_error(None, refusal)
        return False
    known = f" {done.known} were there already and stay as they are." if done.known else ""
    messages.success(request, f"{done.added} items added.{known}")
    return True

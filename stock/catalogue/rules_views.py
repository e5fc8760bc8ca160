"""The studio's rules of the shelf: how long latex keeps, how sure it wants to be not to run short."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from stock.catalogue.forms import RulesForm
from stock.catalogue.shelf_rules import change_rules, rules
from studio.people.access import Right, studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def rules_page(request: StudioRequest) -> HttpResponse:
    """Show and change them."""
    form = RulesForm(request.POST or None, kept=rules())
    if request.method == "POST" and form.is_valid():
        try:
            change_rules(**form.cleaned_data)
        except ValidationError as refusal:
            for field, errors in getattr(refusal, "error_dict", {None: refusal}).items():
                form.add_error(field if field in form.fields else None, errors)
        else:
            messages.success(request, "The rules are kept.")
            return redirect(links.to("stock:rules"))
    return render(request, "stock/catalogue/shelf_rules.html", {"form": form}, status=422 if form.errors else 200)

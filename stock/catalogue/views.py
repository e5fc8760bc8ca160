"""The studio's colours."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from stock.catalogue import items
from stock.catalogue.forms import ColourForm
from stock.models import Colour
from studio.people.gates import studio_page
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def colours(request: HttpRequest) -> HttpResponse:
    """All of them; a POST adds one."""
    form = ColourForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            added = items.add_colour(**form.cleaned_data)
        except ValidationError as refusal:
            form.add_error("name", refusal.messages)
        else:
            messages.success(request, f"{added.name} is among the colours.")
            return redirect(links.to("stock:colours"))
    context = {"form": form, "colours": items.colours()}
    return render(request, "stock/catalogue/colours.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def change(request: HttpRequest, colour_id: int) -> HttpResponse:
    """Another name, look or finish for a colour."""
    found = get_object_or_404(Colour, pk=colour_id)
    form = ColourForm(request.POST) if request.method == "POST" else ColourForm.of(found)
    if request.method == "POST" and form.is_valid():
        try:
            items.change_colour(found, **form.cleaned_data)
        except ValidationError as refusal:
            form.add_error("name", refusal.messages)
        else:
            messages.success(request, f"{found.name} is changed.")
            return redirect(links.to("stock:colours"))
    context = {"form": form, "colour": found}
    return render(request, "stock/catalogue/colour_form.html", context, status=422 if form.errors else 200)

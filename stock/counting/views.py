"""Counting the shelf with a phone."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_safe
from django_htmx.http import HttpResponseClientRedirect

from stock.counting import stocktake
from stock.counting.forms import PlaceCountForm, shown
from studio.people.gates import studio_page
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.offline import kept_on_phones


@require_safe
@kept_on_phones
@studio_page(Right.EDIT_SHELF)
def show_places(request: HttpRequest) -> HttpResponse:
    """Where there is something to count, and when it was counted last."""
    return render(request, "stock/counting/stocktake.html", {"places": stocktake.places()})


@require_http_methods(["GET", "HEAD", "POST"])
@kept_on_phones
@studio_page(Right.EDIT_SHELF)
def count_place(request: HttpRequest, place: str) -> HttpResponse:
    """One place: a box for each thing; differences are shown before they are written down."""
    form = PlaceCountForm(request.POST or None, stands=stocktake.at_place(place))
    differences: list[stocktake.Difference] = []
    if request.method == "POST" and form.is_valid():
        try:
            differences = stocktake.differences(form.counted())
            if shown(differences) == form.cleaned_data["reviewed"] or not differences:
                return _written(request, form, place)
        except stocktake.CannotCount as refusal:
            form.refuse(refusal.by_item)
    context = {
        "place": place,
        "form": form,
        "rows": form.rows(differences),
        "differences": differences,
        "reviewed": shown(differences),
    }
    template = "stock/counting/place.html"
    if getattr(request, "htmx", False) and request.method == "POST":
        template += "#take"
    return render(request, template, context, status=422 if form.errors else 200)


def _written(request: HttpRequest, form: PlaceCountForm, name: str) -> HttpResponse:
    data = form.cleaned_data
    try:
        with transaction.atomic():
            found = stocktake.take(form.counted(), reason=data["reason"], key=data["key"])
    except ValidationError as refusal:
        form.add_error(None, refusal.messages)
        context = {"place": name, "form": form, "rows": form.rows(), "differences": (), "reviewed": ""}
        return render(request, "stock/counting/place.html", context, status=422)
    how_many = len(form.counted())
    words = f"{name or 'No place yet'}: {how_many} counted, " + (
        f"{len(found)} put right." if found else "all as it should be."
    )
    messages.success(request, words)
    address = f"{links.to('stock:stocktake')}?{urlencode({'counted': name})}"
    if getattr(request, "htmx", False):
        return HttpResponseClientRedirect(address)
    return redirect(address)

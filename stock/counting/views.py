"""Pages of the stocktake, made for a phone."""

from __future__ import annotations

from collections.abc import Sequence

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_safe
from django_htmx.http import HttpResponseClientRedirect

from stock.counting import stocktake
from stock.counting.forms import PlaceCountForm, difference_code
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.offline import kept_on_phones


@require_safe
@kept_on_phones
@studio_page(Right.EDIT_SHELF)
def show_places(request: StudioRequest) -> HttpResponse:
    """The places to count, and when each was last counted."""
    return render(request, "stock/counting/stocktake.html", {"places": stocktake.list_places()})


@require_safe
@studio_page(Right.SEE_SHELF)
def show_count_sheet(request: StudioRequest) -> HttpResponse:
    """All items by place, with a blank for the count."""
    context = {"places": stocktake.expected_everywhere()}
    return render(request, "stock/counting/count_sheet.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@kept_on_phones
@studio_page(Right.EDIT_SHELF)
def count_place(request: StudioRequest, place: str) -> HttpResponse:
    """One place with a box for each item; differences are shown before they are written."""
    form = PlaceCountForm(request.POST or None, expected=stocktake.expected_at_place(place))
    differences: list[stocktake.Difference] = []
    if request.method == "POST" and form.is_valid():
        try:
            differences = stocktake.find_differences(form.counted())
            if difference_code(differences) == form.cleaned_data["reviewed"] or not differences:
                return _record_place(request, form, place)
        except stocktake.CannotCount as refusal:
            form.add_errors(refusal.by_item)
    return _render_place(request, form, place, differences)


def _render_place(
    request: StudioRequest, form: PlaceCountForm, place: str, differences: Sequence[stocktake.Difference]
) -> HttpResponse:
    context = {
        "place": place,
        "form": form,
        "rows": form.rows(differences),
        "differences": differences,
        # After an error the form still knows which differences were shown, so it asks for the reason again.
        "reviewed": difference_code(differences) or form.data.get("reviewed", ""),
    }
    template = "stock/counting/place.html"
    if request.htmx and request.method == "POST":
        template += "#take"
    return render(request, template, context, status=422 if form.errors else 200)


def _record_place(request: StudioRequest, form: PlaceCountForm, name: str) -> HttpResponse:
    data = form.cleaned_data
    try:
        with transaction.atomic():
            found = stocktake.record_counts(form.counted(), reason=data["reason"], key=data["key"])
    except ValidationError as refusal:
        form.add_error(None, refusal.messages)
        return _render_place(request, form, name, ())
    how_many = len(form.counted())
    words = f"{name or 'No place yet'}: {how_many} counted, " + (
        f"{len(found)} corrected." if found else "no differences."
    )
    messages.success(request, words)
    address = f"{links.to('stock:stocktake')}?{urlencode({'counted': name})}"
    if request.htmx:
        return HttpResponseClientRedirect(address)
    return redirect(address)

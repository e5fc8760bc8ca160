"""The studio's own rates."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from quoting.pricing import rates as rating
from quoting.pricing.forms import ClientTermsForm, RatesForm
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def rates(request: StudioRequest) -> HttpResponse:
    """Show and change the rates."""
    studio = request.tenant.studio
    form = RatesForm(request.POST or None, instance=rating.rates_of(studio), studio=studio)
    if request.method == "POST" and form.is_valid():
        rating.keep_rates(form.save(commit=False))
        messages.success(request, "Rates saved. New prices use them from now on.")
        return redirect(links.to("quoting:rates"))
    return render(request, "quoting/pricing/rates.html", {"form": form}, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def client_terms(request: StudioRequest) -> HttpResponse:
    """Show and change what clients see of a price."""
    studio = request.tenant.studio
    form = ClientTermsForm(
        request.POST or None, instance=rating.rates_of(studio), studio=studio, bands=rating.find_bands()
    )
    if request.method == "POST" and form.is_valid() and _kept(form):
        messages.success(request, "Saved. New offers show it; what was sent stays as it was.")
        return redirect(links.to("quoting:client-terms"))
    return render(
        request, "quoting/pricing/client_terms.html", {"form": form}, status=422 if form.errors else 200
    )


# Private


def _kept(form: ClientTermsForm) -> bool:
    try:
        rating.keep_client_terms(form.save(commit=False), form.bands)
    except ValidationError as refusal:
        form.add_error(None, refusal)
        return False
    return True

"""The studio's profile, its taxes and its logo."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from studio.models import Studio
from studio.people import taxes
from studio.people.body_limits import PICTURE_BYTES, takes_bodies_of
from studio.people.forms import StudioForm, TaxRateForm
from studio.people.gates import studio_page
from studio.tenancy import links
from studio.tenancy.rights import Right


@takes_bodies_of(PICTURE_BYTES)
@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def profile(request: HttpRequest) -> HttpResponse:
    """Show and change the profile."""
    form = StudioForm(
        request.POST or None,
        request.FILES or None,
        instance=Studio.objects.defer("logo").get(pk=_pk(request)),
    )
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "The profile is kept.")
        return redirect(links.to("studio:profile"))
    return render(
        request,
        "studio/profile.html",
        {"form": form, "taxes": taxes.taxes(), "tax_form": TaxRateForm(prefix="tax")},
        status=422 if form.errors else 200,
    )


@require_POST
@studio_page(Right.EDIT_STUDIO)
def add_tax(request: HttpRequest) -> HttpResponse:
    """A new tax; what is wrong with it is shown on the profile page."""
    tax_form = TaxRateForm(request.POST, prefix="tax")
    if tax_form.is_valid():
        taxes.add_tax(**tax_form.cleaned_data)
        messages.success(request, f"{tax_form.cleaned_data['name']} is kept.")
        return redirect(links.to("studio:profile") + "#taxes")
    form = StudioForm(instance=Studio.objects.defer("logo").get(pk=_pk(request)))
    context = {"form": form, "taxes": taxes.taxes(), "tax_form": tax_form}
    return render(request, "studio/profile.html", context, status=422)


@require_POST
@studio_page(Right.EDIT_STUDIO)
def retire_tax(request: HttpRequest, tax_id: int) -> HttpResponse:
    """Take a tax out of use."""
    taxes.retire_tax(tax_id)
    messages.success(request, "The tax is out of use. Offers made with it keep it.")
    return redirect(links.to("studio:profile") + "#taxes")


@require_safe
@studio_page(Right.SEE_EVENTS)
def logo(request: HttpRequest) -> HttpResponse:
    """The studio's own logo."""
    return logo_response(_pk(request))


def logo_response(studio_id: int) -> HttpResponse:
    """The logo's PNG, for the studio's pages and for its clients'."""
    picture = Studio.objects.values_list("logo", flat=True).get(pk=studio_id)
    if not picture:
        raise Http404
    response = HttpResponse(bytes(picture), content_type="image/png")
    response["Cache-Control"] = "private, max-age=300"
    return response


def _pk(request: HttpRequest) -> int:
    return request.tenant.studio.pk  # type: ignore[attr-defined,no-any-return]

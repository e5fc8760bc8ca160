"""The switch of the form on the studio's website."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from events.website_form import receiving
from events.website_form.forms import SwitchForm
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.people.rate_limit import ENQUIRY
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def change_form(request: StudioRequest) -> HttpResponse:
    """Open or close the form; where it is, and how it is put into a website."""
    found = receiving.find_form()
    form = SwitchForm(request.POST or None, initial={"is_open": found.is_open, "greeting": found.greeting})
    if request.method == "POST" and form.is_valid():
        receiving.switch(**form.cleaned_data)
        messages.success(request, "Website form saved.")
        return redirect(links.to("events:website-form"))
    address = links.absolute(reverse("website-form", args=[request.tenant.studio.slug]))
    context = {
        "form": form, "found": found, "address": address,
        "an_hour": ENQUIRY.tries, "a_day": receiving.A_DAY.tries,
    }  # fmt: skip
    status = 422 if form.errors else 200
    return render(request, "events/website_form/website_form.html", context, status=status)

"""The page of the alerts."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from stock.alerts import alerts
from stock.models import AlertKind
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_SHELF)
def show_alerts(request: StudioRequest) -> HttpResponse:
    """The open alerts; a POST saves which alerts the person gets."""
    person = request.tenant.person
    if request.method == "POST":
        wanted = {
            kind: (f"page-{kind}" in request.POST, f"mail-{kind}" in request.POST) for kind in AlertKind
        }
        alerts.save_choices(person.pk, wanted)
        messages.success(request, "Saved for you only.")
        return redirect(links.to("stock:alerts"))
    found = alerts.list_open_alerts(person.pk)
    groups = [(kind, [alert for alert in found if alert.kind == kind]) for kind in AlertKind]
    context = {
        "groups": [(kind, mine) for kind, mine in groups if mine],
        "choices": [(kind, *pair) for kind, pair in alerts.find_choices(person.pk).items()],
    }
    return render(request, "stock/alerts/alerts.html", context)

"""What a quote needs and the stock list doesn't know, and how it is supplied."""

from __future__ import annotations

from datetime import timedelta

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from quoting.quotes import sheet
from quoting.supplies import supplies
from quoting.supplies.forms import SupplyForm, supply_forms
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right

DAYS_BEFORE_LOADING = 2
"""By when a thing is usually wanted. Common practice, no source."""


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_QUOTES)
def plan(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Say for each missing thing whether it is bought, hired or made, and by when."""
    read = sheet.read_sheet(sheet.find_quote(quote_id), request.tenant.studio, pictures=False)
    today = timezone.now().astimezone(request.tenant.studio.tz).date()
    usual_day = max(today, supplies.latest_day(read.quote) - timedelta(days=DAYS_BEFORE_LOADING))
    rows = supply_forms(supplies.find_missing(read), usual_day, request.tenant.studio, request.POST or None)
    if request.method == "POST" and all(row.is_valid() for row in rows) and _save(quote_id, rows):
        messages.success(request, "Saved.")
        is_next = read.quote.is_open and all(row.choice for row in rows)
        return redirect(links.to(f"quoting:quote-{'before-sending' if is_next else 'supplies'}", quote_id))
    context = {"quote": read.quote, "event": read.quote.event, "rows": rows}
    faulty = any(row.errors for row in rows if row.is_bound)
    return render(request, "quoting/supplies/plan.html", context, status=422 if faulty else 200)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def mark_done(request: StudioRequest, supply_id: int) -> HttpResponse:
    """Note that a thing is there; ``done=0`` takes that back."""
    found = supplies.mark_done(supply_id, done=request.POST.get("done") != "0")
    return redirect(links.to("quoting:quote-supplies", found.quote_id))


# Private


def _save(quote_id: int, rows: list[SupplyForm]) -> bool:
    """Save what was chosen; faults are put at their rows."""
    try:
        supplies.plan_supplies(quote_id, {row.missing.code: row.choice for row in rows if row.choice})
    except ValidationError as refusal:
        for row in rows:
            for words in refusal.message_dict.get(row.missing.code, ()):
                row.add_error("due_on", words)
        return False
    return True

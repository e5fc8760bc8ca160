"""What is still open before a quote is offered: each point with its field, and the owner's word."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from quoting.before_sending import settling
from quoting.before_sending.forms import SettleForms, WordForm
from quoting.before_sending.open_points import OpenPoint, find_points_of_all
from quoting.before_sending.presenter import groups
from quoting.pricing import instalments
from quoting.quotes import sheet
from quoting.quotes.sheet import Sheet
from quoting.variants.variants import find_beside, read_set
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.OFFER)
def before_sending(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Show what is open; save what was filled in."""
    read = sheet.read_sheet(sheet.find_quote(quote_id), request.tenant.studio, pictures=False)
    points = find_points_of_all(read_set(read))
    if request.method != "POST":
        return page(request, read, points)
    forms = _forms(request, read, points)
    if forms.is_valid() and _save(request, read, forms):
        return redirect(links.to("quoting:quote-before-sending", quote_id))
    return page(request, read, points, forms=forms)


def page(
    request: StudioRequest,
    read: Sheet,
    points: tuple[OpenPoint, ...],
    *,
    forms: SettleForms | None = None,
    word: WordForm | None = None,
) -> HttpResponse:
    """The page, with what was typed and refused where a form is given."""
    faulty = forms is not None or (word is not None and bool(word.errors))
    forms = forms or _forms(request, read, points, bound=False)
    sees_margin = request.tenant.can(Right.SEE_MARGIN)
    sections = [(group, forms.of(group.matter)) for group in groups(points, sees_margin=sees_margin)]
    latest = read.quote.offers.order_by("-version").values_list("version", flat=True).first()
    context = {
        "quote": read.quote,
        "event": read.quote.event,
        "sections": sections,
        "has_fields": bool(forms.all),
        "may_settle": request.tenant.can(Right.EDIT_STUDIO),
        "word": (word or WordForm(points=points)) if request.tenant.can(Right.VOUCH) and points else None,
        "after_version": latest or 0,
        "beside": find_beside(read.quote),
        "unplanned": any(
            code not in each.items and code not in _planned(each)
            for each in read_set(read)
            for code in each.unpriced_codes
        ),
    }
    return render(request, "quoting/before_sending/open.html", context, status=422 if faulty else 200)


# Private


def _forms(
    request: StudioRequest, read: Sheet, points: tuple[OpenPoint, ...], *, bound: bool = True
) -> SettleForms:
    studio, reads = request.tenant.studio, read_set(read)
    mine = points if request.tenant.can(Right.EDIT_STUDIO) else [each for each in points if each.due_on]
    return SettleForms(
        request.POST if bound else None,
        points=mine,
        items={code: item for each in reads for code, item in each.items.items()},
        planned=frozenset(code for each in reads for code in _planned(each)),
        instalments=[one for each in reads for one in instalments.read(each.quote.instalments)],
        studio=studio,
        today=timezone.now().astimezone(studio.tz).date(),
    )


def _planned(read: Sheet) -> frozenset[str]:
    """Codes that the stock list doesn't know and that are said to be bought, hired or made."""
    return frozenset(supply.code for supply in read.quote.supplies.all())


def _save(request: StudioRequest, read: Sheet, forms: SettleForms) -> bool:
    """Save what was filled in; what is refused is told."""
    version = request.POST.get("version", "")
    try:
        settling.settle(
            read.quote.pk,
            forms.settled(),
            version=int(version) if version.isdecimal() else read.quote.version,
        )
    except ValidationError as refusal:
        for words in refusal.messages:
            messages.error(request, words)
        return False
    messages.success(request, "Saved. The price is worked out with it.")
    return True

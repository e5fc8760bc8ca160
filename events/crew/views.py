"""Who does the work: members as crew, their days off, the vans, the rules for work and rest."""

from __future__ import annotations

from datetime import timedelta

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.booking.forms import take_refusal
from events.crew import feed
from events.crew import people as domain
from events.crew import rules as work_rules
from events.crew.forms import DaysOffForm, MemberForm, RulesForm, VanForm
from events.models import DayOff, Van
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.SEE_EVENTS)
def crew(request: StudioRequest) -> HttpResponse:
    """The people of the studio with their skills, days off to come, vans and rules."""
    people = domain.on_hand()
    today = timezone.now().astimezone(request.tenant.studio.tz).date()
    off: dict[int, list[DayOff]] = {}
    for row in DayOff.objects.filter(last_day__gte=today, first_day__lte=today + timedelta(days=60)):
        off.setdefault(row.member_id, []).append(row)
    context = {
        "people": [(who, off.get(who.member.pk or 0, []), domain.is_self(who)) for who in people],
        "vans": Van.objects.order_by("-is_in_use", "name"),
        "rules": work_rules.of_studio(),
        "is_open": feed.is_open(None),
        "feed_address": request.session.pop("feed_address", ""),
        "studio": request.tenant.studio,
    }
    return render(request, "events/crew/crew.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_EVENTS)
def member(request: StudioRequest, membership_id: int) -> HttpResponse:
    """Somebody as crew: the office changes skills and hours, everybody sees their own."""
    who = domain.find(membership_id)
    edits = request.tenant.can(Right.EDIT_EVENTS)
    if not edits and not domain.is_self(who):
        raise PermissionDenied("This is somebody else's page.")
    form = MemberForm(
        request.POST or None,
        who=who,
        studio=request.tenant.studio,
        sees_pay=request.tenant.can(Right.SEE_COSTS),
    )
    if request.method == "POST" and form.is_valid():
        try:
            domain.change(who, **form.facts())
        except ValidationError as refusal:
            take_refusal(form, refusal)
        else:
            messages.success(request, f"{who.name} is kept.")
            return redirect(links.to("events:crew"))
    return _member_page(request, membership_id, form if edits else None, DaysOffForm())


@require_POST
@studio_page(Right.SEE_EVENTS)
def days_off(request: StudioRequest, membership_id: int) -> HttpResponse:
    """Put days off down."""
    who = domain.find(membership_id)
    if not domain.is_self(who) and not request.tenant.can(Right.EDIT_EVENTS):
        raise PermissionDenied("These are somebody else's days.")
    form = DaysOffForm(request.POST)
    if form.is_valid():
        try:
            domain.take_days_off(who, **form.cleaned_data)
        except ValidationError as refusal:
            take_refusal(form, refusal)
        else:
            messages.success(request, "The days off are put down.")
            return redirect(links.to("events:crew-member", membership_id))
    profile = (
        MemberForm(who=who, studio=request.tenant.studio, sees_pay=request.tenant.can(Right.SEE_COSTS))
        if request.tenant.can(Right.EDIT_EVENTS)
        else None
    )
    return _member_page(request, membership_id, profile, form)


@require_POST
@studio_page(Right.SEE_EVENTS)
def take_back_days_off(request: StudioRequest, day_off_id: int) -> HttpResponse:
    """They come after all."""
    domain.come_after_all(day_off_id)
    messages.success(request, "Taken back: those days are working days again.")
    return redirect(links.to("events:crew"))


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def new_van(request: StudioRequest) -> HttpResponse:
    """Add a van."""
    return _van_page(request, None)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def van(request: StudioRequest, van_id: int) -> HttpResponse:
    """Correct a van."""
    found = Van.objects.filter(pk=van_id).first()
    if found is None:
        raise Http404
    return _van_page(request, found)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def rules(request: StudioRequest) -> HttpResponse:
    """Rest, week, freshness and usual hands."""
    form = RulesForm(request.POST or None, instance=work_rules.of_studio())
    if request.method == "POST" and form.is_valid():
        try:
            work_rules.change(**form.cleaned_data)
        except ValidationError as refusal:
            take_refusal(form, refusal)
        else:
            messages.success(request, "The rules are kept.")
            return redirect(links.to("events:crew"))
    return render(request, "events/crew/crew_rules.html", {"form": form}, status=422 if form.errors else 200)


# --- Private ---


def _member_page(
    request: StudioRequest, membership_id: int, form: MemberForm | None, off_form: DaysOffForm
) -> HttpResponse:
    who = domain.find(membership_id)
    today = timezone.now().astimezone(request.tenant.studio.tz).date()
    context = {
        "who": who,
        "form": form,
        "off_form": off_form,
        "days_off": DayOff.objects.filter(member=who.member.pk, last_day__gte=today) if who.member.pk else [],
        "is_self": domain.is_self(who),
        "is_open": feed.is_open(membership_id),
        "feed_address": request.session.pop("feed_address", ""),
        "studio": request.tenant.studio,
    }
    wrong = bool((form and form.errors) or off_form.errors)
    return render(request, "events/crew/crew_member.html", context, status=422 if wrong else 200)


def _van_page(request: StudioRequest, found: Van | None) -> HttpResponse:
    form = VanForm(request.POST or None, studio=request.tenant.studio, van=found)
    if request.method == "POST" and form.is_valid():
        try:
            kept = domain.keep_van(found or Van(), **form.cleaned_data)
        except ValidationError as refusal:
            take_refusal(form, refusal)
        else:
            messages.success(request, f"{kept.name} is kept.")
            return redirect(links.to("events:crew"))
    context = {"form": form, "van": found}
    return render(request, "events/crew/van_form.html", context, status=422 if form.errors else 200)

"""The pages of crew: members with their skills and days off, vans, work rules, and calendar feeds."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.crew import feed, people, presenter, rules
from events.crew.forms import DaysOffForm, MemberForm, RulesForm, VanForm
from events.crew.people import CrewPerson
from events.models import Van
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.access import require
from studio.tenancy.rights import Right
from studio.ui.form_errors import save_form

NEW_FEED: Final = "feed_address"
"""The session holds a new feed's address until the page has shown it."""


@require_safe
@studio_page(Right.SEE_EVENTS)
def list_crew(request: StudioRequest) -> HttpResponse:
    """List the people of the studio, the vans and the work rules."""
    studio_rules = rules.studio_rules()
    weekly_rest = studio_rules.weekly_rest(is_european=request.tenant.studio.is_european)
    context = {
        "people": presenter.crew_rows(request.tenant.studio),
        "vans": Van.objects.order_by("-is_in_use", "name"),
        "rules": studio_rules,
        "weekly_rest": weekly_rest / timedelta(hours=1),
        "is_open": feed.is_open(None),
        "feed_address": request.session.pop(NEW_FEED, ""),
        "studio": request.tenant.studio,
    }
    return render(request, "events/crew/crew.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_EVENTS)
def show_member(request: StudioRequest, membership_id: int) -> HttpResponse:
    """Show a member as crew; the office changes skills and hours."""
    who = people.find_person(membership_id)
    _require_self_or_office(request, who)
    if request.method == "POST":
        require(Right.EDIT_EVENTS)
    form = _member_form(request, who)
    if form and save_form(form, lambda: people.change_person(who, **form.facts())):
        messages.success(request, f"{who.name} saved.")
        return redirect(links.to("events:crew"))
    return _member_page(request, who, form, DaysOffForm())


@require_POST
@studio_page(Right.SEE_EVENTS)
def add_days_off(request: StudioRequest, membership_id: int) -> HttpResponse:
    """Add days off."""
    who = people.find_person(membership_id)
    _require_self_or_office(request, who)
    form = DaysOffForm(request.POST)
    if save_form(form, lambda: people.take_days_off(who, **form.cleaned_data)):
        messages.success(request, "Days off added.")
        return redirect(links.to("events:crew-member", membership_id))
    return _member_page(request, who, _member_form(request, who, read=False), form)


@require_POST
@studio_page(Right.SEE_EVENTS)
def remove_days_off(request: StudioRequest, day_off_id: int) -> HttpResponse:
    """Remove days off."""
    people.remove_days_off(day_off_id)
    messages.success(request, "Days off removed.")
    return redirect(links.to("events:crew"))


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def add_van(request: StudioRequest) -> HttpResponse:
    """Add a van."""
    return _van_page(request, None)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def change_van(request: StudioRequest, van_id: int) -> HttpResponse:
    """Change a van."""
    return _van_page(request, get_object_or_404(Van, pk=van_id))


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def change_rules(request: StudioRequest) -> HttpResponse:
    """Change rest, weekly hours, freshness and the usual number of people."""
    form = RulesForm(request.POST or None, instance=rules.studio_rules())
    if save_form(form, lambda: rules.change_rules(**form.cleaned_data)):
        messages.success(request, "Rules saved.")
        return redirect(links.to("events:crew"))
    return render(request, "events/crew/crew_rules.html", {"form": form}, status=422 if form.errors else 200)


@require_POST
@studio_page(Right.EDIT_EVENTS)
def open_studio_feed(request: StudioRequest) -> HttpResponse:
    """Make a new address for the calendar of the whole studio."""
    return _open_feed(request, None)


@require_POST
@studio_page(Right.EDIT_EVENTS)
def close_studio_feed(request: StudioRequest) -> HttpResponse:
    """Close the address of the studio's calendar."""
    return _close_feed(request, None)


@require_POST
@studio_page(Right.SEE_EVENTS)
def open_feed(request: StudioRequest, membership_id: int) -> HttpResponse:
    """Make a new address for one person's calendar."""
    return _open_feed(request, membership_id)


@require_POST
@studio_page(Right.SEE_EVENTS)
def close_feed(request: StudioRequest, membership_id: int) -> HttpResponse:
    """Close the address of one person's calendar."""
    return _close_feed(request, membership_id)


# --- Private ---


def _require_self_or_office(request: StudioRequest, who: CrewPerson) -> None:
    if not people.is_self(who) and not request.tenant.can(Right.EDIT_EVENTS):
        raise PermissionDenied("This page belongs to somebody else.")


def _member_form(request: StudioRequest, who: CrewPerson, *, read: bool = True) -> MemberForm | None:
    """The form for whoever may change skills and hours; ``read`` what was sent with it."""
    if not request.tenant.can(Right.EDIT_EVENTS):
        return None
    return MemberForm(
        (request.POST or None) if read else None,
        who=who,
        studio=request.tenant.studio,
        sees_pay=request.tenant.can(Right.SEE_COSTS),
    )


def _member_page(
    request: StudioRequest, who: CrewPerson, form: MemberForm | None, off_form: DaysOffForm
) -> HttpResponse:
    context = {
        "who": who,
        "form": form,
        "off_form": off_form,
        "days_off": presenter.days_off_ahead(who, request.tenant.studio),
        "is_self": people.is_self(who),
        "is_open": feed.is_open(who.membership.pk),
        "feed_address": request.session.pop(NEW_FEED, ""),
        "studio": request.tenant.studio,
    }
    wrong = bool((form and form.errors) or off_form.errors)
    return render(request, "events/crew/crew_member.html", context, status=422 if wrong else 200)


def _van_page(request: StudioRequest, van: Van | None) -> HttpResponse:
    form = VanForm(request.POST or None, studio=request.tenant.studio, van=van)
    saved = save_form(form, lambda: people.save_van(van or Van(), **form.cleaned_data))
    if saved:
        messages.success(request, f"{saved.name} saved.")
        return redirect(links.to("events:crew"))
    context = {"form": form, "van": van}
    return render(request, "events/crew/van_form.html", context, status=422 if form.errors else 200)


def _open_feed(request: StudioRequest, membership_id: int | None) -> HttpResponse:
    request.session[NEW_FEED] = feed.open_feed(membership_id)
    return redirect(_feed_page(membership_id))


def _close_feed(request: StudioRequest, membership_id: int | None) -> HttpResponse:
    feed.close_feed(membership_id)
    messages.success(request, "The calendar address is closed.")
    return redirect(_feed_page(membership_id))


def _feed_page(membership_id: int | None) -> str:
    return links.to("events:crew-member", membership_id) if membership_id else links.to("events:crew")

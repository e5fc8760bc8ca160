"""The pages of signing on, of the members, the studio's profile and the audit trail."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.db import connection
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST, require_safe

from studio import tenancy
from studio.models import Invitation, LinkPurpose, Membership, Person, Studio
from studio.people import audit_trail, crew_phones, first_steps, membership, public_links, taxes
from studio.people.accounts import JOIN_SESSION_KEY
from studio.people.body_limits import PICTURE_BYTES, takes_bodies_of
from studio.people.forms import (
    BrandForm,
    CountryForm,
    HoursForm,
    InvitationForm,
    OfferTermsForm,
    PartForm,
    PaymentForm,
    RoleForm,
    TaxRateForm,
    with_usual_ways,
)
from studio.people.gates import studio_page
from studio.people.opening import may_anybody_open
from studio.people.opening_views import opening_of
from studio.people.page_request import StudioRequest
from studio.people.rate_limit import JOIN, limited
from studio.tenancy import links
from studio.tenancy.rights import Right, Role

AUDIT_ROWS: Final = 60
"""Entries on one page of the audit trail."""

# --- Signing on ---


@require_safe
@login_required
def show_front_door(request: HttpRequest) -> HttpResponse:
    """Straight to the week of a person's only studio, else a choice."""
    person = request.user
    assert isinstance(person, Person)
    memberships = membership.memberships_of(person)
    if len(memberships) == 1:
        return redirect("events:week", slug=memberships[0].studio.slug)
    invitation = opening_of(request)
    if not memberships and invitation:
        return redirect("opening")
    may_open = bool(invitation) or may_anybody_open()
    return render(
        request, "studio/people/front_door.html", {"memberships": memberships, "may_open": may_open}
    )


@require_GET
def report_health(request: HttpRequest) -> HttpResponse:
    """Whether this process reaches its database: for the load balancer, without telling anything else."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return JsonResponse({"well": True})


@require_safe
@limited(JOIN, "join")
def open_invitation(request: HttpRequest, token: str) -> HttpResponse:
    """Swap an invitation's token for a cookie and go to a clean address."""
    found = public_links.find(token, LinkPurpose.INVITATION)
    if found is None:
        return render(request, "studio/people/invitation_closed.html", status=404)
    response = redirect("join", handle=found.handle)
    public_links.keep_in_cookie(response, token, found, path="/")
    return response


@require_http_methods(["GET", "HEAD", "POST"])
@limited(JOIN, "join")
def join(request: HttpRequest, handle: str) -> HttpResponse:
    """Say who invites and as what; a POST by the invited person joins."""
    found = public_links.from_cookie(request, handle, LinkPurpose.INVITATION)
    if found is None:
        return render(request, "studio/people/invitation_closed.html", status=404)
    request.session[JOIN_SESSION_KEY] = handle
    if request.method == "POST" and request.user.is_authenticated:
        try:
            studio = membership.join(person=request.user, found=found)
        except membership.CannotJoin as refusal:
            messages.error(request, refusal.messages[0])
            return redirect("join", handle=handle)
        messages.success(request, f"You joined {studio.name}.")
        return redirect("events:week", slug=studio.slug)
    with tenancy.entered(found.studio_id):
        invitation = Invitation.objects.select_related("invited_by").get(pk=found.subject_id)
        studio = Studio.objects.defer("logo").get(pk=found.studio_id)
    return render(
        request,
        "studio/people/join.html",
        {"invitation": invitation, "inviting_studio": studio, "handle": handle},
    )


@require_safe
def tell_who_is_signed_in(request: HttpRequest) -> HttpResponse:
    """Who is signed in, and the token that a POST of theirs carries: asked before anything kept is sent.

    A phone that was given an event by a link asks with its number, ``?phone=12``, and is ``phone-12``.
    """
    person = request.user.pk if request.user.is_authenticated else _by_link(request)
    return JsonResponse({"person": person, "csrf": get_token(request) if person else ""})


# --- Members ---


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.MANAGE_PEOPLE)
def show_members(request: StudioRequest) -> HttpResponse:
    """The members and who is invited; a POST invites."""
    form = InvitationForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            sent = membership.invite(
                email=form.cleaned_data["email"],
                role=Role(form.cleaned_data["role"]),
                by=request.tenant.person,
            )
        except ValidationError as refusal:
            form.add_error(None, refusal) if not hasattr(refusal, "error_dict") else form.add_error(
                "email", refusal.message_dict.get("email", refusal.messages)
            )
        else:
            request.session["invitation_address"] = sent.address
            messages.success(request, f"{sent.invitation.email} was invited. The link works for seven days.")
            return redirect(links.to("studio:people"))
    return render(
        request,
        "studio/people/people.html",
        {
            "form": form,
            "memberships": Membership.objects.select_related("person").order_by("person__name", "pk"),
            "invitations": Invitation.objects.filter(
                accepted_at=None, withdrawn_at=None, expires_at__gt=timezone.now()
            ).order_by("-made_at"),
            "roles": RoleForm.ROLES,
            "sent_address": request.session.pop("invitation_address", ""),
        },
        status=422 if form.errors else 200,
    )


@require_POST
@studio_page(Right.MANAGE_PEOPLE)
def change_role(request: StudioRequest, membership_id: int) -> HttpResponse:
    """Give a member another part."""
    get_object_or_404(Membership, pk=membership_id)
    form = RoleForm(request.POST)
    if form.is_valid():
        try:
            membership.change_role(membership_id, Role(form.cleaned_data["role"]))
        except membership.LastOwner as refusal:
            messages.error(request, refusal.messages[0])
    else:
        messages.error(request, "Choose owner, staff or crew.")
    return redirect(links.to("studio:people"))


@require_POST
@studio_page(Right.MANAGE_PEOPLE)
def remove_member(request: StudioRequest, membership_id: int) -> HttpResponse:
    """Take a member out, at once."""
    try:
        membership.remove(membership_id)
    except membership.LastOwner as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(request, "Removed. They no longer have access; you can invite them again.")
    return redirect(links.to("studio:people"))


@require_POST
@studio_page(Right.MANAGE_PEOPLE)
def withdraw_invitation(request: StudioRequest, invitation_id: int) -> HttpResponse:
    """Close an invitation."""
    membership.withdraw(invitation_id)
    messages.success(request, "Invitation withdrawn. Its link no longer works.")
    return redirect(links.to("studio:people"))


# --- The studio's profile ---


@takes_bodies_of(PICTURE_BYTES)
@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def show_profile(request: StudioRequest) -> HttpResponse:
    """Show and change who the studio is."""
    form = BrandForm(request.POST or None, request.FILES or None, instance=_profile(request))
    return _part(request, form, "profile", "Brand saved.")


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def show_country(request: StudioRequest) -> HttpResponse:
    """Show and change where the studio is; another button fills in what is usual there, to be looked at first."""
    form = CountryForm(request.POST or None, instance=_profile(request))
    if "usual" in request.POST and form["country"].value():
        form = CountryForm(with_usual_ways(request.POST), instance=_profile(request))
        return _settings_page(request, "country", form)
    return _part(request, form, "country", "Country saved.")


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def show_money(request: StudioRequest) -> HttpResponse:
    """Show and change how clients pay."""
    return _part(
        request, PaymentForm(request.POST or None, instance=_profile(request)), "money", "Money saved."
    )


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def show_terms(request: StudioRequest) -> HttpResponse:
    """Show and change what every offer says."""
    form = OfferTermsForm(request.POST or None, instance=_profile(request))
    return _part(request, form, "terms", "Terms saved. Offers that are out keep theirs.")


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def show_hours(request: StudioRequest) -> HttpResponse:
    """Show and change when the studio works."""
    return _part(
        request, HoursForm(request.POST or None, instance=_profile(request)), "hours", "Hours saved."
    )


@require_POST
@studio_page(Right.EDIT_STUDIO)
def add_tax(request: StudioRequest) -> HttpResponse:
    """A new tax; what is wrong with it is shown on the page about money."""
    tax_form = TaxRateForm(request.POST, prefix="tax")
    if tax_form.is_valid():
        taxes.add_tax(**tax_form.cleaned_data)
        messages.success(request, f"{tax_form.cleaned_data['name']} added.")
        return redirect(links.to("studio:money") + "#taxes")
    return _settings_page(request, "money", PaymentForm(instance=_profile(request)), tax_form)


@require_POST
@studio_page(Right.EDIT_STUDIO)
def retire_tax(request: StudioRequest, tax_id: int) -> HttpResponse:
    """Take a tax out of use."""
    taxes.retire_tax(tax_id)
    messages.success(request, "Tax retired. Offers that already use it don't change.")
    return redirect(links.to("studio:money") + "#taxes")


@require_POST
@studio_page(Right.EDIT_STUDIO)
def put_first_steps_away(request: StudioRequest) -> HttpResponse:
    """Show the first steps no more."""
    first_steps.put_away()
    return redirect(links.to("events:week"))


@require_safe
@studio_page(Right.SEE_EVENTS, many_at_once=True)
def show_logo(request: StudioRequest) -> HttpResponse:
    """The studio's own logo."""
    return logo_response(request.tenant.studio.pk)


def logo_response(studio_id: int) -> HttpResponse:
    """The logo's PNG, for the studio's pages and for its clients'."""
    picture = Studio.objects.values_list("logo", flat=True).get(pk=studio_id)
    if not picture:
        raise Http404
    response = HttpResponse(bytes(picture), content_type="image/png")
    response["Cache-Control"] = "private, max-age=300"
    return response


# --- The audit trail ---


@require_safe
@studio_page(Right.SEE_AUDIT)
def show_audit_trail(request: StudioRequest) -> HttpResponse:
    """Activity log to which record when, newest first, a page at a time."""
    kind = request.GET.get("kind", "")
    kind = kind if kind in audit_trail.kinds() else ""
    entries = audit_trail.recent_entries(
        limit=AUDIT_ROWS, kind=kind, before=_moment(request.GET.get("before", ""))
    )
    context = {
        "entries": entries,
        "kinds": audit_trail.kinds(),
        "kind": kind,
        "older": entries[-1].at.isoformat() if len(entries) == AUDIT_ROWS else "",
    }
    return render(request, "studio/people/audit.html", context)


# --- Private ---


def _profile(request: StudioRequest) -> Studio:
    return Studio.objects.defer("logo").get(pk=request.tenant.studio.pk)


def _part(request: StudioRequest, form: PartForm, page: str, said: str) -> HttpResponse:
    """Save a part of the settings that was posted and say so; else show it."""
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, said)
        return redirect(links.to(f"studio:{page}"))
    return _settings_page(request, page, form)


def _settings_page(
    request: StudioRequest, page: str, form: PartForm, tax_form: TaxRateForm | None = None
) -> HttpResponse:
    context: dict[str, object] = {"form": form}
    if page == "money":
        context |= {"taxes": taxes.taxes(), "tax_form": tax_form or TaxRateForm(prefix="tax")}
    faulty = bool(form.errors or (tax_form and tax_form.errors))
    return render(request, f"studio/people/{page}.html", context, status=422 if faulty else 200)


def _by_link(request: HttpRequest) -> str | None:
    number = request.GET.get("phone", "")
    if not number.isdecimal() or len(number) > 18 or not crew_phones.holds(request, int(number)):
        return None
    return f"phone-{int(number)}"


def _moment(text: str) -> datetime | None:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return None
    return moment if moment.tzinfo else None

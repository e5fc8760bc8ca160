"""Who belongs to the studio: the members, the open invitations."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from studio.models import Invitation, Membership
from studio.people import membership
from studio.people.forms import InvitationForm, RoleForm
from studio.people.gates import studio_page
from studio.tenancy import links
from studio.tenancy.rights import Right, Role


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.MANAGE_PEOPLE)
def people(request: HttpRequest) -> HttpResponse:
    """The members and who is invited; a POST invites."""
    form = InvitationForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            sent = membership.invite(
                email=form.cleaned_data["email"],
                role=Role(form.cleaned_data["role"]),
                by=request.tenant.person,  # type: ignore[attr-defined]
            )
        except ValidationError as refusal:
            form.add_error(None, refusal) if not hasattr(refusal, "error_dict") else form.add_error(
                "email", refusal.message_dict.get("email", refusal.messages)
            )
        else:
            request.session["invitation_address"] = sent.address
            messages.success(request, f"{sent.invitation.email} is invited; the link holds for seven days.")
            return redirect(links.to("studio:people"))
    return render(
        request,
        "studio/people.html",
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
def change_role(request: HttpRequest, membership_id: int) -> HttpResponse:
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
def remove(request: HttpRequest, membership_id: int) -> HttpResponse:
    """Take a member out, at once."""
    try:
        membership.remove(membership_id)
    except membership.LastOwner as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(request, "Removed. Their next click finds nothing here; you can invite them again.")
    return redirect(links.to("studio:people"))


@require_POST
@studio_page(Right.MANAGE_PEOPLE)
def withdraw(request: HttpRequest, invitation_id: int) -> HttpResponse:
    """Close an invitation."""
    membership.withdraw(invitation_id)
    messages.success(request, "The invitation is withdrawn; its link opens nothing any more.")
    return redirect(links.to("studio:people"))

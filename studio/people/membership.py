"""Joining, belonging and leaving."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from django.core.exceptions import ValidationError
from django.db import connection, transaction
from django.http import Http404
from django.utils import timezone

from studio import tenancy
from studio.models import Invitation, LinkPurpose, Membership, Person, Studio, entered_studio, remember_studio
from studio.outbox import entries, mail
from studio.people import public_links
from studio.tenancy import fair_share
from studio.tenancy.access import require
from studio.tenancy.links import absolute
from studio.tenancy.rights import MEMBER_ROLES, Right, Role

INVITATION_DAYS: Final = 7


class CannotJoin(ValidationError):
    """An invitation that can't be taken up, and why."""


class LastOwner(ValidationError):
    """A studio without an owner could never be managed again."""


@dataclass(frozen=True)
class SentInvitation:
    """An invitation and the address that was sent with it."""

    invitation: Invitation
    address: str


def found_studio(*, owner: Person, slug: str, name: str, **profile: object) -> Studio:
    """Open a studio with its first owner."""
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute("SELECT nextval(pg_get_serial_sequence('studio_studio', 'id'))")
            (studio_id,) = cursor.fetchone()
        with tenancy.entered(studio_id, slug=slug, person_id=owner.pk):
            studio = Studio(pk=studio_id, slug=slug, name=name, **profile)
            studio.full_clean()
            studio.save(force_insert=True)
            Membership.objects.create(person=owner, role=Role.OWNER)
    return studio


def memberships_of(person: Person) -> list[Membership]:
    """A person's parts in all their studios, by the studio's name."""
    with tenancy.as_person(person.pk):
        return list(
            Membership.objects.filter(person=person, studio__closed_at=None)
            .select_related("studio")
            .defer("studio__logo")
            .order_by("studio__name")
        )


@contextmanager
def membership_entered(*, person_id: int, slug: str) -> Iterator[Membership]:
    """One transaction inside the studio ``slug``, as its member; 404 for whoever is none at this moment."""
    is_outermost = not connection.in_atomic_block
    with tenancy.as_person(person_id):
        known = Membership.objects.select_related("studio").defer("studio__logo")
        try:
            membership = known.get(person_id=person_id, studio__slug=slug, studio__closed_at=None)
        except Membership.DoesNotExist:
            raise Http404 from None
        with tenancy.entered(
            membership.studio.pk,
            slug=slug,
            role=Role(membership.role),
            person_id=person_id,
            until_transaction_ends=is_outermost,
        ):
            remember_studio(membership.studio)
            yield membership


def invite(*, email: str, role: Role, by: Person) -> SentInvitation:
    """Ask somebody to join: mails a link that works once and for seven days. An open invitation is replaced."""
    require(Right.MANAGE_PEOPLE)
    address = email.strip().lower()
    if role not in MEMBER_ROLES:
        raise ValidationError({"role": "Choose owner, staff or crew."})
    if Membership.objects.filter(person__email__iexact=address).exists():
        raise ValidationError({"email": f"{address} already belongs to this studio."})
    fair_share.ask(fair_share.INVITATIONS)
    with transaction.atomic():
        for earlier in Invitation.objects.filter(email__iexact=address, accepted_at=None, withdrawn_at=None):
            withdraw(earlier.pk)
        invitation = Invitation.objects.create(
            email=address,
            role=role,
            invited_by=by,
            expires_at=timezone.now() + timedelta(days=INVITATION_DAYS),
        )
        made = public_links.make(
            LinkPurpose.INVITATION, subject_id=invitation.pk, expires_at=invitation.expires_at
        )
        invitation.link = made.link
        invitation.save(update_fields=["link"])
        sent = SentInvitation(invitation, absolute(f"/join/{made.token}/"))
        entries.write(
            "studio.mail_invitation",
            share=fair_share.MAILS,
            key=f"invitation-{invitation.pk}",
            invitation_id=invitation.pk,
        )
    return sent


def mail_invitation(invitation_id: int) -> None:
    """Send the e-mail, with a link made for it now: so no token is ever stored, not even on its way."""
    invitation = Invitation.objects.select_related("invited_by").get(pk=invitation_id)
    if invitation.accepted_at or invitation.withdrawn_at:
        return
    made = public_links.make(
        LinkPurpose.INVITATION, subject_id=invitation.pk, expires_at=invitation.expires_at
    )
    studio = entered_studio()
    mail.send(
        template="invitation",
        to=invitation.email,
        context={
            "studio": studio.name,
            "by": str(invitation.invited_by),
            "role": invitation.role,
            "address": absolute(f"/join/{made.token}/"),
        },
    )


def withdraw(invitation_id: int) -> None:
    """Close an invitation's link. Raises ``Http404`` for an unknown one."""
    require(Right.MANAGE_PEOPLE)
    if not Invitation.objects.filter(pk=invitation_id).exists():
        raise Http404
    public_links.revoke(LinkPurpose.INVITATION, subject_id=invitation_id)
    Invitation.objects.filter(pk=invitation_id, accepted_at=None).update(withdrawn_at=timezone.now())


def join(*, person: Person, found: public_links.FoundLink) -> Studio:
    """Take up an invitation: once, and only under the e-mail address that was invited."""
    with tenancy.entered(found.studio_id, person_id=person.pk):
        invitation = Invitation.objects.select_for_update().filter(pk=found.subject_id).first()
        if invitation is None or invitation.accepted_at or invitation.withdrawn_at:
            raise CannotJoin("This invitation was already used or withdrawn. Ask the studio for a new one.")
        if invitation.email.lower() != person.email.lower():
            raise CannotJoin(
                f"This invitation is for {invitation.email}; you are signed in as {person.email}. "
                "Sign in with that address, or ask the studio to invite this one."
            )
        Membership.objects.get_or_create(
            studio_id=found.studio_id, person=person, defaults={"role": invitation.role}
        )
        invitation.accepted_at, invitation.accepted_by = timezone.now(), person
        invitation.save(update_fields=["accepted_at", "accepted_by"])
        public_links.revoke(LinkPurpose.INVITATION, subject_id=invitation.pk)
        return Studio.objects.defer("logo").get(pk=found.studio_id)


def change_role(membership_id: int, role: Role) -> None:
    """Give a member another role; the last owner stays one."""
    require(Right.MANAGE_PEOPLE)
    with transaction.atomic():
        owners = _locked_owners()
        membership = Membership.objects.select_for_update().filter(pk=membership_id).first()
        if membership is None:
            raise Http404
        if role is not Role.OWNER and owners == [membership.pk]:
            raise LastOwner("A studio needs an owner: make someone else an owner first.")
        membership.role = role
        membership.save(update_fields=["role"])


def remove(membership_id: int) -> None:
    """Take somebody out of the studio; their very next request finds nothing."""
    require(Right.MANAGE_PEOPLE)
    with transaction.atomic():
        owners = _locked_owners()
        membership = Membership.objects.filter(pk=membership_id).first()
        if membership is None:
            raise Http404
        if owners == [membership.pk]:
            raise LastOwner("The last owner can't be removed: make someone else an owner first.")
        membership.delete()


def _locked_owners() -> list[int]:
    owners = Membership.objects.select_for_update().filter(role=Role.OWNER).order_by("pk")
    return list(owners.values_list("pk", flat=True))

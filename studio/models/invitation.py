"""Invitations to join a studio."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models.functions import Lower

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel
from studio.tenancy.rights import MEMBER_ROLES


@tracked()
class Invitation(TenantModel):
    """Somebody was asked to join under an e-mail address; the link that was sent expires."""

    email = models.EmailField("e-mail address")
    role = models.CharField(max_length=8, choices=[(role.value, role.value) for role in MEMBER_ROLES])
    invited_by = models.ForeignKey("studio.Person", on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True)
    accepted_by = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True)
    link = TenantForeignKey("studio.PublicLink", on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                "studio",
                Lower("email"),
                condition=models.Q(accepted_at=None, withdrawn_at=None),
                name="studio_invitation_open_email_key",
            ),
        ]

    def __str__(self) -> str:
        return self.email

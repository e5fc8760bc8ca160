"""Who belongs to a studio, and as what."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantModel
from studio.tenancy.rights import MEMBER_ROLES, Role


@tracked()
class Membership(TenantModel):
    """A person's part in a studio. Deleting the row removes them with immediate effect."""

    person = models.ForeignKey("studio.Person", on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=8, choices=[(role.value, role.value) for role in MEMBER_ROLES])
    since = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "person"], name="studio_membership_person_key"),
            models.CheckConstraint(
                condition=models.Q(role__in=[role.value for role in MEMBER_ROLES]),
                name="studio_membership_role",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} as {Role(self.role)}"

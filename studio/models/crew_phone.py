"""Phones that crew use for one event by a link, without an account."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from studio.measures.languages import Language
from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


@tracked(exclude=["device_hash"])
class CrewPhone(TenantModel):
    """A phone that was given one event. Its link says which one and until when; the first device that takes it up
    has it alone. A new link for the same phone keeps the row, and with it the name that its ticks carry.
    """

    name = models.CharField(max_length=40, help_text="What is shown beside its ticks.")
    language = models.CharField(
        max_length=2, blank=True, choices=Language, help_text="ISO 639-1. Empty: the studio's."
    )
    link = TenantForeignKey("studio.PublicLink", on_delete=models.PROTECT, related_name="+")
    device_hash = models.CharField(
        max_length=64, blank=True, help_text="SHA-256 of what the device that took it up keeps, hexadecimal."
    )
    taken_at = models.DateTimeField(null=True, help_text="When a device took it up.")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["made_at", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "link"], name="studio_crewphone_link_key"),
            models.CheckConstraint(condition=~Q(name=""), name="studio_crewphone_named"),
            models.CheckConstraint(
                condition=Q(language__in=["", *Language.values]), name="studio_crewphone_language_known"
            ),
            models.CheckConstraint(
                condition=Q(device_hash="", taken_at=None) | ~Q(device_hash="") & Q(taken_at__isnull=False),
                name="studio_crewphone_taken_by_a_device",
            ),
        ]

    def __str__(self) -> str:
        return self.name

"""Pictures and papers kept with an event or a venue: the client's sketch, the house's plan, a photo of the dock."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from studio.tenancy.models import TenantForeignKey, TenantModel


class Enclosure(TenantModel):
    """One picture, re-encoded, or one PDF as it came."""

    event = TenantForeignKey("events.Event", on_delete=models.CASCADE, null=True, related_name="enclosures")
    venue = TenantForeignKey("events.Venue", on_delete=models.CASCADE, null=True, related_name="enclosures")
    name = models.CharField(max_length=120)
    file = TenantForeignKey("studio.StoredFile", on_delete=models.PROTECT, related_name="+")
    is_picture = models.BooleanField()
    person = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")
    added_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(event__isnull=True) ^ Q(venue__isnull=True), name="events_enclosure_one_place"
            ),
            models.CheckConstraint(condition=~Q(name=""), name="events_enclosure_has_a_name"),
        ]

    def __str__(self) -> str:
        return self.name

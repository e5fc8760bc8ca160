"""How far two venues are from each other, where somebody has said so."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


@tracked()
class VenueDrive(TenantModel):
    """The drive between two venues, the same both ways; kept once, under the venue that was remembered first."""

    venue = TenantForeignKey("events.Venue", on_delete=models.CASCADE, related_name="drives")
    other = TenantForeignKey("events.Venue", on_delete=models.CASCADE, related_name="drives_from_later")
    minutes = models.PositiveSmallIntegerField()

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "venue", "other"], name="events_venuedrive_pair_key"),
            models.CheckConstraint(
                condition=Q(venue__lt=F("other")), name="events_venuedrive_earlier_venue_first"
            ),
            models.CheckConstraint(condition=Q(minutes__lte=24 * 60), name="events_venuedrive_minutes_range"),
        ]

    def __str__(self) -> str:
        return f"{self.minutes} min"

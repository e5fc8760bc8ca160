"""Transfers from another event that were requested before this one is agreed."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


@tracked(table="events_comesstraightevent")
class TransferRequest(TenantModel):
    """A requested transfer: so many of a code from another event, held together with this event's stock."""

    event = TenantForeignKey("events.Event", on_delete=models.CASCADE, related_name="transfer_requests")
    giver = TenantForeignKey("events.Event", on_delete=models.CASCADE, related_name="transfer_requests_out")
    code = models.CharField(max_length=80)
    label = models.CharField(max_length=160)
    quantity = models.PositiveIntegerField()
    unwashed = models.BooleanField(default=False)

    class Meta:
        db_table = "events_comesstraight"
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["studio", "event", "giver", "code"], name="events_comesstraight_key"
            ),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="events_comesstraight_some"),
            models.CheckConstraint(condition=~Q(event=F("giver")), name="events_comesstraight_from_another"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.label}"

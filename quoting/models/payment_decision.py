"""What the studio decided about what was paid for an event that was called off."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


class PaymentChoice(models.TextChoices):
    """What happens with what was paid."""

    KEEP = "keep", "Keep it, by the terms"
    REFUND = "refund", "Refund all or part of it"
    MOVE = "move", "Keep it for a new date"


@tracked()
class PaymentDecision(TenantModel):
    """One decision; it stands until another is made or the event is on again."""

    event = TenantForeignKey("events.Event", on_delete=models.CASCADE, related_name="payment_decisions")
    choice = models.CharField(max_length=6, choices=PaymentChoice)
    refund = models.DecimalField(max_digits=14, decimal_places=4, default=0)
    words = models.CharField("reason", max_length=400, blank=True)
    decided_at = models.DateTimeField()
    decided_by = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")
    ended_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["-decided_at", "-pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["studio", "event"],
                condition=models.Q(ended_at=None),
                name="quoting_paymentdecision_one_standing",
            ),
            models.CheckConstraint(
                condition=models.Q(choice__in=PaymentChoice.values),
                name="quoting_paymentdecision_choice_known",
            ),
            models.CheckConstraint(
                condition=models.Q(choice="refund", refund__gt=0)
                | (~models.Q(choice="refund") & models.Q(refund=0)),
                name="quoting_paymentdecision_refund_fits",
            ),
        ]

    def __str__(self) -> str:
        return self.get_choice_display()

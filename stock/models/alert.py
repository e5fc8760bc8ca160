"""What the worker found that wants a look."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from studio.tenancy.models import TenantForeignKey, TenantModel


class AlertKind(models.TextChoices):
    """What is the matter."""

    SHORT = "short", "short for what is held"
    REORDER = "reorder", "time to order more"
    PENCIL = "pencil", "a pencilled hold is about to lapse"
    OVERDUE = "overdue", "should be back and isn’t counted"
    OLD = "old", "latex past its best"
    STEP = "step", "the ledger and the shelf disagree"


class Alert(TenantModel):
    """One thing that wants a look, until it is over. It is raised once, however often the worker looks."""

    kind = models.CharField(max_length=7, choices=AlertKind)
    subject = models.CharField(max_length=80, help_text="What it is about; one open alert for each.")
    words = models.CharField(max_length=300)
    item = TenantForeignKey("stock.Item", on_delete=models.CASCADE, null=True, related_name="alerts")
    raised_at = models.DateTimeField(auto_now_add=True)
    over_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["-raised_at", "-pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["studio", "kind", "subject"],
                condition=Q(over_at__isnull=True),
                name="stock_alert_once",
            ),
            models.CheckConstraint(condition=Q(kind__in=AlertKind.values), name="stock_alert_kind"),
        ]

    def __str__(self) -> str:
        return self.words


class AlertChoice(TenantModel):
    """What one person wants to hear of; without a row they hear of everything that they may see."""

    person = models.ForeignKey("studio.Person", on_delete=models.CASCADE, related_name="+")
    kind = models.CharField(max_length=7, choices=AlertKind)
    on_page = models.BooleanField(default=True)
    by_mail = models.BooleanField(default=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "person", "kind"], name="stock_alertchoice_key"),
            models.CheckConstraint(condition=Q(kind__in=AlertKind.values), name="stock_alertchoice_kind"),
        ]

    def __str__(self) -> str:
        return f"{self.person_id}: {self.kind}"

"""Stock alerts, found by the worker."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from studio.tenancy.models import TenantForeignKey, TenantModel


class AlertKind(models.TextChoices):
    """The kinds of alerts."""

    SHORT = "short", "shortages"
    REORDER = "reorder", "time to reorder"
    LAPSING = "lapsing", "tentative holds about to expire"
    OVERDUE = "overdue", "returns not counted yet"
    OLD = "old", "latex past its best"
    STEP = "step", "ledger and stock don’t match"


class Alert(TenantModel):
    """One alert, open until it is resolved. It is raised once, however often the worker checks."""

    kind = models.CharField(max_length=7, choices=AlertKind)
    subject = models.CharField(
        max_length=80, help_text="What the alert is about; at most one open alert for each."
    )
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

    @property
    def hold_id(self) -> int | None:
        """The hold that the alert is about, on whose page substitutes stand."""
        about = self.subject.partition("-")[0]
        of_hold = self.kind in (AlertKind.SHORT, AlertKind.LAPSING, AlertKind.OVERDUE)
        return int(about) if of_hold and about.isdecimal() else None


class AlertChoice(TenantModel):
    """How one person gets one kind of alert; without a row, on the page and by e-mail."""

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

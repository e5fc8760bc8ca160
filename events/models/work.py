"""What was agreed for an event: the bill of materials and the work, as the quote handed them down."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from studio.tenancy.models import TenantForeignKey, TenantModel


class BillRow(TenantModel):
    """So many of what a code of the catalogue names, for one part of the design."""

    event = TenantForeignKey("events.Event", on_delete=models.CASCADE, related_name="bill")
    code = models.CharField(max_length=80)
    label = models.CharField(max_length=160)
    quantity = models.PositiveIntegerField()
    spare = models.PositiveIntegerField(
        default=0, help_text="How many of them are the loss allowance: brought flat, in case others pop."
    )
    part = models.CharField(max_length=80, blank=True, help_text="Which set piece or line it is for.")
    group = models.CharField(max_length=40, blank=True, help_text="Garland, frames, florals, and so on.")
    short = models.PositiveIntegerField(default=0, help_text="How many were missing when it was agreed.")
    now_code = models.CharField(max_length=80, blank=True, help_text="The item that was swapped in for it.")
    now_label = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="events_billrow_some"),
            models.CheckConstraint(
                condition=Q(spare__gte=0, spare__lt=F("quantity")), name="events_billrow_fewer_spare_than_all"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.label}"

    @property
    def present_code(self) -> str:
        """The item that stands for it now: another one after a swap."""
        return self.now_code or self.code

    @property
    def present_label(self) -> str:
        """The name of that item."""
        return self.now_label or self.label


def present_code_among(codes: Iterable[object]) -> Q:
    """The condition that a bill row's present item is one of ``codes``, or of a queryset of codes."""
    return Q(now_code__in=codes) | Q(now_code="", code__in=codes)


class WorkRow(TenantModel):
    """Minutes of one task, as the take-off works them out."""

    event = TenantForeignKey("events.Event", on_delete=models.CASCADE, related_name="work")
    task = models.CharField(max_length=60)
    minutes = models.DecimalField(max_digits=9, decimal_places=2)

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "event", "task"], name="events_workrow_task_key"),
            models.CheckConstraint(condition=Q(minutes__gte=0), name="events_workrow_minutes_range"),
        ]

    def __str__(self) -> str:
        return f"{self.task} {self.minutes} min"

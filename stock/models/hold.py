"""Holds: quantities reserved for a window under a label."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


class HoldState(models.TextChoices):
    """How firm a hold is."""

    TENTATIVE = "tentative", "tentative"
    HELD = "held", "confirmed"
    RELEASED = "released", "released"
    COUNTED_BACK = "counted", "returned and counted"

    @classmethod
    def _missing_(cls, value: object) -> HoldState | None:
        """The state that kept answers of earlier versions name by its former value."""
        return cls.TENTATIVE if value == "pencilled" else None


class Purpose(models.TextChoices):
    """What a hold is for."""

    JOB = "job", "event"
    WASH = "wash", "cleaning"
    MENDING = "mending", "repair"


ACTIVE_STATES = (HoldState.TENTATIVE, HoldState.HELD)
"""States in which a hold reserves stock; a tentative hold only until its date."""


@tracked()
class Hold(TenantModel):
    """What is reserved for one job, from load-out to return."""

    label = models.CharField(max_length=160)
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    state = models.CharField(max_length=9, choices=HoldState)
    purpose = models.CharField(max_length=7, choices=Purpose, default=Purpose.JOB)
    tentative_until = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")), name="stock_hold_ends_after_start"
            ),
            models.CheckConstraint(condition=Q(state__in=HoldState.values), name="stock_hold_state"),
            models.CheckConstraint(condition=Q(purpose__in=Purpose.values), name="stock_hold_purpose"),
            models.CheckConstraint(
                condition=~Q(state="tentative") | Q(tentative_until__isnull=False),
                name="stock_hold_tentative_has_a_date",
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=["studio", "starts_at"], name="stock_hold_by_start"),
            models.Index(
                fields=["studio", "ends_at"],
                condition=Q(state__in=["tentative", "held"]),
                name="stock_hold_standing",
            ),
        ]

    def __str__(self) -> str:
        return self.label


class HoldLine(TenantModel):
    """The quantity of one item on a hold.

    ``busy_from`` to ``busy_until`` is the hold's window plus the item's cleaning time when the hold was made. A
    transfer has a line of its own on both holds, and the two windows meet at its moment (``handed_on``); an item's
    quantity is the sum of its lines. ``standing`` is false once the hold is released or counted back; it is repeated
    here so that past holds cost nothing when looking ahead.
    """

    hold = TenantForeignKey("stock.Hold", on_delete=models.CASCADE, related_name="lines")
    item = TenantForeignKey("stock.Item", on_delete=models.PROTECT, related_name="hold_lines")
    quantity = models.PositiveIntegerField()
    busy_from = models.DateTimeField()
    busy_until = models.DateTimeField()
    standing = models.BooleanField(default=True)
    handed_on = TenantForeignKey(
        "stock.AgreedTransfer", on_delete=models.PROTECT, null=True, blank=True, related_name="lines"
    )

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["studio", "hold", "item", "handed_on"],
                nulls_distinct=False,
                name="stock_holdline_item_key",
            ),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="stock_holdline_some"),
            models.CheckConstraint(
                condition=Q(busy_until__gt=F("busy_from")), name="stock_holdline_ends_after_start"
            ),
        ]
        indexes: ClassVar = [
            models.Index(
                fields=["studio", "item", "busy_until"],
                condition=Q(standing=True),
                name="stock_holdline_standing",
            )
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.item_id}"

"""The ledger: every stock movement, written once, and the balances derived from it."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from studio.tenancy.models import TenantForeignKey, TenantModel


class MovementKind(models.TextChoices):
    """The kinds of movements."""

    OPENING = "opening", "opening stock"
    RECEIVED = "received", "received"
    USED = "used", "used"
    COUNTED = "counted", "counted"
    BROKEN = "broken", "broken"
    LOST = "lost", "lost"
    RETURNED = "returned", "returned unused"
    MOVED = "moved", "moved"
    SENT_BACK = "sent back", "sent back to the supplier"
    CORRECTED = "corrected", "receipt corrected"


class Movement(TenantModel):
    """One line of the ledger. PostgreSQL refuses to change or delete it; a further line corrects a mistake.

    ``quantity`` is what is added, negative where something leaves. A reusable item that is out on an event has no
    movement, only a hold.
    """

    item = TenantForeignKey("stock.Item", on_delete=models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=9, choices=MovementKind)
    quantity = models.IntegerField()
    at = models.DateTimeField(default=timezone.now, help_text="When it happened.")
    written_at = models.DateTimeField(auto_now_add=True)
    person = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")
    reason = models.CharField(max_length=200, blank=True)
    label = models.CharField(
        max_length=160, blank=True, help_text="What the movement was for, such as an event's title."
    )
    batch = models.CharField(
        max_length=40,
        blank=True,
        help_text="The batch number on the bags that came in, if it was recorded.",
    )
    order_line = TenantForeignKey(
        "stock.OrderLine", on_delete=models.PROTECT, null=True, blank=True, related_name="movements"
    )
    corrects = TenantForeignKey(
        "stock.Movement", on_delete=models.PROTECT, null=True, blank=True, related_name="corrections"
    )

    class Meta:
        ordering: ClassVar = ["-pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(kind__in=["opening", "received", "returned"], quantity__gt=0)
                | Q(kind__in=["used", "broken", "lost", "sent back"], quantity__lt=0)
                | Q(kind="counted")
                | Q(kind="moved", quantity=0)
                | Q(kind="corrected") & ~Q(quantity=0),
                name="stock_movement_sign",
            ),
            models.CheckConstraint(
                condition=Q(kind="corrected", corrects__isnull=False)
                | ~Q(kind="corrected") & Q(corrects__isnull=True),
                name="stock_movement_only_a_correction_corrects",
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=["studio", "item", "-id"], name="stock_movement_by_item"),
            models.Index(
                fields=["studio", "item", "at"], condition=Q(kind="used"), name="stock_movement_of_use"
            ),
            models.Index(
                fields=["studio", "item", "-id"],
                condition=Q(kind__in=["opening", "received"]),
                name="stock_movement_of_arrival",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.quantity:+d}"


class Balance(TenantModel):
    """The number owned of an item: the sum of its movements, maintained by a trigger on the ledger."""

    item = TenantForeignKey("stock.Item", on_delete=models.PROTECT, related_name="balances")
    on_hand = models.IntegerField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "item"], name="stock_balance_item_key"),
            models.CheckConstraint(condition=Q(on_hand__gte=0), name="stock_balance_never_below_zero"),
        ]

    def __str__(self) -> str:
        return str(self.on_hand)

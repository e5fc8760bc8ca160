"""Transfers: pieces that go directly from one hold to another, without coming back to the studio."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


@tracked(table="stock_handedonevent")
class AgreedTransfer(TenantModel):
    """A transfer: a quantity of an item leaves the giver at a moment and belongs to the taker from then on.

    Both holds have a line of their own for it (:attr:`HoldLine.handed_on`): the giver's line ends at ``at`` without
    any time for cleaning, the taker's line begins there.
    """

    giver = TenantForeignKey("stock.Hold", on_delete=models.PROTECT, related_name="transfers_out")
    taker = TenantForeignKey("stock.Hold", on_delete=models.PROTECT, related_name="transfers_in")
    item = TenantForeignKey("stock.Item", on_delete=models.PROTECT, related_name="+")
    quantity = models.PositiveIntegerField()
    at = models.DateTimeField()
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        db_table = "stock_handedon"
        ordering: ClassVar = ["at", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "giver", "taker", "item"], name="stock_handedon_key"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="stock_handedon_some"),
            models.CheckConstraint(condition=~Q(giver=F("taker")), name="stock_handedon_to_another"),
        ]
        indexes: ClassVar = [models.Index(fields=["studio", "taker"], name="stock_handedon_by_taker")]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.item_id}"

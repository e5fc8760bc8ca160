"""Tagged items: single pieces with a tag of their own."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from stock.models.hold import HoldState
from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


@tracked()
class Piece(TenantModel):
    """A tagged item, one piece of a reusable item: ``arch B, left foot dented``.

    The ledger and the holds have the numbers: a tagged item in repair refers to the hold that keeps it away, one that
    is out of use was written off. So nothing here can disagree with them.
    """

    item = TenantForeignKey("stock.Item", on_delete=models.PROTECT, related_name="pieces")
    tag = models.CharField(max_length=30)
    note = models.CharField("note", max_length=160, blank=True)
    mending = TenantForeignKey(
        "stock.Hold", on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    retired_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering: ClassVar = ["tag"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "item", "tag"], name="stock_piece_tag_key"),
            models.CheckConstraint(condition=~Q(tag=""), name="stock_piece_has_a_tag"),
        ]

    def __str__(self) -> str:
        return self.tag

    @property
    def is_mending(self) -> bool:
        """Whether it is in repair now."""
        hold = self.mending
        return hold is not None and hold.state == HoldState.HELD and hold.ends_at > timezone.now()

"""Pieces with a tag of their own, where a studio wants to tell them apart."""

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
    """One piece of an item that comes back: ``arch B, dent at the left foot``.

    Numbers stay the ledger's and the holds': a piece that is mended names the hold that keeps it away, one that is
    out of use was written off. So what stands here can't disagree with them.
    """

    item = TenantForeignKey("stock.Item", on_delete=models.PROTECT, related_name="pieces")
    tag = models.CharField(max_length=30)
    note = models.CharField("what to know", max_length=160, blank=True)
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
        """Whether it is away to be mended now."""
        hold = self.mending
        return hold is not None and hold.state == HoldState.HELD and hold.ends_at > timezone.now()

    @property
    def is_serviceable(self) -> bool:
        """Whether it can go out."""
        return self.retired_at is None and not self.is_mending

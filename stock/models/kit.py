"""Kits: items that go out together under one code, such as a frame with its cover and bolts."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel

KIT_CODE = r"^kit-[a-z0-9]+(-[a-z0-9]+)*$"
"""The form of kit codes; their prefix keeps them apart from item codes."""


@tracked()
class Kit(TenantModel):
    """A named list of items with how many of each. It owns nothing: what is held are its items."""

    code = models.CharField(max_length=80)
    name = models.CharField(max_length=120)
    note = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "code"], name="stock_kit_code_key"),
            models.CheckConstraint(condition=Q(code__regex=KIT_CODE), name="stock_kit_code_shape"),
        ]

    def __str__(self) -> str:
        return self.name


@tracked()
class KitPart(TenantModel):
    """The quantity of one item in a kit."""

    kit = TenantForeignKey("stock.Kit", on_delete=models.CASCADE, related_name="parts")
    item = TenantForeignKey("stock.Item", on_delete=models.PROTECT, related_name="in_kits")
    quantity = models.PositiveIntegerField(default=1)

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "kit", "item"], name="stock_kitpart_item_key"),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="stock_kitpart_some"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.item_id}"

"""Photos of items."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from studio.tenancy.models import TenantForeignKey, TenantModel


class ItemPhoto(TenantModel):
    """The photo of an item, re-encoded; a new photo replaces it."""

    item = TenantForeignKey("stock.Item", on_delete=models.CASCADE, related_name="photos")
    file = TenantForeignKey("studio.StoredFile", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "item"], name="stock_itemphoto_item_key"),
        ]

    def __str__(self) -> str:
        return f"photo of item {self.item_id}"

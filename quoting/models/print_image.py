"""Images that a studio prints on covers."""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from studio.tenancy.models import TenantForeignKey, TenantModel


class PrintImage(TenantModel):
    """An image of the studio, re-encoded; designs name it by its digest."""

    name = models.CharField(max_length=120)
    digest = models.CharField(max_length=64, help_text="SHA-256 of the whole picture, hexadecimal.")
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    whole = TenantForeignKey("studio.StoredFile", on_delete=models.PROTECT, related_name="+")
    small = TenantForeignKey("studio.StoredFile", on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+", editable=False
    )

    class Meta:
        ordering: ClassVar = ["name", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "digest"], name="quoting_printimage_digest_key"),
            models.CheckConstraint(
                condition=Q(digest__regex="^[0-9a-f]{64}$"), name="quoting_printimage_digest_form"
            ),
            models.CheckConstraint(
                condition=Q(width_px__gte=1, height_px__gte=1), name="quoting_printimage_has_pixels"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def aspect(self) -> float:
        """Its width by its height."""
        return round(self.width_px / self.height_px, 4)

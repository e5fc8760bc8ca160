"""Stored answers, so that a repeated request is done once."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from studio.tenancy.models import TenantModel


class KeptAnswer(TenantModel):
    """The first answer to a request under a key, stored in the transaction of that request."""

    key = models.CharField(max_length=120)
    fingerprint = models.CharField(max_length=64, help_text="SHA-256 of the request.")
    answer = models.JSONField(null=True)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "key"], name="stock_keptanswer_key"),
        ]

    def __str__(self) -> str:
        return self.key

"""Files that the product made or took in: PDFs, re-encoded pictures."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from studio.tenancy.models import TenantModel


class StoredFile(TenantModel):
    """A small file, kept in the database: under the same row-level security, backup and transaction as the rest."""

    name = models.CharField(max_length=120)
    media_type = models.CharField(max_length=40)
    content = models.BinaryField()
    digest = models.CharField(max_length=64, help_text="SHA-256 of the content, hexadecimal.")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["studio", "digest"], name="studio_storedfile_digest")]

    def __str__(self) -> str:
        return self.name

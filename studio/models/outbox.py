"""Work that must happen: written in the same transaction as its cause."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from studio.tenancy.models import TenantModel


class OutboxEntry(TenantModel):
    """A task for the worker. Sent when its transaction commits, and swept up again until it is done."""

    task = models.CharField(max_length=120, help_text="Name of the Celery task.")
    arguments = models.JSONField(default=dict)
    key = models.CharField(max_length=120, help_text="The same work under the same key is one entry.")
    written_at = models.DateTimeField(auto_now_add=True)
    due_at = models.DateTimeField(help_text="Not to be swept up before this.")
    attempts = models.PositiveSmallIntegerField(default=0)
    done_at = models.DateTimeField(null=True)
    failed_at = models.DateTimeField(null=True, help_text="Given up after the last attempt.")
    error = models.TextField(blank=True)

    class Meta:
        verbose_name_plural = "outbox entries"
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "key"], name="studio_outboxentry_key"),
        ]
        indexes: ClassVar = [
            models.Index(
                fields=["studio", "due_at"],
                condition=models.Q(done_at=None, failed_at=None),
                name="studio_outbox_waiting",
            )
        ]

    def __str__(self) -> str:
        return f"{self.task} {self.key}"

"""Texts of e-mails to clients, where a studio wrote its own."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from studio.measures.languages import Language
from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantModel


class LetterKind(models.TextChoices):
    """What an e-mail to a client is about."""

    OFFER = "offer", "Offer"
    AGREED = "agreed", "Agreed"
    INVOICE = "invoice", "Invoice"
    CREDIT = "credit", "Credit note"
    REMINDER = "reminder", "Payment reminder"
    RECEIPT = "receipt", "Receipt"
    REFUND = "refund", "Refund"
    CALLED_OFF = "called-off", "Event called off"
    MOVED = "moved", "New date"


@tracked()
class MailText(TenantModel):
    """A studio's own subject and text of one kind of e-mail, in one language. Without a row ours is sent."""

    kind = models.CharField(max_length=10, choices=LetterKind)
    language = models.CharField(max_length=2, choices=Language)
    subject = models.CharField(max_length=160)
    body = models.TextField(max_length=4000)

    class Meta:
        ordering: ClassVar = ["kind", "language"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "kind", "language"], name="quoting_mailtext_key"),
            models.CheckConstraint(
                condition=models.Q(kind__in=LetterKind.values, language__in=Language.values)
                & ~models.Q(subject="")
                & ~models.Q(body=""),
                name="quoting_mailtext_says_something",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} ({self.language})"

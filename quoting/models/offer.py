"""Offers: frozen versions of a quote as sent to a client, and what the client answered."""

from __future__ import annotations

import hashlib
from typing import ClassVar

import pgtrigger
from django.db import models
from django.utils import timezone

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


class OfferState(models.TextChoices):
    """What became of an offer. An open one past its date has lapsed, whether or not the sweep has run."""

    OPEN = "open", "open"
    AGREED = "agreed", "agreed"
    DECLINED = "declined", "declined"
    REPLACED = "replaced", "replaced by a newer one"
    WITHDRAWN = "withdrawn", "withdrawn"
    LAPSED = "lapsed", "expired"


class AnswerKind(models.TextChoices):
    """What a client said to an offer."""

    AGREED = "agreed", "agreed"
    DECLINED = "declined", "declined"
    CHANGE = "change", "asked for a change"


FINAL_ANSWERS = (AnswerKind.AGREED, AnswerKind.DECLINED)

FROZEN_FIELDS = (
    "studio", "quote", "number", "version", "frozen", "digest", "content_digest", "total", "deposit", "currency",
    "client_name", "client_email", "offered_at", "offered_by", "expires_at", "vouched",
)  # fmt: skip


def written_reference(number: int, version: int) -> str:
    """An offer's number as people say it: ``12`` for the first version, ``12-2`` for the second."""
    return str(number) if version == 1 else f"{number}-{version}"


@tracked(exclude=["frozen", "digest", "content_digest", "pdf", "agreed_pdf", "mail_stopped_at"])
class Offer(TenantModel):
    """One version as sent. What the client saw is text, digested; the database refuses to change it."""

    quote = TenantForeignKey("quoting.Quote", on_delete=models.PROTECT, related_name="offers")
    number = models.PositiveIntegerField(
        help_text="The studio's running number; all versions of a quote share it."
    )
    version = models.PositiveIntegerField(help_text="1 for the first offer of a quote.")
    frozen = models.TextField(help_text="The document as canonical JSON: see quoting.offers.document.")
    digest = models.CharField(max_length=64, help_text="SHA-256 of the frozen text, hexadecimal.")
    content_digest = models.CharField(max_length=64, help_text="The same without number, version and dates.")
    total = models.DecimalField(max_digits=14, decimal_places=4)
    deposit = models.DecimalField(max_digits=14, decimal_places=4)
    currency = models.CharField(max_length=3)
    client_name = models.CharField(max_length=120)
    client_email = models.EmailField(blank=True)
    offered_at = models.DateTimeField()
    offered_by = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")
    expires_at = models.DateTimeField()
    vouched = models.TextField(
        blank=True,
        help_text="What was still open when it was sent, as the owner read it, and the owner's reason; a line each.",
    )
    state = models.CharField(max_length=9, choices=OfferState, default=OfferState.OPEN)
    closed_at = models.DateTimeField(null=True)
    tentative_hold = TenantForeignKey("stock.Hold", on_delete=models.PROTECT, null=True, related_name="+")
    pdf = TenantForeignKey("studio.StoredFile", on_delete=models.PROTECT, null=True, related_name="+")
    mail_stopped_at = models.DateTimeField(
        null=True,
        help_text="When its e-mail was stopped because the pieces aren't on hold; empty once it is sent.",
    )
    agreed_pdf = TenantForeignKey("studio.StoredFile", on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering: ClassVar = ["-number", "-version"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "number", "version"], name="quoting_offer_number_key"),
            models.UniqueConstraint(fields=["studio", "quote", "version"], name="quoting_offer_version_key"),
            models.UniqueConstraint(
                fields=["studio", "quote"], condition=models.Q(state="open"), name="quoting_offer_one_open"
            ),
            models.UniqueConstraint(
                fields=["studio", "quote"],
                condition=models.Q(state="agreed"),
                name="quoting_offer_one_agreed",
            ),
            models.CheckConstraint(
                condition=models.Q(state__in=OfferState.values), name="quoting_offer_state_known"
            ),
            models.CheckConstraint(
                condition=models.Q(state="open", closed_at=None)
                | (~models.Q(state="open") & models.Q(closed_at__isnull=False)),
                name="quoting_offer_closed_when_over",
            ),
            models.CheckConstraint(
                condition=models.Q(expires_at__gt=models.F("offered_at")), name="quoting_offer_expires_later"
            ),
            models.CheckConstraint(
                condition=models.Q(total__gte=0, deposit__gte=0, deposit__lte=models.F("total")),
                name="quoting_offer_amounts",
            ),
        ]
        indexes: ClassVar = [
            models.Index(
                fields=["studio", "expires_at"],
                condition=models.Q(state="open"),
                name="quoting_offer_to_lapse",
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.ReadOnly(name="frozen", fields=list(FROZEN_FIELDS)),
            pgtrigger.Protect(name="kept", operation=pgtrigger.Delete),
        ]

    def __str__(self) -> str:
        return f"offer {self.reference}"

    @property
    def reference(self) -> str:
        """As people say it: ``12`` for the first version, ``12-2`` for the second."""
        return written_reference(self.number, self.version)

    @property
    def standing(self) -> OfferState:
        """What it is at this moment: open, or what became of it."""
        if self.state == OfferState.OPEN and self.expires_at <= timezone.now():
            return OfferState.LAPSED
        return OfferState(self.state)

    @property
    def is_intact(self) -> bool:
        """Whether the text still has the digest that it was frozen with."""
        return hashlib.sha256(self.frozen.encode()).hexdigest() == self.digest


class Answer(TenantModel):
    """What somebody who held the link said, with its evidence. Written once; never changed."""

    offer = TenantForeignKey("quoting.Offer", on_delete=models.PROTECT, related_name="answers")
    kind = models.CharField(max_length=8, choices=AnswerKind)
    name = models.CharField(max_length=120, blank=True, help_text="As typed.")
    words = models.TextField(blank=True, help_text="What was written with it.")
    statement = models.TextField(blank=True, help_text="The sentence that was ticked.")
    at = models.DateTimeField()
    address = models.CharField("internet address", max_length=45, blank=True)
    user_agent = models.CharField("browser", max_length=400, blank=True)
    version = models.PositiveIntegerField(help_text="The version on the page.")
    total = models.DecimalField(max_digits=14, decimal_places=4, help_text="The total on the page.")
    currency = models.CharField(max_length=3)
    digest = models.CharField(max_length=64, help_text="Digest of the document on the page.")
    frozen = models.TextField(blank=True, help_text="The agreed document itself.")
    chosen = models.JSONField(default=list, help_text="Keys of the document's options that were agreed to.")

    class Meta:
        ordering: ClassVar = ["at", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["studio", "offer"],
                condition=models.Q(kind__in=[kind.value for kind in FINAL_ANSWERS]),
                name="quoting_answer_one_final",
            ),
            models.CheckConstraint(
                condition=models.Q(kind__in=AnswerKind.values), name="quoting_answer_kind_known"
            ),
            models.CheckConstraint(
                condition=~models.Q(kind="agreed") | (~models.Q(name="") & ~models.Q(frozen="")),
                name="quoting_answer_agreed_has_evidence",
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["studio", "offer"], name="quoting_answer_of_offer")]

    def __str__(self) -> str:
        return f"{self.kind} by {self.name or 'the client'}"

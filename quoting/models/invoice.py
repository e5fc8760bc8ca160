"""Invoices and credit notes as issued, what was paid on them, and what was written to whoever hadn't paid."""

from __future__ import annotations

import hashlib
from typing import ClassVar, Final

import pgtrigger
from django.db import models
from django.utils.translation import gettext_lazy as _

from studio.measures.languages import Language, spoken
from studio.models.spelling import cheque
from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


class InvoiceKind(models.TextChoices):
    """What an invoice asks for, or gives back."""

    DEPOSIT = "deposit", "deposit"
    INSTALMENT = "instalment", "instalment"
    BALANCE = "balance", "balance"
    CREDIT = "credit", "credit note"


class PaidBy(models.TextChoices):
    """How money came in or went out."""

    TRANSFER = "transfer", _("bank transfer")
    CARD = "card", _("card")
    CASH = "cash", _("cash")
    CHEQUE = "cheque", _("cheque")
    OTHER = "other", _("other")

    def in_words(self, locale: str | None = None) -> str:
        """Its name as that locale writes it: the entered studio's where none is given."""
        return (
            cheque(locale)
            if self == PaidBy.CHEQUE and spoken() in (None, Language.ENGLISH)
            else str(self.label)
        )


INVOICE_FROZEN: Final = (
    "studio", "number", "kind", "key", "event", "offer", "credits", "frozen", "digest", "currency", "net", "tax",
    "total", "client_name", "client_email", "reference", "issued_on", "issued_at", "issued_by", "due_on",
)  # fmt: skip
PAYMENT_FROZEN: Final = (
    "studio", "number", "key", "invoice", "amount", "received_on", "paid_by", "words", "takes_back", "recorded_at",
    "recorded_by",
)  # fmt: skip

NEXT_IN_ROW = """
IF NEW.number IS DISTINCT FROM (
    SELECT coalesce(max(number), 0) + 1 FROM {table} WHERE studio_id = NEW.studio_id
) THEN
    RAISE EXCEPTION 'a number must be the next one of its studio' USING ERRCODE = 'check_violation';
END IF;
RETURN NEW;
"""
"""Numbers follow one another without a gap; that two writers never take the same one is the unique key's matter."""


def next_in_row(table: str) -> pgtrigger.Trigger:
    """The trigger that lets a table's ``number`` only ever be the studio's next one."""
    return pgtrigger.Trigger(
        name="next_in_row",
        operation=pgtrigger.Insert,
        when=pgtrigger.Before,
        func=NEXT_IN_ROW.replace("{table}", table),
    )


class NumberSeries(TenantModel):
    """How far a studio has counted. One row a studio: locked, it makes those who issue wait for each other."""

    last_invoice = models.PositiveIntegerField(default=0)
    last_payment = models.PositiveIntegerField(default=0)

    class Meta:
        verbose_name_plural = "number series"
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio"], name="quoting_numberseries_one_a_studio")
        ]

    def __str__(self) -> str:
        return f"invoices to {self.last_invoice}, payments to {self.last_payment}"


@tracked(exclude=["frozen", "digest", "pdf"])
class Invoice(TenantModel):
    """One document as issued. The database refuses to change or delete it; a mistake is put right by a credit note.

    ``net``, ``tax`` and ``total`` are what this document asks for (a credit note: gives back), without what earlier
    ones asked for already.
    """

    number = models.PositiveIntegerField(help_text="The studio's running number, without gaps.")
    kind = models.CharField(max_length=10, choices=InvoiceKind)
    key = models.CharField(
        max_length=80, help_text="What it was issued for: the same again is the same invoice."
    )
    event = TenantForeignKey("events.Event", on_delete=models.PROTECT, related_name="invoices")
    offer = TenantForeignKey("quoting.Offer", on_delete=models.PROTECT, null=True, related_name="invoices")
    credits = TenantForeignKey("self", on_delete=models.PROTECT, null=True, related_name="credit_notes")
    frozen = models.TextField(help_text="The document as canonical JSON: see quoting.invoices.document.")
    digest = models.CharField(max_length=64, help_text="SHA-256 of the frozen text, hexadecimal.")
    currency = models.CharField(max_length=3)
    net = models.DecimalField(max_digits=14, decimal_places=4)
    tax = models.DecimalField(max_digits=14, decimal_places=4)
    total = models.DecimalField(max_digits=14, decimal_places=4)
    client_name = models.CharField(max_length=120)
    client_email = models.EmailField(blank=True)
    reference = models.CharField("payment reference", max_length=25, help_text="ISO 11649.")
    issued_on = models.DateField(help_text="By the studio's own calendar.")
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")
    due_on = models.DateField(null=True)
    pdf = TenantForeignKey("studio.StoredFile", on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering: ClassVar = ["-number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "number"], name="quoting_invoice_number_key"),
            models.UniqueConstraint(fields=["studio", "key"], name="quoting_invoice_key_key"),
            models.CheckConstraint(
                condition=models.Q(kind__in=[kind.value for kind in InvoiceKind]),
                name="quoting_invoice_kind_known",
            ),
            models.CheckConstraint(
                condition=models.Q(
                    total__gte=0, net__gte=0, tax__gte=0, total=models.F("net") + models.F("tax")
                ),
                name="quoting_invoice_adds_up",
            ),
            models.CheckConstraint(
                condition=models.Q(kind="credit", credits__isnull=False, due_on=None)
                | (~models.Q(kind="credit") & models.Q(credits=None, due_on__isnull=False)),
                name="quoting_invoice_credit_or_due",
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=["studio", "event"], name="quoting_invoice_of_event"),
            models.Index(fields=["studio", "due_on"], name="quoting_invoice_due"),
        ]
        triggers: ClassVar = [
            pgtrigger.ReadOnly(name="frozen", fields=list(INVOICE_FROZEN)),
            pgtrigger.Protect(name="kept", operation=pgtrigger.Delete),
            next_in_row("quoting_invoice"),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.written_number}"

    @property
    def is_credit(self) -> bool:
        """Whether it gives back."""
        return self.kind == InvoiceKind.CREDIT

    @property
    def name(self) -> str:
        """What it is called at its head."""
        return "credit note" if self.is_credit else "invoice"

    @property
    def written_number(self) -> str:
        """As people say it: at least four digits."""
        return f"{self.number:04d}"

    @property
    def is_intact(self) -> bool:
        """Whether the text still has the digest that it was frozen with."""
        return hashlib.sha256(self.frozen.encode()).hexdigest() == self.digest


@tracked(exclude=["pdf"])
class Payment(TenantModel):
    """Money that came in on an invoice, or below nothing went back. Never changed: a slip is taken back by another."""

    number = models.PositiveIntegerField(help_text="The studio's running number of its receipts.")
    key = models.CharField(
        max_length=80, help_text="Of the form that recorded it: sent twice, it is one payment."
    )
    invoice = TenantForeignKey(Invoice, on_delete=models.PROTECT, related_name="payments")
    amount = models.DecimalField(max_digits=14, decimal_places=4)
    received_on = models.DateField()
    paid_by = models.CharField(max_length=10, choices=PaidBy)
    words = models.CharField(max_length=200, blank=True)
    takes_back = TenantForeignKey("self", on_delete=models.PROTECT, null=True, related_name="taken_back_by")
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")
    pdf = TenantForeignKey("studio.StoredFile", on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "number"], name="quoting_payment_number_key"),
            models.UniqueConstraint(fields=["studio", "key"], name="quoting_payment_key_key"),
            models.UniqueConstraint(fields=["studio", "takes_back"], name="quoting_payment_taken_back_once"),
            models.CheckConstraint(condition=~models.Q(amount=0), name="quoting_payment_amount_not_nothing"),
            models.CheckConstraint(
                condition=models.Q(paid_by__in=[way.value for way in PaidBy]),
                name="quoting_payment_way_known",
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["studio", "invoice"], name="quoting_payment_of_invoice")]
        triggers: ClassVar = [
            pgtrigger.ReadOnly(name="written_once", fields=list(PAYMENT_FROZEN)),
            pgtrigger.Protect(name="kept", operation=pgtrigger.Delete),
            next_in_row("quoting_payment"),
        ]

    def __str__(self) -> str:
        return f"receipt {self.number:04d}"

    @property
    def written_number(self) -> str:
        """As people say it: at least four digits."""
        return f"{self.number:04d}"

    def way_in_words(self, locale: str | None = None) -> str:
        """How it was paid, as that locale writes it: the entered studio's where none is given."""
        return PaidBy(self.paid_by).in_words(locale)


class Reminder(TenantModel):
    """A letter about an invoice that was overdue; written once."""

    invoice = TenantForeignKey(Invoice, on_delete=models.PROTECT, related_name="reminders")
    number = models.PositiveSmallIntegerField(help_text="1 for the first.")
    left = models.DecimalField(max_digits=14, decimal_places=4, help_text="What was open then.")
    sent_at = models.DateTimeField()
    sent_by = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering: ClassVar = ["invoice", "number"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["studio", "invoice", "number"], name="quoting_reminder_number_key"
            )
        ]

    def __str__(self) -> str:
        return f"reminder {self.number}"

"""Clients: for whom a studio decorates."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from studio.measures.languages import Language
from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel

E164 = r"^\+[1-9][0-9]{6,14}$"
"""ITU-T E.164: a plus sign and at most fifteen digits, the first of which isn't nought."""


class Way(models.TextChoices):
    """How somebody can be reached."""

    PHONE = "phone", "telephone"
    EMAIL = "email", "e-mail"
    OTHER = "other", "another way"


@tracked()
class Client(TenantModel):
    """A person or house that asks the studio for decor."""

    name = models.CharField(max_length=120)
    email = models.EmailField("e-mail address", blank=True)
    phone = models.CharField(max_length=16, blank=True, help_text="E.164, such as +16175550123.")
    bill_to = models.TextField("address for invoices", max_length=400, blank=True)
    language = models.CharField(
        "language of e-mails", max_length=2, blank=True, choices=Language,
        help_text="ISO 639-1. Empty: the studio's own.",
    )  # fmt: skip
    notes = models.TextField(blank=True, help_text="For the office; crew don't see them.")
    since = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["name", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                "studio", Lower("email"), condition=~Q(email=""), name="events_client_email_key"
            ),
            models.CheckConstraint(condition=~Q(name=""), name="events_client_has_a_name"),
            models.CheckConstraint(
                condition=Q(language__in=["", *Language.values]), name="events_client_language_known"
            ),
            models.CheckConstraint(
                condition=Q(phone="") | Q(phone__regex=E164), name="events_client_phone_e164"
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["studio", "name"], name="events_client_by_name")]

    def __str__(self) -> str:
        return self.name


@tracked()
class WayToReach(TenantModel):
    """A further way to reach a client, or somebody of theirs: whoever answers on the day, the book-keeper."""

    client = TenantForeignKey("events.Client", on_delete=models.CASCADE, related_name="ways")
    who = models.CharField(max_length=120, help_text="Such as: caretaker, on the day.")
    way = models.CharField(max_length=5, choices=Way)
    address = models.CharField(max_length=254, help_text="A number (E.164), an address, or words.")
    on_the_day = models.BooleanField(default=False, help_text="Crew see it around the day.")

    class Meta:
        ordering: ClassVar = ["pk"]
        verbose_name_plural = "ways to reach"
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(way__in=Way.values), name="events_waytoreach_way"),
            models.CheckConstraint(condition=~Q(address=""), name="events_waytoreach_leads_somewhere"),
            models.CheckConstraint(
                condition=~Q(way=Way.PHONE) | Q(address__regex=E164), name="events_waytoreach_phone_e164"
            ),
        ]

    def __str__(self) -> str:
        return self.address

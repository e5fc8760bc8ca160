"""Clients: for whom a studio decorates."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from studio.audit import tracked
from studio.tenancy.models import TenantModel

E164 = r"^\+[1-9][0-9]{6,14}$"
"""ITU-T E.164: a plus sign and at most fifteen digits, the first of which isn't nought."""


@tracked()
class Client(TenantModel):
    """A person or house that asks the studio for decor."""

    name = models.CharField(max_length=120)
    email = models.EmailField("e-mail address", blank=True)
    phone = models.CharField(max_length=16, blank=True, help_text="E.164, such as +16175550123.")
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
                condition=Q(phone="") | Q(phone__regex=E164), name="events_client_phone_e164"
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["studio", "name"], name="events_client_by_name")]

    def __str__(self) -> str:
        return self.name

"""The studio: the tenant, and its profile."""

from __future__ import annotations

import zoneinfo
from decimal import Decimal
from typing import ClassVar

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from studio import money
from studio.audit import tracked


class Units(models.TextChoices):
    """How a studio reads and writes lengths."""

    FEET = "feet", "feet and inches"
    METRIC = "metric", "metres and centimetres"


def check_zone(name: str) -> None:
    """Refuse what the IANA time-zone database doesn't know."""
    if name not in zoneinfo.available_timezones():
        raise ValidationError(f"“{name}” is no IANA time zone; write one such as Europe/Berlin.")


def check_currency(code: str) -> None:
    """Refuse what ISO 4217 doesn't list."""
    if not money.is_currency(code):
        raise ValidationError(f"“{code}” is no ISO 4217 currency; write one such as EUR.")


@tracked(exclude=["logo"])
class Studio(models.Model):
    """One decor studio: what it is called, where it stands, how it counts, measures and charges."""

    slug = models.SlugField(max_length=60, unique=True)
    name = models.CharField(max_length=120)
    address = models.TextField(blank=True, help_text="As it stands on offers and invoices.")
    email = models.EmailField("e-mail address", blank=True)
    phone = models.CharField(max_length=40, blank=True)
    tax_number = models.CharField(max_length=40, blank=True)
    zone = models.CharField("time zone", max_length=64, default="UTC", validators=[check_zone])
    units = models.CharField(max_length=8, choices=Units, default=Units.METRIC)
    locale = models.CharField(
        max_length=12, default="en_US", help_text="Writes money and dates, such as en_US."
    )
    currency = models.CharField(max_length=3, default="EUR", validators=[check_currency])
    prices_include_tax = models.BooleanField(
        default=False,
        help_text="Whether prices are shown with tax inside (inclusive) or tax on top (exclusive).",
    )
    terms = models.TextField(blank=True, help_text="Printed on every offer.")
    deposit_percent = models.DecimalField(
        max_digits=5,
        decimal_places=2,
        default=Decimal(40),
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(100))],
    )
    offer_days = models.PositiveSmallIntegerField(
        "days an offer holds", default=7, validators=[MinValueValidator(1), MaxValueValidator(365)]
    )
    day_starts = models.TimeField("working day starts", default="08:00")
    day_ends = models.TimeField("working day ends", default="20:00")
    logo = models.BinaryField(null=True, editable=False, help_text="PNG, re-encoded on upload.")
    logo_digest = models.CharField(max_length=64, blank=True, editable=False)
    opened_at = models.DateTimeField(auto_now_add=True)
    closed_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(deposit_percent__gte=0, deposit_percent__lte=100),
                name="studio_studio_deposit_percent_range",
            ),
            models.CheckConstraint(
                condition=models.Q(offer_days__gte=1, offer_days__lte=365),
                name="studio_studio_offer_days_range",
            ),
            models.CheckConstraint(
                condition=models.Q(day_ends__gt=models.F("day_starts")),
                name="studio_studio_day_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def tz(self) -> zoneinfo.ZoneInfo:
        """The studio's IANA zone."""
        return zoneinfo.ZoneInfo(self.zone)

"""The studio: the tenant, and its profile."""

from __future__ import annotations

from contextvars import ContextVar
from decimal import Decimal
from typing import ClassVar, Final
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models

from studio import tenancy
from studio.measures import countries, times
from studio.measures.languages import in_language
from studio.money import amounts, payment_codes
from studio.tenancy.audit import tracked

HEX_COLOUR: Final = r"^#[0-9a-f]{6}$"
"""How a color is kept: ``#`` and six small hexadecimal digits."""


class Units(models.TextChoices):
    """How a studio reads and writes lengths."""

    FEET = "feet", "feet and inches"
    METRIC = "metric", "metres and centimetres"


class ConfirmedBy(models.TextChoices):
    """What makes an event a promise."""

    AGREEMENT = "agreement", "the client's agreement"
    DEPOSIT = "deposit", "the deposit, once it is in"


def check_zone(name: str) -> None:
    """Refuse what the IANA time-zone database doesn't know."""
    if name not in times.zone_names():
        raise ValidationError(f"“{name}” is no IANA time zone; write one such as Europe/Berlin.")


def check_currency(code: str) -> None:
    """Refuse what ISO 4217 doesn't list."""
    if not amounts.is_currency(code):
        raise ValidationError(f"“{code}” is no ISO 4217 currency; write one such as EUR.")


def check_country(code: str) -> None:
    """Refuse what ISO 3166-1 doesn't list."""
    if not countries.is_country(code):
        raise ValidationError(f"“{code}” is no country; write its two letters, such as DE.")


def check_iban(text: str) -> None:
    """Refuse an account number whose check digits don't fit (ISO 13616)."""
    try:
        payment_codes.iban(text)
    except payment_codes.NotACode as fault:
        raise ValidationError(str(fault)) from None


def check_bic(text: str) -> None:
    """Refuse what is no bank's code (ISO 9362)."""
    try:
        payment_codes.bic(text)
    except payment_codes.NotACode as fault:
        raise ValidationError(str(fault)) from None


@tracked(exclude=["logo", "opening_key"])
class Studio(models.Model):
    """One decor studio: what it is called, where it stands, how it counts, measures and charges."""

    slug = models.SlugField(max_length=60, unique=True)
    name = models.CharField(max_length=120)
    address = models.TextField(blank=True, help_text="As it stands on offers and invoices.")
    email = models.EmailField("e-mail address", blank=True)
    phone = models.CharField(max_length=40, blank=True)
    tax_number = models.CharField(max_length=40, blank=True)
    country = models.CharField(
        max_length=2, blank=True, validators=[check_country], help_text="ISO 3166-1, such as DE."
    )
    zone = models.CharField("time zone", max_length=64, default="UTC", validators=[check_zone])
    altitude_m = models.DecimalField(
        "elevation", max_digits=8, decimal_places=4, default=Decimal(0),
        validators=[MinValueValidator(Decimal(-400)), MaxValueValidator(Decimal(4500))],
    )  # fmt: skip
    units = models.CharField(max_length=8, choices=Units, default=Units.METRIC)
    locale = models.CharField(
        max_length=12, default="en_US", help_text="Writes money and dates, such as en_US."
    )
    currency = models.CharField(max_length=3, default="EUR", validators=[check_currency])
    prices_include_tax = models.BooleanField(
        default=False,
        help_text="Whether prices are shown with tax inside (inclusive) or tax on top (exclusive).",
    )
    usual_uses = models.PositiveSmallIntegerField(
        "usual uses of a frame, cover or tool",
        default=25,
        validators=[MinValueValidator(1), MaxValueValidator(10_000)],
        help_text="Its price is spread over them where its own page doesn't say how often it is used.",
    )
    first_steps_open = models.BooleanField(
        default=False, editable=False, help_text="Whether the opening page shows its owner the first steps."
    )
    share_before_agreed = models.BooleanField(
        "clients may post pictures before they agree",
        default=False,
        help_text="Once they have agreed they always may.",
    )
    terms = models.TextField(blank=True, help_text="Printed on every offer.")
    deposit_percent = models.DecimalField(
        max_digits=5,
        decimal_places=2,
        default=Decimal(40),
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(100))],
    )
    deposit_days = models.PositiveSmallIntegerField(
        "days to pay the deposit in", default=5, validators=[MaxValueValidator(365)]
    )
    balance_days = models.SmallIntegerField(
        "balance due, days before the event",
        default=3,
        validators=[MinValueValidator(-180), MaxValueValidator(365)],
        help_text="0: on the day. Below nothing: so many days after it, such as -14.",
    )
    confirmed_by = models.CharField(
        "an event is promised by",
        max_length=9,
        choices=ConfirmedBy,
        default=ConfirmedBy.AGREEMENT,
        help_text="Until then its pieces are on hold.",
    )
    remind_days = models.PositiveSmallIntegerField(
        "days between reminders",
        default=7,
        validators=[MaxValueValidator(90)],
        help_text="Of an invoice that is overdue; three at most. 0: the studio reminds by itself.",
    )
    account_holder = models.CharField(max_length=70, blank=True, help_text="If it isn't the studio's name.")
    iban = models.CharField("IBAN", max_length=42, blank=True, validators=[check_iban])
    bic = models.CharField("BIC", max_length=14, blank=True, validators=[check_bic])
    payment_words = models.TextField(
        "how else to pay",
        blank=True,
        max_length=600,
        help_text="Printed on invoices: a routing number, where a cheque goes, which cards are taken.",
    )
    offer_days = models.PositiveSmallIntegerField(
        "days an offer holds", default=7, validators=[MinValueValidator(1), MaxValueValidator(365)]
    )
    day_starts = models.TimeField("working day starts", default="08:00")
    day_ends = models.TimeField("working day ends", default="20:00")
    logo = models.BinaryField(null=True, editable=False, help_text="PNG, re-encoded on upload.")
    logo_digest = models.CharField(max_length=64, blank=True, editable=False)
    brand_colour = models.CharField(
        "brand color", max_length=7, blank=True, validators=[RegexValidator(HEX_COLOUR, "Choose a color.")],
        help_text="Of buttons and links on clients' pages.",
    )  # fmt: skip
    opening_key = models.CharField(
        max_length=40, null=True, unique=True, editable=False,
        help_text="Of the invitation that it was opened with, which works once.",
    )  # fmt: skip
    opened_at = models.DateTimeField(auto_now_add=True)
    closed_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(deposit_percent__gte=0, deposit_percent__lte=100),
                name="studio_studio_deposit_percent_range",
            ),
            models.CheckConstraint(
                condition=models.Q(altitude_m__gte=-400, altitude_m__lte=4500),
                name="studio_studio_altitude_range",
            ),
            models.CheckConstraint(
                condition=models.Q(offer_days__gte=1, offer_days__lte=365),
                name="studio_studio_offer_days_range",
            ),
            models.CheckConstraint(
                condition=models.Q(
                    deposit_days__lte=365, balance_days__gte=-180, balance_days__lte=365, remind_days__lte=90
                ),
                name="studio_studio_payment_days_range",
            ),
            models.CheckConstraint(
                condition=models.Q(usual_uses__range=(1, 10_000)), name="studio_studio_usual_uses_range"
            ),
            models.CheckConstraint(
                condition=models.Q(country="") | models.Q(country__regex="^[A-Z]{2}$"),
                name="studio_studio_country_code",
            ),
            models.CheckConstraint(
                condition=models.Q(brand_colour="") | models.Q(brand_colour__regex=HEX_COLOUR),
                name="studio_studio_brand_colour_hex",
            ),
            models.CheckConstraint(
                condition=models.Q(confirmed_by__in=[way.value for way in ConfirmedBy]),
                name="studio_studio_confirmed_by_known",
            ),
            models.CheckConstraint(
                condition=models.Q(day_ends__gt=models.F("day_starts")),
                name="studio_studio_day_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def tz(self) -> ZoneInfo:
        """The studio's IANA zone."""
        return ZoneInfo(self.zone)

    @property
    def is_european(self) -> bool:
        """Whether the wordings and rests that European law asks for are the studio's."""
        if self.country:
            return self.country in countries.EUROPEAN_RULES
        return self.currency == "EUR" or self.zone.startswith("Europe/")


_read: ContextVar[tuple[tenancy.Tenant, Studio] | None] = ContextVar("billowbook_studio_row", default=None)


def entered_studio() -> Studio:
    """The entered studio's profile, to read and not to change; read at most once for each entering."""
    tenant, known = tenancy.current(), _read.get()
    if known and known[0] is tenant:
        return known[1]
    row = Studio.objects.defer("logo").get(pk=tenant.studio_id)
    remember_studio(row)
    return row


def written_locale() -> str:
    """The locale that days and amounts are written in: the entered studio's, or that of the United States, in the
    language of whoever reads."""
    return in_language(entered_studio().locale if tenancy.is_entered() else "en_US")


def remember_studio(row: Studio) -> None:
    """Have :func:`entered_studio` answer with this row, which was read on the way in."""
    _read.set((tenancy.current(), row))

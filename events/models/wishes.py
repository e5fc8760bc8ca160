"""What a client wishes, and the form on the studio's own website where clients say it."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar, Final

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel

MOST_GUESTS: Final = 100_000


class Source(models.TextChoices):
    """How the client came to the studio."""

    CALL = "call", "phone call"
    WEBSITE = "website", "our website"
    RECOMMENDED = "recommended", "recommended"
    SOCIAL = "social", "social media"
    VENUE = "venue", "the venue or a planner"
    AGAIN = "again", "was a client before"
    OTHER = "other", "otherwise"


@tracked()
class Wishes(TenantModel):
    """What the client of one event wishes, in words and figures."""

    event = TenantForeignKey("events.Event", on_delete=models.CASCADE, related_name="wishes")
    occasion = models.CharField(max_length=80, blank=True)
    guests = models.PositiveIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(MOST_GUESTS)]
    )
    colours = models.CharField("colors", max_length=200, blank=True)
    budget = models.DecimalField(
        max_digits=12, decimal_places=4, null=True, blank=True, validators=[MinValueValidator(Decimal(0))]
    )
    source = models.CharField(max_length=12, choices=Source, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "event"], name="events_wishes_one"),
            models.CheckConstraint(
                condition=Q(guests=None) | Q(guests__range=(1, MOST_GUESTS)),
                name="events_wishes_guests_range",
            ),
            models.CheckConstraint(
                condition=Q(budget=None) | Q(budget__gte=0), name="events_wishes_budget_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(source="") | Q(source__in=Source.values), name="events_wishes_source_known"
            ),
        ]

    def __str__(self) -> str:
        return self.occasion or f"wishes of event {self.event_id}"


class WebsiteForm(TenantModel):
    """Whether clients may write an enquiry on the studio's own website, and what the form says. Off at first.

    ``slug`` is the studio's own: the form is found by it before anybody has entered the studio.
    """

    slug = models.SlugField(max_length=60, editable=False)
    is_open = models.BooleanField("clients can send enquiries", default=False)
    greeting = models.CharField(max_length=300, blank=True, help_text="Above the form.")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio"], name="events_websiteform_one"),
        ]

    def __str__(self) -> str:
        return f"website form of {self.slug}"

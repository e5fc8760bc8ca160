"""The studio's public page of finished work: its switch, the consents of clients, and the photos that it shows."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from studio.tenancy.models import TenantForeignKey, TenantModel


class Portfolio(TenantModel):
    """Whether the studio shows finished work in public, and whether search engines may list it. Off at first.

    ``slug`` is the studio's own: the page is found by it before anybody has entered the studio.
    """

    slug = models.SlugField(max_length=60, editable=False)
    is_shown = models.BooleanField("the page is public", default=False)
    is_indexed = models.BooleanField("search engines may list it", default=False)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio"], name="events_portfolio_one"),
            models.CheckConstraint(
                condition=Q(is_shown=True) | Q(is_indexed=False), name="events_portfolio_listed_if_shown"
            ),
        ]

    def __str__(self) -> str:
        return f"portfolio of {self.slug}"


class PhotoConsent(TenantModel):
    """A client's consent to show photos of an event: who gave it, when, in which words. Withdrawn, it stays here."""

    event = TenantForeignKey("events.Event", on_delete=models.PROTECT, related_name="photo_consents")
    given_by = models.CharField(max_length=120)
    given_on = models.DateField()
    words = models.TextField()
    written_by = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")
    written_at = models.DateTimeField(auto_now_add=True)
    withdrawn_at = models.DateTimeField(null=True, editable=False)
    withdrawn_by = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering: ClassVar = ["-written_at", "-pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["studio", "event"], condition=Q(withdrawn_at=None), name="events_photoconsent_one"
            ),
            models.CheckConstraint(
                condition=~Q(given_by="") & ~Q(words=""), name="events_photoconsent_says_who_and_how"
            ),
        ]

    def __str__(self) -> str:
        return f"consent of {self.given_by}"


class PortfolioPhoto(TenantModel):
    """A photo that the public page shows, under the consent that allows it."""

    photo = TenantForeignKey("events.Photo", on_delete=models.CASCADE, related_name="+")
    consent = TenantForeignKey("events.PhotoConsent", on_delete=models.CASCADE, related_name="shown")
    marked_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["-marked_at", "-pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "photo"], name="events_portfoliophoto_once"),
        ]

    def __str__(self) -> str:
        return f"photo {self.photo_id} in public"

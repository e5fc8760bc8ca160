"""What was said and done about an event."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from studio.tenancy.models import TenantForeignKey, TenantModel


class LogKind(models.TextChoices):
    """Whether somebody said it or the studio did it."""

    SAID = "said", "said"
    DONE = "done", "done"


class LogEntry(TenantModel):
    """One line of an event's log, written once."""

    event = TenantForeignKey("events.Event", on_delete=models.PROTECT, related_name="log")
    kind = models.CharField(max_length=4, choices=LogKind)
    text = models.CharField(max_length=2000)
    person = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")
    crew_phone = TenantForeignKey("studio.CrewPhone", on_delete=models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["-pk"]
        verbose_name_plural = "log entries"
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(kind__in=LogKind.values), name="events_logentry_kind"),
            models.CheckConstraint(condition=~Q(text=""), name="events_logentry_says_something"),
            models.CheckConstraint(
                condition=Q(person=None) | Q(crew_phone=None), name="events_logentry_by_person_or_phone"
            ),
        ]

    def __str__(self) -> str:
        return self.text

    @property
    def by(self) -> str:
        """The person's name, or that of the phone that was given the event by a link; empty where the studio itself
        did it."""
        return self.person.name if self.person else str(self.crew_phone or "")

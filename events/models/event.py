"""Events: one job for one client at one place, from the first call to the count of what came back."""

from __future__ import annotations

import zoneinfo
from decimal import Decimal
from typing import ClassVar, Final

from django.db import models
from django.db.models import F, Q

from events.models.venue import metres
from studio.measures.times import Window
from studio.models.studio import check_zone
from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


class Status(models.TextChoices):
    """Whether it takes place, in the words of RFC 5545 (3.8.1.11)."""

    TENTATIVE = "TENTATIVE", "tentative"
    CONFIRMED = "CONFIRMED", "agreed"
    CANCELLED = "CANCELLED", "called off"


class Stage(models.TextChoices):
    """The stages of an event, in order."""

    ENQUIRY = "enquiry", "enquiry"
    SKETCH = "sketch", "sketch"
    OFFERED = "offered", "offered"
    AGREED = "agreed", "agreed"
    PREPARED = "prepared", "prepared"
    INSTALLED = "installed", "installed"
    COUNTED_BACK = "counted_back", "counted back"


AGREED_STAGES: Final = (Stage.AGREED, Stage.PREPARED, Stage.INSTALLED, Stage.COUNTED_BACK)
"""The stages from the client's agreement on."""
LOADED_STAGES: Final = (Stage.PREPARED, Stage.INSTALLED, Stage.COUNTED_BACK)
"""The stages from the loaded van on."""


@tracked()
class Event(TenantModel):
    """One job. Its times are kept in this order:

    load-out starts, access, ready by, guests (if known), strike, out by, back at the studio.
    """

    title = models.CharField(max_length=160)
    client = TenantForeignKey("events.Client", on_delete=models.PROTECT, related_name="events")
    venue = TenantForeignKey(
        "events.Venue", on_delete=models.PROTECT, null=True, blank=True, related_name="events"
    )
    zone = models.CharField("time zone", max_length=64, validators=[check_zone])
    load_out_at = models.DateTimeField("load-out starts")
    access_from = models.DateTimeField("access from")
    ready_by = models.DateTimeField("ready by")
    guests_from = models.DateTimeField("guests from", null=True, blank=True)
    strike_from = models.DateTimeField("strike from")
    out_by = models.DateTimeField("out by")
    back_at = models.DateTimeField("back at the studio")
    status = models.CharField(max_length=9, choices=Status, default=Status.TENTATIVE)
    stage = models.CharField(max_length=12, choices=Stage, default=Stage.ENQUIRY)
    width_m = metres("width wanted")
    height_m = metres("height wanted")
    ceiling_m = metres("ceiling height")
    built_height_m = metres("height agreed", editable=False)
    notes = models.TextField(blank=True, help_text="For everybody who works on it, crew as well.")
    hold = TenantForeignKey(
        "stock.Hold", on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    version = models.PositiveIntegerField(default=1, editable=False)
    asked_under = models.CharField(
        max_length=64,
        null=True,
        editable=False,
        help_text="Key of the enquiry: sent twice, it makes one event.",
    )
    agreed_under = models.CharField(
        max_length=80, null=True, editable=False, help_text="Key of the agreement that its bill comes from."
    )
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["ready_by", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "asked_under"], name="events_event_asked_under_key"),
            models.CheckConstraint(condition=~Q(title=""), name="events_event_has_a_title"),
            models.CheckConstraint(
                condition=Q(load_out_at__lte=F("access_from")), name="events_event_load_out_before_access"
            ),
            models.CheckConstraint(
                condition=Q(access_from__lt=F("ready_by")), name="events_event_access_before_ready"
            ),
            models.CheckConstraint(
                condition=Q(guests_from__isnull=True)
                | Q(guests_from__gte=F("ready_by"), guests_from__lt=F("strike_from")),
                name="events_event_guests_between_ready_and_strike",
            ),
            models.CheckConstraint(
                condition=Q(ready_by__lt=F("strike_from")), name="events_event_ready_before_strike"
            ),
            models.CheckConstraint(
                condition=Q(strike_from__lt=F("out_by")), name="events_event_strike_before_out"
            ),
            models.CheckConstraint(
                condition=Q(out_by__lte=F("back_at")), name="events_event_out_before_back"
            ),
            models.CheckConstraint(condition=Q(status__in=Status.values), name="events_event_status"),
            models.CheckConstraint(condition=Q(stage__in=Stage.values), name="events_event_stage"),
            models.CheckConstraint(
                condition=Q(status=Status.CANCELLED)
                | Q(status=Status.CONFIRMED, stage__in=AGREED_STAGES)
                | (Q(status=Status.TENTATIVE) & ~Q(stage__in=AGREED_STAGES)),
                name="events_event_confirmed_once_agreed",
            ),
            *(
                models.CheckConstraint(
                    condition=Q(**{f"{field}__isnull": True})
                    | Q(**{f"{field}__gt": 0, f"{field}__lte": 200}),
                    name=f"events_event_{field}_range",
                )
                for field in ("width_m", "height_m", "ceiling_m", "built_height_m")
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=["studio", "load_out_at", "back_at"], name="events_event_by_window"),
            models.Index(fields=["studio", "ready_by"], name="events_event_by_ready"),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def tz(self) -> zoneinfo.ZoneInfo:
        """The IANA time zone of its times."""
        return zoneinfo.ZoneInfo(self.zone)

    @property
    def is_off(self) -> bool:
        """Whether it was called off."""
        return self.status == Status.CANCELLED

    @property
    def is_agreed(self) -> bool:
        """Whether the client agreed and it wasn't called off."""
        return self.status == Status.CONFIRMED

    @property
    def working_height_m(self) -> Decimal | None:
        """How high a crew works: the height agreed, or the wanted one until something is agreed."""
        return working_height(self.built_height_m, self.height_m)

    def hold_window(self) -> Window:
        """How long its stock is away: load-out to return. Each item adds its own time for cleaning."""
        return Window(self.load_out_at, self.back_at)


class StageReached(TenantModel):
    """When a stage was reached, and by whom or by which phone; written once. The newest row of a stage counts."""

    event = TenantForeignKey("events.Event", on_delete=models.PROTECT, related_name="stages_reached")
    stage = models.CharField(max_length=12, choices=Stage)
    reached_at = models.DateTimeField()
    person = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")
    crew_phone = TenantForeignKey("studio.CrewPhone", on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(stage__in=Stage.values), name="events_stagereached_stage"),
            models.CheckConstraint(
                condition=Q(person=None) | Q(crew_phone=None), name="events_stagereached_by_person_or_phone"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.stage} {self.reached_at:%Y-%m-%d}"


def working_height(built_m: Decimal | None, wanted_m: Decimal | None) -> Decimal | None:
    """How high a crew works [m]: the height agreed, or the wanted one until something is agreed."""
    return built_m or wanted_m

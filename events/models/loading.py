"""The load-out list of an event, and the ticks, notes and photos of phones: a log that only grows."""

from __future__ import annotations

from typing import ClassVar, Final

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import F, Q, Value
from django.db.models.functions import Concat
from django.utils.translation import gettext_lazy as _

from studio.models import CrewPhone, Person
from studio.tenancy.models import TenantForeignKey, TenantModel

SPARE: Final = "spare:"
"""How codes of lines of spare balloons begin: no code of the catalogue has a colon."""


class LoadPlace(models.IntegerChoices):
    """Where in the van, in the order of loading: what is used last on site goes in first."""

    FIRST = 1, _("Load first (needed last)")
    MIDDLE = 2, _("Load next")
    LAST = 3, _("Load last (needed first)")
    AT_HAND = 4, _("Keep within reach (spares, not inflated)")


class LoadOutLine(TenantModel):
    """One line of the list: how many of one item to take, and its place on the shelf and in the van.

    A line that is no longer wanted is ``dropped``, never removed, since ticks refer to it. Spare balloons have a line
    of their own, beside that of the same balloons of the piece.
    """

    event = TenantForeignKey("events.Event", on_delete=models.CASCADE, related_name="load_out")
    code = models.CharField(max_length=90)
    spare_of = models.CharField(
        max_length=80, blank=True, help_text="The item that the spare balloons are of."
    )
    label = models.CharField(max_length=160)
    detail = models.CharField(max_length=200, blank=True)
    quantity = models.PositiveIntegerField()
    place = models.PositiveSmallIntegerField(choices=LoadPlace)
    position = models.PositiveSmallIntegerField(default=0, help_text="Order within the whole list.")
    shelf_place = models.CharField(max_length=40, blank=True)
    dropped = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["position", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "event", "code"], name="events_loadoutline_code_key"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="events_loadoutline_some"),
            models.CheckConstraint(condition=Q(place__in=LoadPlace.values), name="events_loadoutline_place"),
            models.CheckConstraint(
                condition=Q(spare_of="") & ~Q(code__startswith=SPARE)
                | ~Q(spare_of="") & Q(code=Concat(Value(SPARE), F("spare_of"))),
                name="events_loadoutline_spare_by_its_code",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.label}"

    @property
    def item_code(self) -> str:
        """The code of the catalogue: balloons of the piece and their spares are one item."""
        return self.spare_of or self.code


class TickKind(models.TextChoices):
    """The subject of a tick."""

    LOADED = "loaded", "loaded"
    BACK = "back", "counted back"
    NOTE = "note", "noted"
    STEP = "step", "step marked"
    UNDONE = "undone", "step undone"
    HOURS = "hours", "hours spent"


class Step(models.TextChoices):
    """The steps of the day, marked once on a phone."""

    PREPARED = "prepared", _("van loaded")
    INSTALLED = "installed", _("installed")
    STRUCK = "struck", _("struck")
    COUNTED_BACK = "counted_back", _("counted back")


def sender_name(person: Person | None, phone: CrewPhone | None) -> str:
    """The first name of whoever sent something, or the name of a phone with a link; empty where nobody is known."""
    return str(person.get_short_name()) if person else str(phone or "")


class Tick(TenantModel):
    """One thing that a phone sent about an event. Written once; the state is merged from all ticks.

    ``loaded``: ``count`` of the line are in the van. ``back``: of the line ``count`` are back whole, ``mend``,
    ``broken``, ``lost``, ``used``. ``note``: ``text``, of the line or of the event. ``step``: the step in ``task``,
    with ``text`` as who took it over; ``undone`` takes that step back. ``hours``: ``task`` took ``count`` minutes by
    the clock with ``people`` people.

    ``made_at`` is by the clock of the phone, never later than ``received_at``, so that a phone whose clock runs
    ahead doesn't outvote the others. ``after`` names the ticks of the same subject that the phone knew of: this one
    replaces them. Null: it replaces every earlier one.
    """

    uuid = models.UUIDField(help_text="Made by the phone: sent twice, it is one tick.")
    event = TenantForeignKey("events.Event", on_delete=models.PROTECT, related_name="ticks")
    kind = models.CharField(max_length=6, choices=TickKind, default=TickKind.LOADED)
    line = TenantForeignKey("events.LoadOutLine", on_delete=models.PROTECT, null=True, related_name="ticks")
    count = models.PositiveIntegerField(default=0, help_text="How many in all, not how many more.")
    mend = models.PositiveIntegerField(
        default=0, help_text="Back, and to be mended before it goes out again."
    )
    broken = models.PositiveIntegerField(default=0)
    lost = models.PositiveIntegerField(default=0)
    used = models.PositiveIntegerField(default=0)
    task = models.CharField(max_length=60, blank=True)
    people = models.PositiveSmallIntegerField(default=1)
    text = models.CharField(max_length=500, blank=True)
    after = ArrayField(models.UUIDField(), null=True)
    phone = models.CharField(
        max_length=36, blank=True, help_text="Which device, by a random name of its own."
    )
    person = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")
    crew_phone = TenantForeignKey("studio.CrewPhone", on_delete=models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField()
    received_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["made_at", "uuid"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "uuid"], name="events_tick_uuid_key"),
            models.CheckConstraint(
                condition=Q(kind__in=[TickKind.LOADED, TickKind.BACK], line__isnull=False)
                | Q(kind=TickKind.NOTE) & ~Q(text="")
                | Q(kind__in=[TickKind.STEP, TickKind.UNDONE], line__isnull=True, task__in=Step.values)
                | Q(kind=TickKind.HOURS, line__isnull=True, people__gte=1) & ~Q(task=""),
                name="events_tick_says_what_its_kind_says",
            ),
            models.CheckConstraint(
                condition=Q(kind=TickKind.BACK) | Q(mend=0, broken=0, lost=0, used=0),
                name="events_tick_only_a_count_back_breaks_things",
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=["studio", "line", "made_at"], name="events_tick_by_line"),
            models.Index(fields=["studio", "event", "made_at"], name="events_tick_by_event"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.count} of line {self.line_id}"

    @property
    def by(self) -> str:
        """The name of whoever sent it."""
        return sender_name(self.person, self.crew_phone)


class Photo(TenantModel):
    """A photo that a phone took at an event, re-encoded. ``uuid`` is the phone's: sent twice, it is one."""

    uuid = models.UUIDField()
    event = TenantForeignKey("events.Event", on_delete=models.PROTECT, related_name="photos")
    file = TenantForeignKey("studio.StoredFile", on_delete=models.PROTECT, related_name="+")
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    phone = models.CharField(max_length=36, blank=True)
    person = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")
    crew_phone = TenantForeignKey("studio.CrewPhone", on_delete=models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField()
    received_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["made_at", "uuid"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "uuid"], name="events_photo_uuid_key"),
        ]
        indexes: ClassVar = [
            models.Index(fields=["studio", "event", "made_at"], name="events_photo_by_event")
        ]

    def __str__(self) -> str:
        return f"photo of event {self.event_id}"

    @property
    def by(self) -> str:
        """The name of whoever sent it."""
        return sender_name(self.person, self.crew_phone)

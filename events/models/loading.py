"""The load-out list of an event, and the ticks on it."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from studio.tenancy.models import TenantForeignKey, TenantModel


class LoadPlace(models.IntegerChoices):
    """Where in the van, in the order of loading: what is used last on site goes in first."""

    FIRST = 1, "In first: used last"
    MIDDLE = 2, "In next"
    LAST = 3, "In last: used first"


class LoadOutLine(TenantModel):
    """One line of the list: so many of one thing, from its place on the shelf into the van.

    A line that is no longer wanted is ``dropped``, never removed: ticks speak of it.
    """

    event = TenantForeignKey("events.Event", on_delete=models.CASCADE, related_name="load_out")
    code = models.CharField(max_length=80)
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
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.label}"


class Tick(TenantModel):
    """One act on a line: somebody counted ``count`` of it in. Written once; the state of a line is folded
    from them.

    ``made_at`` is by the clock of the phone, never later than ``received_at``, so that a phone whose clock runs
    ahead doesn't outvote the others.
    """

    uuid = models.UUIDField(help_text="Given by the phone: sent twice, it is one tick.")
    line = TenantForeignKey("events.LoadOutLine", on_delete=models.PROTECT, related_name="ticks")
    count = models.PositiveIntegerField(help_text="How many are in, not how many more.")
    phone = models.CharField(
        max_length=36, blank=True, help_text="Which device, by a random name of its own."
    )
    person = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField()
    received_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["made_at", "uuid"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "uuid"], name="events_tick_uuid_key"),
        ]
        indexes: ClassVar = [models.Index(fields=["studio", "line", "made_at"], name="events_tick_by_line")]

    def __str__(self) -> str:
        return f"{self.count} of line {self.line_id}"

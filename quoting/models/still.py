"""Lifelike pictures of set pieces, rendered by the worker."""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from quoting.craft.still.still import MOST_TURN_DEG
from studio.tenancy.models import TenantForeignKey, TenantModel


class StillState(models.TextChoices):
    """How far a still is."""

    ASKED = "asked", "asked for"
    READY = "ready", "ready"
    FAILED = "failed", "failed"


class StillRoom(models.TextChoices):
    """What stands around the piece."""

    STUDIO = "studio", "Plain studio"
    HALL = "hall", "Hall"
    GARDEN = "garden", "Garden at evening"
    VENUE = "venue", "Your venue’s photo"


class Still(TenantModel):
    """One picture of one design, in a room or before a photo, from an angle. The same of these is the same picture."""

    key = models.CharField(
        max_length=64, editable=False, help_text="Digest of the design, the room or photo, and the angle."
    )
    design = models.JSONField(editable=False)
    room = models.CharField(max_length=8, choices=StillRoom.choices)
    backdrop = models.JSONField(
        null=True, editable=False, help_text="The venue's photo and its marks: see quoting.stills.venue."
    )
    turn_deg = models.SmallIntegerField(help_text="From how far on the right it is seen.")
    state = models.CharField(
        max_length=8, choices=StillState.choices, default=StillState.ASKED, editable=False
    )
    large = TenantForeignKey(
        "studio.StoredFile", on_delete=models.PROTECT, null=True, related_name="+", editable=False
    )
    small = TenantForeignKey(
        "studio.StoredFile", on_delete=models.PROTECT, null=True, related_name="+", editable=False
    )
    tries = models.PositiveSmallIntegerField(default=1, editable=False)
    asked_at = models.DateTimeField(auto_now_add=True)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+", editable=False
    )
    made_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "key"], name="quoting_still_key"),
            models.CheckConstraint(condition=Q(room__in=StillRoom.values), name="quoting_still_room"),
            models.CheckConstraint(
                condition=Q(room=StillRoom.VENUE, backdrop__isnull=False)
                | (~Q(room=StillRoom.VENUE) & Q(backdrop__isnull=True)),
                name="quoting_still_venue_has_backdrop",
            ),
            models.CheckConstraint(condition=Q(state__in=StillState.values), name="quoting_still_state"),
            models.CheckConstraint(
                condition=Q(turn_deg__range=(-MOST_TURN_DEG, MOST_TURN_DEG)), name="quoting_still_turn"
            ),
            models.CheckConstraint(
                condition=Q(
                    state=StillState.READY, large__isnull=False, small__isnull=False, made_at__isnull=False
                )
                | (~Q(state=StillState.READY) & Q(large=None, small=None, made_at=None)),
                name="quoting_still_ready_has_pictures",
            ),
        ]

    def __str__(self) -> str:
        return f"Still {self.key[:8]}, {self.state}"

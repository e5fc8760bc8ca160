"""The photo of the venue behind a quote's set pieces, with the marks that give its scale."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from quoting.models.quote import Quote
from studio.tenancy.models import TenantForeignKey, TenantModel

PLACES = ("mark_x1", "mark_y1", "mark_x2", "mark_y2", "floor", "horizon")


class RoomPhoto(TenantModel):
    """A photo and its marks. Places are shares of its width or height, from its left or top, from 0 to 1."""

    quote = TenantForeignKey(Quote, on_delete=models.CASCADE, related_name="room_photos")
    photo = TenantForeignKey("events.Enclosure", on_delete=models.CASCADE, related_name="+")
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    mark_x1 = models.FloatField()
    mark_y1 = models.FloatField()
    mark_x2 = models.FloatField()
    mark_y2 = models.FloatField()
    mark_m = models.DecimalField(max_digits=7, decimal_places=4, help_text="Length of the mark, in metres.")
    floor = models.FloatField(help_text="Where the floor begins under the mark.")
    horizon = models.FloatField(help_text="Height of the camera in the picture.")
    distance_m = models.DecimalField(
        max_digits=7, decimal_places=4, help_text="From the camera to the mark, in metres."
    )

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "quote"], name="quoting_roomphoto_quote_key"),
            models.CheckConstraint(
                condition=Q(**{f"{place}__range": (0, 1) for place in PLACES}),
                name="quoting_roomphoto_in_picture",
            ),
            models.CheckConstraint(
                condition=Q(mark_m__range=(0.1, 60), distance_m__range=(0.3, 200)),
                name="quoting_roomphoto_lengths_range",
            ),
            models.CheckConstraint(
                condition=Q(horizon__lt=models.F("floor")), name="quoting_roomphoto_horizon_above_floor"
            ),
        ]

    def __str__(self) -> str:
        return f"Photo behind {self.quote_id}"

"""Venues: where events are, remembered from one to the next."""

from __future__ import annotations

import zoneinfo
from decimal import Decimal
from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils.translation import gettext as _

from studio.models.studio import check_zone
from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantModel


def metres(
    verbose_name: str, *, editable: bool = True
) -> models.DecimalField[str | float | Decimal | None, Decimal | None]:
    """A column for a length that may be unknown: metres, to the tenth of a millimetre."""
    return models.DecimalField(
        verbose_name, max_digits=7, decimal_places=4, null=True, blank=True, editable=editable
    )


class Setting(models.TextChoices):
    """Under a roof or not: wind, rain and sun decide what may stand there."""

    INDOOR = "indoor", "indoors"
    OUTDOOR = "outdoor", "outdoors"
    BOTH = "both", "both"


@tracked()
class Venue(TenantModel):
    """A place and what the crew must know of it."""

    name = models.CharField(max_length=120)
    address = models.TextField(blank=True)
    zone = models.CharField(
        "time zone", max_length=64, blank=True, validators=[check_zone], help_text="Empty: the studio's own."
    )
    setting = models.CharField(max_length=7, choices=Setting, default=Setting.INDOOR)
    ceiling_m = metres("ceiling height")
    door_width_m = metres("narrowest door, width")
    door_height_m = metres("lowest door, height")
    access = models.TextField("getting in", blank=True, help_text="Dock, stairs, lift, keys, whom to ask.")
    drive_minutes = models.PositiveSmallIntegerField("drive from the studio", default=30)
    access_hours = models.CharField(max_length=200, blank=True)
    dock = models.CharField("loading dock", max_length=200, blank=True)
    carry_m = models.DecimalField(
        "from the van to the room", max_digits=8, decimal_places=4, null=True, blank=True
    )
    stairs = models.PositiveSmallIntegerField("steps on the way", null=True, blank=True)
    lift = models.CharField(max_length=200, blank=True)
    lift_takes_loads = models.BooleanField("loads go by lift", default=False)
    power = models.CharField(max_length=200, blank=True)
    surface = models.CharField("floor or ground", max_length=200, blank=True)
    altitude_m = models.DecimalField(max_digits=8, decimal_places=4, null=True, blank=True)
    temperature_c = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    house_rules = models.TextField(blank=True)
    fire_rules = models.TextField("fire rules for fabric", blank=True)

    class Meta:
        ordering: ClassVar = ["name", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint("studio", Lower("name"), name="events_venue_name_key"),
            models.CheckConstraint(condition=~Q(name=""), name="events_venue_has_a_name"),
            models.CheckConstraint(condition=Q(setting__in=Setting.values), name="events_venue_setting"),
            models.CheckConstraint(condition=Q(drive_minutes__lte=24 * 60), name="events_venue_drive_range"),
            models.CheckConstraint(
                condition=Q(stairs=None) | Q(stairs__lte=2000), name="events_venue_stairs_range"
            ),
            models.CheckConstraint(
                condition=Q(carry_m=None) | Q(carry_m__gte=0, carry_m__lte=2000),
                name="events_venue_carry_range",
            ),
            # From the shore of the Dead Sea to above the highest town.
            models.CheckConstraint(
                condition=Q(altitude_m=None) | Q(altitude_m__gte=-450, altitude_m__lte=6000),
                name="events_venue_altitude_range",
            ),
            models.CheckConstraint(
                condition=Q(temperature_c=None) | Q(temperature_c__gte=-20, temperature_c__lte=50),
                name="events_venue_temperature_range",
            ),
            *(
                models.CheckConstraint(
                    condition=Q(**{f"{field}__isnull": True})
                    | Q(**{f"{field}__gt": 0, f"{field}__lte": 200}),
                    name=f"events_venue_{field}_range",
                )
                for field in ("ceiling_m", "door_width_m", "door_height_m")
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def facts(self) -> list[tuple[str, str]]:
        """What is known of getting in and setting up, as label and words; lengths apart."""
        rows = (
            (_("Access hours"), self.access_hours),
            (_("Loading dock"), self.dock),
            (_("Stairs"), self.stairs_words),
            (
                _("Lift"),
                ", ".join(filter(None, (self.lift, _("takes the loads") if self.lift_takes_loads else ""))),
            ),
            (_("Power"), self.power),
            (_("Floor"), self.surface),
        )
        return [(label, words) for label, words in rows if words]

    @property
    def stairs_words(self) -> str:
        """How many steps there are, where that is known."""
        if self.stairs is None:
            return ""
        return _("%(count)s steps") % {"count": self.stairs} if self.stairs else _("none")

    @property
    def tz(self) -> zoneinfo.ZoneInfo | None:
        """The venue's own IANA zone, if it has one."""
        return zoneinfo.ZoneInfo(self.zone) if self.zone else None

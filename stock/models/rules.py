"""A studio's stock rules."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantModel


@tracked()
class ShelfRules(TenantModel):
    """At most one row per studio; without it the defaults below apply.

    The defaults are common practice, no source: latex is best within a year, and nineteen deliveries of twenty
    should come before the shelf is empty.
    """

    latex_life_days = models.PositiveSmallIntegerField("shelf life of latex, days", default=365)
    never_short_percent = models.DecimalField("service level, %", max_digits=4, decimal_places=1, default=95)
    look_back_weeks = models.PositiveSmallIntegerField("weeks of past use for the forecast", default=26)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio"], name="stock_shelfrules_one_each"),
            models.CheckConstraint(
                condition=Q(latex_life_days__gte=7, latex_life_days__lte=3650), name="stock_shelfrules_life"
            ),
            models.CheckConstraint(
                condition=Q(never_short_percent__gte=50, never_short_percent__lte=99.9),
                name="stock_shelfrules_percent",
            ),
            models.CheckConstraint(
                condition=Q(look_back_weeks__gte=4, look_back_weeks__lte=156), name="stock_shelfrules_weeks"
            ),
        ]

    def __str__(self) -> str:
        return f"latex keeps {self.latex_life_days} days"

"""The taxes a studio charges."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantModel


@tracked()
class TaxRate(TenantModel):
    """A named tax and its rate, such as "Sales tax, 6.25 %". One of them is what lines carry by default."""

    name = models.CharField(max_length=40)
    percent = models.DecimalField(
        max_digits=6,
        decimal_places=3,
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(100))],
    )
    is_default = models.BooleanField("used unless a line says otherwise", default=False)
    retired_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        ordering: ClassVar = ["-is_default", "name"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["studio", "name"], condition=models.Q(retired_at=None), name="studio_taxrate_name_key"
            ),
            models.UniqueConstraint(
                fields=["studio"],
                condition=models.Q(is_default=True, retired_at=None),
                name="studio_taxrate_one_default",
            ),
            models.CheckConstraint(
                condition=models.Q(percent__gte=0, percent__lte=100), name="studio_taxrate_percent_range"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.percent.normalize():f} %"

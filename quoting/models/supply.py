"""How a studio gets what a quote needs and its stock list doesn't know."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.core.validators import MinValueValidator
from django.db import models

from quoting.models.quote import Quote
from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


class SupplyKind(models.TextChoices):
    """What is to be done for it; nothing where it stands at the venue already."""

    BUY = "buy", "Buy"
    HIRE = "hire", "Hire"
    MAKE = "make", "Make"
    SITE = "site", "At the venue"


@tracked()
class Supply(TenantModel):
    """A thing that is bought, hired or made for one quote, or stands at the venue, and the day by which it is there."""

    quote = TenantForeignKey(Quote, on_delete=models.CASCADE, related_name="supplies")
    code = models.CharField(max_length=80, help_text="As the bill names it.")
    label = models.CharField(max_length=120)
    kind = models.CharField(max_length=4, choices=SupplyKind)
    due_on = models.DateField("by")
    cost = models.DecimalField(
        "cost of one", max_digits=12, decimal_places=4, null=True, blank=True,
        validators=[MinValueValidator(Decimal(0))],
        help_text="In the studio's currency; none: not known yet.",
    )  # fmt: skip
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["due_on", "label", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "quote", "code"], name="quoting_supply_code_key"),
            models.CheckConstraint(
                condition=models.Q(kind__in=SupplyKind.values), name="quoting_supply_kind_known"
            ),
            models.CheckConstraint(condition=models.Q(cost__gte=0), name="quoting_supply_cost_range"),
        ]

    def __str__(self) -> str:
        colon = ":" if self.kind == SupplyKind.SITE else ""
        return f"{self.get_kind_display()}{colon} {self.label}"

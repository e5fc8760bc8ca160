"""Items: what the studio owns and uses up."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import ClassVar

from django.db import models
from django.db.models import Q

from stock.models.colour import CODE
from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel

GTIN = r"^([0-9]{8}|[0-9]{12}|[0-9]{13}|[0-9]{14})$"
"""How many digits a GTIN has (GS1 General Specifications); the check digit is verified where it is typed."""


class Kind(models.TextChoices):
    """The kinds of items."""

    LATEX = "latex", "latex round"
    TWISTING = "260", "260 (twisting)"
    FRAME = "frame", "frame"
    COVER = "cover", "cover"
    FLORAL = "floral", "floral"
    SIGN = "sign", "sign"
    PROP = "prop", "prop"
    FOIL = "foil", "foil balloon"
    HARDWARE = "hardware", "hardware"
    TOOL = "tool", "tool"


class Nature(models.TextChoices):
    """Whether an item is consumable or reusable."""

    CONSUMABLE = "consumable", "used up"
    REUSABLE = "reusable", "comes back"


class HirePer(models.TextChoices):
    """What the hire price of an item is for."""

    EVENT = "event", "an event"
    DAY = "day", "a day of use"


def _price_field(words: str) -> models.DecimalField[Decimal | None, Decimal | None]:
    """A column for an amount in the studio's currency."""
    return models.DecimalField(words, max_digits=12, decimal_places=4, null=True, blank=True)


@tracked()
class Item(TenantModel):
    """One item of the catalogue, counted in pieces and known by its code."""

    code = models.CharField(max_length=80)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=8, choices=Kind)
    nature = models.CharField(max_length=10, choices=Nature)
    colour = TenantForeignKey(
        "stock.Colour", on_delete=models.PROTECT, null=True, blank=True, related_name="items"
    )
    size_in = models.PositiveSmallIntegerField("size", null=True, blank=True, help_text="Inches when full.")
    bag_size = models.PositiveIntegerField("pieces per bag", null=True, blank=True)
    bag_price = _price_field("price per bag")
    unit_cost = _price_field("cost of one")
    cost_is_usual = models.BooleanField(
        default=False,
        editable=False,
        help_text="Its cost came from the list of usual ones, and nobody has checked it.",
    )
    price_per_use = _price_field("price per use")
    hire_per = models.CharField("hire price for", max_length=5, choices=HirePer, default=HirePer.EVENT)
    expected_uses = models.PositiveIntegerField(null=True, blank=True)
    turnaround_hours = models.PositiveSmallIntegerField(
        "cleaning time in hours", default=0, help_text="From its return until it can go out again."
    )
    place = models.CharField("place on the shelf", max_length=40, blank=True)
    gtin = models.CharField(
        "barcode number", max_length=14, blank=True, help_text="GTIN-8, 12, 13 or 14, digits only."
    )
    fits_frame = TenantForeignKey(
        "stock.Item", on_delete=models.PROTECT, null=True, blank=True, related_name="fitting_covers"
    )
    reorder_at = models.PositiveIntegerField(
        "reorder at", null=True, blank=True, help_text="If empty, it is computed from past use."
    )
    outline = models.JSONField(
        null=True,
        blank=True,
        editable=False,
        help_text="The shape of a frame, prop or foil balloon, in metres.",
    )
    weight_kg = models.DecimalField("weight", max_digits=7, decimal_places=3, null=True, blank=True)
    note = models.TextField(blank=True)
    added_at = models.DateTimeField(auto_now_add=True)
    retired_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering: ClassVar = ["kind", "name"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "code"], name="stock_item_code_key"),
            models.UniqueConstraint(
                fields=["studio", "size_in", "colour"], condition=Q(kind="latex"), name="stock_item_latex_key"
            ),
            models.UniqueConstraint(
                fields=["studio", "gtin"], condition=~Q(gtin=""), name="stock_item_gtin_key"
            ),
            models.CheckConstraint(condition=Q(gtin="") | Q(gtin__regex=GTIN), name="stock_item_gtin_shape"),
            models.CheckConstraint(
                condition=Q(fits_frame__isnull=True) | Q(kind="cover"), name="stock_item_only_covers_fit"
            ),
            models.CheckConstraint(condition=Q(code__regex=CODE), name="stock_item_code_shape"),
            models.CheckConstraint(condition=Q(kind__in=Kind.values), name="stock_item_kind"),
            models.CheckConstraint(condition=Q(nature__in=Nature.values), name="stock_item_nature"),
            models.CheckConstraint(
                condition=~Q(kind="latex") | Q(size_in__isnull=False, colour__isnull=False),
                name="stock_item_latex_has_size_and_colour",
            ),
            models.CheckConstraint(
                condition=~Q(kind="260") | Q(colour__isnull=False), name="stock_item_260_has_colour"
            ),
            models.CheckConstraint(
                condition=~Q(kind__in=["latex", "260"]) | Q(nature="consumable"),
                name="stock_item_latex_is_used_up",
            ),
            models.CheckConstraint(
                condition=Q(size_in__gte=1, size_in__lte=72), name="stock_item_size_range"
            ),
            models.CheckConstraint(condition=Q(bag_size__gte=1), name="stock_item_bag_size_range"),
            models.CheckConstraint(condition=Q(expected_uses__gte=1), name="stock_item_uses_range"),
            models.CheckConstraint(
                condition=Q(turnaround_hours__lte=24 * 60), name="stock_item_turnaround_range"
            ),
            models.CheckConstraint(condition=Q(bag_price__gte=0), name="stock_item_bag_price_range"),
            models.CheckConstraint(condition=Q(unit_cost__gte=0), name="stock_item_unit_cost_range"),
            models.CheckConstraint(condition=Q(price_per_use__gte=0), name="stock_item_price_per_use_range"),
            models.CheckConstraint(
                condition=Q(hire_per__in=HirePer.values), name="stock_item_hire_per_known"
            ),
            models.CheckConstraint(condition=Q(weight_kg__gte=0), name="stock_item_weight_range"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_reusable(self) -> bool:
        """Whether it comes back after an event."""
        return self.nature == Nature.REUSABLE

    @property
    def turnaround(self) -> timedelta:
        """The time for cleaning after each return."""
        return timedelta(hours=self.turnaround_hours) if self.is_reusable else timedelta()

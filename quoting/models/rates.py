"""A studio's own rates: what labor, van and overhead cost it, and what it adds."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar, TypeAlias

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantModel

NOT_NEGATIVE = [MinValueValidator(Decimal(0))]


class LatexBy(models.TextChoices):
    """How latex is counted into a price."""

    PIECE = "piece", "by the piece: what is used up"
    BAG = "bag", "in whole bags: what is opened"


class PriceBy(models.TextChoices):
    """How a price is made of a cost."""

    MARKUP = "markup", "mark-up on cost"
    MARGIN = "margin", "margin aimed at"


class ClientView(models.TextChoices):
    """How much of a price a client reads."""

    PIECE = "piece", "one price per piece, and delivery"
    GROUP = "group", "by group: materials, florals, frames, labor, delivery"
    FULL = "full", "in full, line by line"


class DeliveryBy(models.TextChoices):
    """How delivery is priced."""

    COSTS = "costs", "from your costs: distance, drive and crew"
    BANDS = "bands", "from your table: by distance"


class DistanceUnit(models.TextChoices):
    """What the van's rate is by."""

    MILE = "mile", "mile"
    KILOMETRE = "km", "kilometre"


AmountField: TypeAlias = "models.DecimalField[Decimal | float | str, Decimal]"


def _amount(name: str, default: str, help_text: str = "") -> AmountField:
    return models.DecimalField(
        name,
        max_digits=12,
        decimal_places=4,
        default=Decimal(default),
        validators=NOT_NEGATIVE,
        help_text=help_text,
    )


def _percent(name: str, default: str, most: int, help_text: str = "") -> AmountField:
    return models.DecimalField(
        name, max_digits=6, decimal_places=2, default=Decimal(default),
        validators=[*NOT_NEGATIVE, MaxValueValidator(Decimal(most))], help_text=help_text,
    )  # fmt: skip


@tracked()
class Rates(TenantModel):
    """One row a studio. Every default is a placeholder out of common practice, no source: the owner sets them."""

    loss_percent = _percent(
        "loss",
        "7",
        50,
        "Share of the balloons brought that is lost while inflating and on the way; new sketches take it.",
    )
    service_percent = models.DecimalField(
        "enough spares",
        max_digits=4,
        decimal_places=1,
        default=Decimal(90),
        validators=[MinValueValidator(Decimal(50)), MaxValueValidator(Decimal("99.9"))],
        help_text=(
            "Share of jobs in which every balloon that a set piece loses has a spare, 50 to 99.9. "
            "At 90, one job in ten runs short of a balloon. New sketches take it."
        ),
    )
    prep_hour = _amount("prep, an hour", "18")
    install_hour = _amount("install, an hour", "22")
    strike_hour = _amount("strike, an hour", "20")
    drive_hour = _amount("driving, an hour", "18")
    minimum_call_hours = models.DecimalField(
        "minimum call", max_digits=5, decimal_places=2, default=Decimal(1),
        validators=[*NOT_NEGATIVE, MaxValueValidator(Decimal(24))],
        help_text="Hours that each person on site is paid for at least, for the install and for the strike.",
    )  # fmt: skip
    distance_unit = models.CharField(max_length=4, choices=DistanceUnit, default=DistanceUnit.KILOMETRE)
    van_distance = _amount("van, by distance", "0.60", "For every mile or kilometre driven, fuel and wear.")
    van_hour = _amount("van, an hour", "0", "For every hour of driving, beside the driver.")
    overhead_percent = _percent(
        "overhead", "15", 500, "Rent, insurance, office: on top of every direct cost."
    )
    markup_percent = _percent("mark-up", "60", 1000, "What is added to cost and overhead.")
    price_by = models.CharField("prices are made by", max_length=6, choices=PriceBy, default=PriceBy.MARKUP)
    margin_percent = models.DecimalField(
        "margin", max_digits=4, decimal_places=2, default=Decimal("37.50"),
        validators=[*NOT_NEGATIVE, MaxValueValidator(Decimal(95))],
        help_text="Share of the net price that is to be left after cost and overhead. 37.5 % is a mark-up of 60 %.",
    )  # fmt: skip
    margin_floor_percent = models.DecimalField(
        "smallest margin", max_digits=4, decimal_places=2, default=Decimal(20),
        validators=[*NOT_NEGATIVE, MaxValueValidator(Decimal(95))],
        help_text="An offer with less margin is only sent on the owner's word. 0: any margin that isn't a loss.",
    )  # fmt: skip
    frame_care = _amount("cleaning a frame", "0", "After each use, beside its share of the purchase price.")
    cover_care = _amount("washing a cover", "0", "After each use: laundry, pressing, mending.")
    print_m2 = _amount(
        "printed cover, a square meter", "45", "What printing and sewing cost you, bleed included."
    )
    rush_percent = _percent("rush", "20", 300, "What a quote starts with when it is marked as a rush.")
    minimum_order = _amount("smallest order", "0", "Lesser quotes are brought up to it; 0: any will do.")
    rounding_step = _amount(
        "round totals to", "0", "Net prices are brought up to a multiple of this; 0: left alone."
    )
    latex_by = models.CharField("latex", max_length=5, choices=LatexBy, default=LatexBy.PIECE)
    client_view = models.CharField(
        "prices on offers", max_length=5, choices=ClientView, default=ClientView.PIECE
    )
    clients_see_counts = models.BooleanField("show how many balloons there are", default=False)
    clients_see_hours = models.BooleanField("show hours of work", default=False)
    deposit_amount = models.DecimalField(
        "deposit as an amount", max_digits=12, decimal_places=4, null=True, blank=True, validators=NOT_NEGATIVE,
        help_text="With tax. None: a share, as the studio's profile says.",
    )  # fmt: skip
    delivery_by = models.CharField("delivery", max_length=5, choices=DeliveryBy, default=DeliveryBy.COSTS)

    class Meta:
        verbose_name = verbose_name_plural = "rates"
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(service_percent__range=(50, Decimal("99.9"))), name="quoting_rates_service_range"
            ),
            models.UniqueConstraint(fields=["studio"], name="quoting_rates_one_a_studio"),
            models.CheckConstraint(
                condition=models.Q(
                    loss_percent__range=(0, 50), overhead_percent__range=(0, 500), markup_percent__range=(0, 1000),
                    minimum_call_hours__range=(0, 24), rounding_step__gte=0, van_distance__gte=0, van_hour__gte=0,
                    prep_hour__gte=0, install_hour__gte=0, strike_hour__gte=0, drive_hour__gte=0,
                ),
                name="quoting_rates_ranges",
            ),
            models.CheckConstraint(
                condition=models.Q(
                    margin_percent__range=(0, 95), margin_floor_percent__range=(0, 95),
                    rush_percent__range=(0, 300), minimum_order__gte=0,
                    frame_care__gte=0, cover_care__gte=0, print_m2__gte=0, price_by__in=[way.value for way in PriceBy],
                ),
                name="quoting_rates_price_ranges",
            ),
            models.CheckConstraint(
                condition=models.Q(client_view__in=ClientView.values, delivery_by__in=DeliveryBy.values)
                & (models.Q(deposit_amount=None) | models.Q(deposit_amount__gte=0)),
                name="quoting_rates_client_terms",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return "rates"


@tracked()
class DeliveryBand(TenantModel):
    """Delivery up to a distance, in the unit of the studio's rates, and its price; the next band begins there."""

    up_to = models.DecimalField(max_digits=7, decimal_places=1, help_text="One way.")
    price = models.DecimalField(
        max_digits=12, decimal_places=4, help_text="Of the whole event; with tax where prices are."
    )

    class Meta:
        ordering: ClassVar = ["up_to"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "up_to"], name="quoting_deliveryband_key"),
            models.CheckConstraint(
                condition=models.Q(up_to__gt=0, price__gte=0), name="quoting_deliveryband_range"
            ),
        ]

    def __str__(self) -> str:
        return f"up to {self.up_to}"

"""A quote: set pieces sketched for an event, free lines beside them, and every earlier sketch."""

from __future__ import annotations

import json
from decimal import Decimal
from functools import lru_cache
from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from quoting.craft.design.design_file import read_design
from quoting.craft.design.records import Design
from quoting.models.rates import ClientView
from quoting.models.still import StillRoom
from quoting.models.takeoff_field import TakeoffField
from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


class QuoteState(models.TextChoices):
    """Where a quote stands. What was agreed is never sketched over."""

    SKETCH = "sketch", "sketch"
    OFFERED = "offered", "offered"
    AGREED = "agreed", "agreed"
    DECLINED = "declined", "declined"
    SET_ASIDE = "set aside", "set aside"


class Choice(models.TextChoices):
    """Whether the client may switch a part of an offer on and off, and whether it is included by default."""

    FIXED = "", "part of the offer"
    ON = "on", "optional, included by default"
    OFF = "off", "optional, not included by default"


def _known_choices(*fields: str, name: str) -> models.CheckConstraint:
    condition = models.Q(*[models.Q(**{f"{field}__in": Choice.values}) for field in fields])
    return models.CheckConstraint(condition=condition, name=name)


@tracked(exclude=["version", "changed_at", "priced_net", "priced_total"])
class Quote(TenantModel):
    """What is quoted for one event. ``version`` counts every change: who edits an older one is refused."""

    event = TenantForeignKey("events.Event", on_delete=models.CASCADE, related_name="quotes")
    title = models.CharField(max_length=160)
    variant_of = TenantForeignKey(
        "self", on_delete=models.CASCADE, null=True, editable=False, related_name="variants",
        help_text="The quote beside which the client is offered this one, to pick one of them; none: itself.",
    )  # fmt: skip
    variant_name = models.CharField(max_length=40, blank=True, help_text="What this version is called.")
    state = models.CharField(max_length=12, choices=QuoteState, default=QuoteState.SKETCH, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)
    distance_m = models.PositiveIntegerField("way to the venue", default=0, help_text="One way, in metres.")
    drive_minutes = models.PositiveSmallIntegerField("drive", default=0, help_text="One way, in minutes.")
    trips = models.PositiveSmallIntegerField(
        "times there and back",
        default=2,
        validators=[MaxValueValidator(20)],
        help_text="Install and strike: two.",
    )
    rush_percent = models.DecimalField(
        "rush", max_digits=6, decimal_places=2, default=Decimal(0), validators=[MinValueValidator(Decimal(0))]
    )
    discount_percent = models.DecimalField(
        "discount",
        max_digits=5,
        decimal_places=2,
        default=Decimal(0),
        validators=[MinValueValidator(Decimal(0))],
    )
    discount_amount = models.DecimalField(
        "discount",
        max_digits=12,
        decimal_places=4,
        default=Decimal(0),
        validators=[MinValueValidator(Decimal(0))],
    )
    discount_reason = models.CharField(max_length=120, blank=True, help_text="For the studio's eyes.")
    deposit_percent = models.DecimalField(
        "deposit", max_digits=5, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(Decimal(0))],
        help_text="None: as the studio asks of everybody.",
    )  # fmt: skip
    deposit_amount = models.DecimalField(
        "deposit as an amount", max_digits=12, decimal_places=4, null=True, blank=True,
        validators=[MinValueValidator(Decimal(0))], help_text="With tax; in place of the share.",
    )  # fmt: skip
    client_view = models.CharField(
        "what the client sees",
        max_length=5,
        choices=ClientView,
        blank=True,
        help_text="Empty: as the studio shows it.",
    )
    instalments = models.JSONField(
        default=list, blank=True, help_text="Between deposit and balance: per cent and day of each."
    )
    by_hand = models.JSONField(
        default=dict, blank=True,
        help_text="Prices set by hand of lines that belong to no set piece: by line, amount and reason.",
    )  # fmt: skip
    priced_net = models.DecimalField(max_digits=14, decimal_places=4, null=True, editable=False)
    priced_total = models.DecimalField(max_digits=14, decimal_places=4, null=True, editable=False)
    made_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)
    changed_by = models.ForeignKey(
        "studio.Person", on_delete=models.SET_NULL, null=True, editable=False, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["-changed_at"]
        indexes: ClassVar = [
            models.Index(fields=["studio", "event"], name="quoting_quote_event"),
            models.Index(fields=["studio", "state", "-changed_at"], name="quoting_quote_state"),
        ]
        constraints: ClassVar = [
            models.CheckConstraint(condition=models.Q(trips__lte=20), name="quoting_quote_trips_range"),
            models.CheckConstraint(
                condition=models.Q(
                    rush_percent__range=(0, 300), discount_percent__range=(0, 100), discount_amount__gte=0
                )
                & (models.Q(discount_percent=0) | models.Q(discount_amount=0)),
                name="quoting_quote_adjustments_range",
            ),
            models.CheckConstraint(
                condition=models.Q(deposit_percent=None) | models.Q(deposit_percent__range=(0, 100)),
                name="quoting_quote_deposit_range",
            ),
            models.CheckConstraint(
                condition=(
                    models.Q(deposit_amount=None) | models.Q(deposit_amount__gte=0, deposit_percent=None)
                )
                & models.Q(client_view__in=["", *ClientView.values]),
                name="quoting_quote_client_terms",
            ),
            models.CheckConstraint(condition=models.Q(version__gte=1), name="quoting_quote_version_range"),
            models.CheckConstraint(
                condition=models.Q(variant_of=None)
                | (~models.Q(variant_of=models.F("id")) & ~models.Q(variant_name="")),
                name="quoting_quote_variant_named",
            ),
            models.CheckConstraint(
                condition=models.Q(variant_of=None) | ~models.Q(state__in=["offered", "agreed", "declined"]),
                name="quoting_quote_variant_state",
            ),
            models.CheckConstraint(
                condition=models.Q(state__in=[state.value for state in QuoteState]),
                name="quoting_quote_state_known",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def is_open(self) -> bool:
        """Whether it may still be sketched over."""
        return self.state != QuoteState.AGREED and not self.is_left_out

    @property
    def is_left_out(self) -> bool:
        """Whether it is a version that isn't offered any more."""
        return self.variant_of_id is not None and self.state == QuoteState.SET_ASIDE


class SetPiece(TenantModel):
    """One installed design within a quote, with its take-off and picture as last worked out."""

    quote = TenantForeignKey(Quote, on_delete=models.CASCADE, related_name="pieces")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=120)
    drawn_from = TenantForeignKey(
        "quoting.DesignTemplate", on_delete=models.PROTECT, null=True, editable=False, related_name="pieces"
    )
    design = models.JSONField()
    width_m = models.DecimalField(max_digits=7, decimal_places=4, help_text="Asked for, in metres.")
    height_m = models.DecimalField(max_digits=7, decimal_places=4, help_text="Asked for, in metres.")
    takeoff = TakeoffField(help_text="Counts, bill, work, sizes: see quoting.sketching.worked.")
    picture = models.TextField(help_text="Elevation as SVG.")
    choice = models.CharField(max_length=3, choices=Choice, default=Choice.FIXED, blank=True)
    florals_choice = models.CharField(max_length=3, choices=Choice, default=Choice.FIXED, blank=True)
    sign_choice = models.CharField(max_length=3, choices=Choice, default=Choice.FIXED, blank=True)
    by_hand = models.JSONField(
        default=dict, blank=True, help_text="Prices set by hand: by part of the piece, amount and reason."
    )
    still_room = models.CharField(max_length=8, choices=StillRoom.choices, default=StillRoom.STUDIO)
    still_turn_deg = models.SmallIntegerField(
        default=0, help_text="From how far on the right its stills show it."
    )
    room_x_m = models.DecimalField(
        max_digits=6, decimal_places=3, null=True, blank=True,
        help_text="Its middle, to the right of the room's middle, in metres; none: beside the others.",
    )  # fmt: skip
    room_back_m = models.DecimalField(
        max_digits=6,
        decimal_places=3,
        default=Decimal(0),
        help_text="Its front, behind the front of all, in metres.",
    )

    class Meta:
        ordering: ClassVar = ["position"]
        constraints: ClassVar = [
            _known_choices("choice", "florals_choice", "sign_choice", name="quoting_setpiece_choices_known"),
            models.CheckConstraint(
                condition=models.Q(room_back_m__range=(0, 30))
                & (models.Q(room_x_m=None) | models.Q(room_x_m__range=(-30, 30))),
                name="quoting_setpiece_place_range",
            ),
            models.UniqueConstraint(
                fields=["studio", "quote", "position"],
                name="quoting_setpiece_position_key",
                deferrable=models.Deferrable.DEFERRED,
            ),
        ]

    def __str__(self) -> str:
        return self.name

    _read: tuple[object, Design] | None = None

    def read_design(self) -> Design:
        """The design as its record, read once for each document. Raises ``DesignError``."""
        if self._read is None or self._read[0] is not self.design:
            self._read = (self.design, _design_written(json.dumps(self.design)))
        return self._read[1]

    def put_design(self, design: Design, document: dict[str, object]) -> None:
        """Take a design together with the document that was written of it: it needn't be read again."""
        self.design = document
        self._read = (document, design)


@lru_cache(maxsize=64)
def _design_written(text: str) -> Design:
    """The design of a JSON text: the same text is the same design, whoever's it is."""
    return read_design(json.loads(text))


@tracked()
class FreeLine(TenantModel):
    """A line that no set piece accounts for: a delivery outside hours, a hired plinth, a discount."""

    quote = TenantForeignKey(Quote, on_delete=models.CASCADE, related_name="free_lines")
    position = models.PositiveSmallIntegerField()
    label = models.CharField(max_length=120)
    quantity = models.DecimalField(
        max_digits=9, decimal_places=3, default=Decimal(1), validators=[MinValueValidator(Decimal("0.001"))]
    )
    unit_price = models.DecimalField(
        max_digits=12,
        decimal_places=4,
        help_text="Each; below nothing for a discount. With tax where prices are.",
    )
    tax = TenantForeignKey(
        "studio.TaxRate", on_delete=models.PROTECT, null=True, blank=True, related_name="+",
        help_text="None: the studio's default tax.",
    )  # fmt: skip
    choice = models.CharField(max_length=3, choices=Choice, default=Choice.FIXED, blank=True)

    class Meta:
        ordering: ClassVar = ["position", "pk"]
        constraints: ClassVar = [
            _known_choices("choice", name="quoting_freeline_choice_known"),
            models.CheckConstraint(
                condition=models.Q(quantity__gt=0), name="quoting_freeline_quantity_range"
            ),
        ]

    def __str__(self) -> str:
        return self.label


class SketchVersion(TenantModel):
    """How a quote stood before a change: what undo goes back to."""

    quote = TenantForeignKey(Quote, on_delete=models.CASCADE, related_name="sketches")
    number = models.PositiveIntegerField(help_text="The quote's version that this was.")
    what = models.CharField(max_length=160, help_text="The change that followed, in words.")
    snapshot = models.JSONField()
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(
        "studio.Person", on_delete=models.SET_NULL, null=True, editable=False, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["-number"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["studio", "quote", "number"], name="quoting_sketchversion_number_key"
            )
        ]

    def __str__(self) -> str:
        return f"{self.number}: {self.what}"

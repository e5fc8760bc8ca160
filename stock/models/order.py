"""Purchase orders and their lines."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


class OrderState(models.TextChoices):
    """The state of an order."""

    DRAFT = "draft", "draft"
    SENT = "sent", "ordered"
    CLOSED = "closed", "completed"
    CALLED_OFF = "off", "cancelled"


@tracked()
class PurchaseOrder(TenantModel):
    """One order to one supplier."""

    number = models.PositiveIntegerField()
    supplier = TenantForeignKey("stock.Supplier", on_delete=models.PROTECT, related_name="orders")
    state = models.CharField(max_length=6, choices=OrderState, default=OrderState.DRAFT)
    made_at = models.DateTimeField(auto_now_add=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    expected_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["-number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["studio", "number"], name="stock_purchaseorder_number_key"),
            models.CheckConstraint(
                condition=Q(state__in=OrderState.values), name="stock_purchaseorder_state"
            ),
            models.CheckConstraint(
                condition=~Q(state="sent") | Q(sent_at__isnull=False, expected_on__isnull=False),
                name="stock_purchaseorder_sent_has_dates",
            ),
        ]

    def __str__(self) -> str:
        return f"no. {self.number}"


@tracked()
class OrderLine(TenantModel):
    """Bags of one item, at the price when the line was written.

    ``received`` and ``sent_back`` are pieces; the ledger's movements refer to their line.
    """

    order = TenantForeignKey("stock.PurchaseOrder", on_delete=models.CASCADE, related_name="lines")
    item = TenantForeignKey("stock.Item", on_delete=models.PROTECT, related_name="order_lines")
    bag_size = models.PositiveIntegerField(default=1)
    bags = models.PositiveIntegerField()
    price = models.DecimalField(max_digits=12, decimal_places=4)
    their_code = models.CharField(max_length=60, blank=True)
    received = models.PositiveIntegerField(default=0)
    sent_back = models.PositiveIntegerField(default=0)
    is_closed = models.BooleanField(default=False, help_text="Nothing more is expected.")

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["studio", "order", "item", "bag_size"], name="stock_orderline_item_key"
            ),
            models.CheckConstraint(condition=Q(bags__gte=1), name="stock_orderline_some"),
            models.CheckConstraint(condition=Q(bag_size__gte=1), name="stock_orderline_bag_range"),
            models.CheckConstraint(condition=Q(price__gte=0), name="stock_orderline_price_range"),
            models.CheckConstraint(
                condition=Q(sent_back__lte=F("received")), name="stock_orderline_back_at_most_received"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.bags} × {self.item_id}"

    @property
    def pieces(self) -> int:
        """Pieces ordered."""
        return self.bags * self.bag_size

    @property
    def due(self) -> int:
        """Pieces still to come."""
        return 0 if self.is_closed else max(0, self.pieces - self.received)

"""Suppliers and their prices."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from studio.tenancy.audit import tracked
from studio.tenancy.models import TenantForeignKey, TenantModel


@tracked()
class Supplier(TenantModel):
    """A supplier."""

    name = models.CharField(max_length=80)
    email = models.EmailField("e-mail address", blank=True)
    phone = models.CharField(max_length=40, blank=True)
    customer_number = models.CharField("our customer number", max_length=40, blank=True)
    lead_days = models.PositiveSmallIntegerField(
        "delivery time in days", default=5, help_text="Calendar days."
    )
    lead_spread_days = models.DecimalField(
        "varies by",
        max_digits=4,
        decimal_places=1,
        default=0,
        help_text="Standard deviation of those days.",
    )
    minimum_order = models.DecimalField(
        "minimum order", max_digits=12, decimal_places=4, null=True, blank=True
    )
    delivery_charge = models.DecimalField(
        "delivery charge", max_digits=12, decimal_places=4, default=0, help_text="Per order."
    )
    note = models.TextField(blank=True)
    added_at = models.DateTimeField(auto_now_add=True)
    retired_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.UniqueConstraint("studio", Lower("name"), name="stock_supplier_name_key"),
            models.CheckConstraint(condition=Q(lead_days__lte=365), name="stock_supplier_lead_range"),
            models.CheckConstraint(
                condition=Q(lead_spread_days__gte=0, lead_spread_days__lte=180),
                name="stock_supplier_spread_range",
            ),
            models.CheckConstraint(condition=Q(minimum_order__gte=0), name="stock_supplier_minimum_range"),
            models.CheckConstraint(condition=Q(delivery_charge__gte=0), name="stock_supplier_charge_range"),
        ]

    def __str__(self) -> str:
        return self.name


@tracked()
class SupplierPrice(TenantModel):
    """A supplier's price for a bag of an item, from a number of bags on; a further row is a price break."""

    supplier = TenantForeignKey("stock.Supplier", on_delete=models.CASCADE, related_name="prices")
    item = TenantForeignKey("stock.Item", on_delete=models.CASCADE, related_name="prices")
    bag_size = models.PositiveIntegerField("pieces per bag", default=1)
    from_bags = models.PositiveIntegerField("minimum bags", default=1)
    price = models.DecimalField("price per bag", max_digits=12, decimal_places=4)
    their_code = models.CharField("their code", max_length=60, blank=True)

    class Meta:
        ordering: ClassVar = ["item__name", "bag_size", "from_bags"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["studio", "supplier", "item", "bag_size", "from_bags"],
                name="stock_supplierprice_key",
            ),
            models.CheckConstraint(condition=Q(bag_size__gte=1), name="stock_supplierprice_bag_range"),
            models.CheckConstraint(condition=Q(from_bags__gte=1), name="stock_supplierprice_from_range"),
            models.CheckConstraint(condition=Q(price__gte=0), name="stock_supplierprice_price_range"),
        ]

    def __str__(self) -> str:
        return f"{self.price} for {self.bag_size}"

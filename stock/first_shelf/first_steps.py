"""The first steps that belong to the shelf."""

from __future__ import annotations

from stock.models import Item
from studio.people.first_steps import FirstStep
from studio.tenancy import links


def say_what_you_have() -> FirstStep:
    """Done once anything is on the shelf."""
    return FirstStep(
        4,
        "Say what you have",
        "Frames, covers, latex, florals and tools; each comes with a usual cost.",
        links.to("stock:first-shelf"),
        Item.objects.filter(retired_at=None).exists,
    )


def check_your_costs() -> FirstStep:
    """Done once there are items and none of them has a usual cost that nobody checked."""
    items = Item.objects.filter(retired_at=None)
    return FirstStep(
        5,
        "Check the costs",
        "Prices are made of what you pay.",
        links.to("stock:check-costs"),
        lambda: items.exists() and not items.filter(cost_is_usual=True).exists(),
    )

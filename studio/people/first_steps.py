"""The first steps of a new studio: what its owner does before the first honest offer, in order, each by its page.

Every room names its own steps. The list stays on the opening page until the owner puts it away.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from studio import tenancy
from studio.models import Studio, TaxRate, entered_studio
from studio.registry import Registry
from studio.tenancy import links
from studio.tenancy.access import require
from studio.tenancy.rights import Right, may


@dataclass(frozen=True, slots=True)
class FirstStep:
    """One step: what to do, why, the page where it is done, and whether it is."""

    rank: int
    """Its place in the list."""
    what: str
    why: str
    address: str
    is_done: bool


providers: Registry[Callable[[], FirstStep]] = Registry()
register = providers.register


def find_first_steps() -> list[FirstStep]:
    """The steps in order, for an owner whose list isn't put away; else none. A query or two for each step."""
    if not entered_studio().first_steps_open or not may(tenancy.current().role, Right.EDIT_STUDIO):
        return []
    return sorted((provider() for provider in providers), key=lambda step: step.rank)


def put_away() -> None:
    """Show the list no more. Twice changes nothing."""
    require(Right.EDIT_STUDIO)
    Studio.objects.filter(pk=tenancy.current().studio_id).update(first_steps_open=False)


@register
def say_who_you_are() -> FirstStep:
    """Done once offers and invoices can name an address."""
    studio = entered_studio()
    return FirstStep(
        1,
        "Say who you are",
        "Address, language, currency and units stand on every offer.",
        links.to("studio:profile"),
        bool(studio.address.strip()),
    )


@register
def set_your_tax() -> FirstStep:
    """Done once a tax is there, be it of 0 %."""
    return FirstStep(
        2,
        "Set your tax",
        "Every line carries it; 0 % if you charge none.",
        links.to("studio:profile") + "#taxes",
        TaxRate.objects.filter(is_default=True, retired_at=None).exists(),
    )

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
    """One step: what to do, why, the page where it is done, and how one knows that it is."""

    place: int
    """Its number in the list, from 1."""
    what: str
    why: str
    address: str
    has_been_done: Callable[[], bool]

    @property
    def is_done(self) -> bool:
        """Whether it is done now: asks the database."""
        return self.has_been_done()


providers: Registry[Callable[[], FirstStep]] = Registry()
register = providers.register


def is_led() -> bool:
    """Whether the present person is led through the first steps: an owner whose list isn't put away."""
    return entered_studio().first_steps_open and may(tenancy.current().role, Right.EDIT_STUDIO)


def find_first_steps() -> list[FirstStep]:
    """The steps in order, for an owner whose list isn't put away; else none."""
    return sorted((provider() for provider in providers), key=lambda step: step.place) if is_led() else []


def put_away() -> None:
    """Show the list no more. Twice changes nothing."""
    require(Right.EDIT_STUDIO)
    Studio.objects.filter(pk=tenancy.current().studio_id).update(first_steps_open=False)


@register
def say_where_you_are() -> FirstStep:
    """Done once the country is known."""
    return FirstStep(
        1,
        "Say where you are",
        "Language, currency, units, paper and clock follow from the country.",
        links.to("studio:country"),
        lambda: bool(entered_studio().country),
    )


@register
def say_who_you_are() -> FirstStep:
    """Done once offers and invoices can name an address."""
    return FirstStep(
        2,
        "Say who you are",
        "Name, address and logo stand on every offer.",
        links.to("studio:profile"),
        lambda: bool(entered_studio().address.strip()),
    )


@register
def set_your_tax() -> FirstStep:
    """Done once a tax is there, be it of 0 %."""
    return FirstStep(
        3,
        "Set your tax",
        "Every line carries it; 0 % if you charge none.",
        links.to("studio:money"),
        TaxRate.objects.filter(is_default=True, retired_at=None).exists,
    )

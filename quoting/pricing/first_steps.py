"""The first step that belongs to prices."""

from __future__ import annotations

from quoting.models import Rates
from studio.people.first_steps import FirstStep
from studio.tenancy import links


def set_your_rates() -> FirstStep:
    """Done once the rates were saved."""
    return FirstStep(
        6,
        "Set your rates",
        "What an hour and the van cost you, your markup and your smallest margin.",
        links.to("quoting:rates"),
        Rates.objects.exists,
    )

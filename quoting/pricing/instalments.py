"""How an offer is paid: deposit, instalments by date, and the rest. Pure arithmetic."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from studio.money.amounts import rounded

MOST: Final = 4
HUNDRED: Final = Decimal(100)


@dataclass(frozen=True, slots=True)
class Instalment:
    """A share of the total, in per cent, and the day by which it is asked for."""

    percent: Decimal
    due_on: date


@dataclass(frozen=True, slots=True)
class Part:
    """What is to be paid by a day."""

    percent: Decimal
    due_on: date
    amount: Decimal


def parts(
    total: Decimal, deposit: Decimal, instalments: Sequence[Instalment], currency: str
) -> tuple[list[Part], Decimal]:
    """Each instalment's amount, rounded by itself, and the rest; with the deposit they add up to the total.

    No part is more than what is left, whatever the rounding.
    """
    left = total - deposit
    found = []
    for one in instalments:
        amount = min(rounded(total * one.percent / HUNDRED, currency), left)
        found.append(Part(one.percent, one.due_on, amount))
        left -= amount
    return found, left


def kept(instalments: Sequence[Instalment]) -> list[dict[str, str]]:
    """As a quote and its offer keep them."""
    return [
        {"percent": f"{one.percent.normalize():f}", "due_on": one.due_on.isoformat()} for one in instalments
    ]


def read(written: Sequence[Mapping[str, str]]) -> list[Instalment]:
    """As they were kept."""
    return [Instalment(Decimal(one["percent"]), date.fromisoformat(one["due_on"])) for one in written]

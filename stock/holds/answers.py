"""Answers to a request for a hold: what is reserved, or why nothing is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError

from stock.catalogue.items import Material
from stock.models import HoldState


@dataclass(frozen=True, slots=True)
class Shortfall:
    """A quantity of one code that is missing for a window."""

    code: str
    name: str
    needed: int
    free: int
    back_at: datetime | None = None
    """When enough reusables would be available."""
    retired: bool = False

    @property
    def short(self) -> int:
        """How many are missing."""
        return max(0, self.needed - self.free)

    @property
    def words(self) -> str:
        """The shortfall as a sentence."""
        if self.retired:
            return f"{self.name} is out of use."
        return f"{self.name}: {self.free} free of {self.needed} needed."


@dataclass(frozen=True, slots=True)
class HoldAnswer:
    """The answer to a request for a hold."""

    hold_id: int
    state: HoldState
    lines: tuple[Material, ...]
    """The reserved quantities, by code."""
    short: tuple[Shortfall, ...]
    """Consumables that are reserved but must be bought first."""
    unknown: tuple[str, ...]
    """Codes that aren't in the catalogue; nothing is reserved for them."""


class CannotHold(ValidationError):
    """The hold was refused; nothing was reserved."""


class NotFree(CannotHold):
    """A reusable item isn't available, or an item is out of use."""

    def __init__(self, shortfalls: Sequence[Shortfall]) -> None:
        super().__init__([shortfall.words for shortfall in shortfalls])
        self.shortfalls = tuple(shortfalls)


class NoSuchHold(CannotHold):
    """The hold doesn't exist, or is over."""

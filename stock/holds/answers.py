"""What comes of asking for a hold: what is kept, or why nothing is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError

from stock.catalogue.items import Material
from stock.models import HoldState


@dataclass(frozen=True, slots=True)
class Shortfall:
    """So many of a code that are missing for a window."""

    code: str
    name: str
    needed: int
    free: int
    back_at: datetime | None = None
    """From when on there would be enough, for what comes back."""
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
    """What came of asking for a hold."""

    hold_id: int
    state: HoldState
    lines: tuple[Material, ...]
    """What is kept, by code."""
    short: tuple[Shortfall, ...]
    """Consumables that are kept but must be bought first."""
    unknown: tuple[str, ...]
    """Codes that the catalogue doesn't have; nothing is kept for them."""


class CannotHold(ValidationError):
    """The hold was refused as a whole; nothing was kept."""


class NotFree(CannotHold):
    """Something that comes back isn't free, or is out of use."""

    def __init__(self, shortfalls: Sequence[Shortfall]) -> None:
        super().__init__([shortfall.words for shortfall in shortfalls])
        self.shortfalls = tuple(shortfalls)


class NoSuchHold(CannotHold):
    """The hold isn't there, or is over."""

"""What a table would add: the entries that are new, known already, or wrong."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar


class Entry(Protocol):
    """One entry of a table as it was read."""

    @property
    def known(self) -> bool:
        """Whether it was added before, or stands above."""
        ...

    @property
    def faults(self) -> tuple[str, ...]:
        """Why it can't be added, in sentences."""
        ...


Row_co = TypeVar("Row_co", bound=Entry, covariant=True)


@dataclass(frozen=True, slots=True)
class Preview(Generic[Row_co]):
    """What a table would add, in the order of the file."""

    rows: tuple[Row_co, ...]

    @property
    def new(self) -> list[Row_co]:
        """The entries that would be added."""
        return [row for row in self.rows if not row.known and not row.faults]

    @property
    def wrong(self) -> list[Row_co]:
        """The entries that can't be added as they are; they are left out."""
        return [row for row in self.rows if row.faults]

    @property
    def known_count(self) -> int:
        """How many entries add nothing, because they are there or stand above."""
        return sum(row.known for row in self.rows)

"""The state of a load-out list: its lines, what phones counted of each, and what came back."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.utils.translation import gettext as _

from events.loadout.standard_kit import OUR_WORDS, PREFIX, SPARE_LABEL
from events.models import Event, LoadOutLine, LoadPlace, Tick
from events.transfers.transfers import EventTransfers


@dataclass(frozen=True, slots=True)
class Rival:
    """A tick of another phone that contradicts the one that counts."""

    by: str
    count: int
    at: datetime


@dataclass(frozen=True, slots=True)
class Note:
    """A note that somebody wrote on a phone."""

    text: str
    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Back:
    """The return of a line that went out: how many are back whole, to be mended, broken, lost, used up."""

    whole: int
    broken: int
    lost: int
    used: int
    by: str
    at: datetime
    mend: int = 0
    heads: tuple[uuid.UUID, ...] = ()
    rivals: tuple[Rival, ...] = ()

    @property
    def in_all(self) -> int:
        """How many are accounted for."""
        return self.whole + self.mend + self.broken + self.lost + self.used

    @property
    def words(self) -> str:
        """The numbers in words: "1 back, 1 broken"."""
        return counted_words([self])


@dataclass(frozen=True, slots=True)
class LineState:
    """A line with the tick that counts: how many are in the van, who counted them and when, and what came back."""

    line: LoadOutLine
    count: int = 0
    by: str = ""
    at: datetime | None = None
    heads: tuple[uuid.UUID, ...] = ()
    rivals: tuple[Rival, ...] = ()
    back: Back | None = None
    notes: tuple[Note, ...] = ()
    short: int = 0
    """How many are missing now."""
    transfers: EventTransfers = field(default_factory=EventTransfers)
    """What of it comes directly from another event, and what goes on to one."""

    @property
    def label(self) -> str:
        """What the line is called: spares, and what of the standard kit the shelf lacks, in the reader's language."""
        if self.line.spare_of and self.line.label.startswith(SPARE_LABEL):
            return _("Spare %(name)s") % {"name": self.line.label.removeprefix(SPARE_LABEL)}
        return _(self.line.label) if self.is_plain_kit else self.line.label

    @property
    def detail(self) -> str:
        """What it is for, or why it goes along: our words in the reader's language, names of set pieces as they are."""
        parts = self.line.detail.split(", ")
        return ", ".join(_(part) if part in OUR_WORDS else part for part in parts)

    @property
    def is_plain_kit(self) -> bool:
        """Whether it is of the standard kit, and named by us."""
        return self.line.code.startswith(PREFIX)

    @property
    def went_out(self) -> int:
        """How many left the studio: those that were ticked, or all where nobody ticked the line."""
        return self.count if self.at else self.line.quantity

    @property
    def from_shelf(self) -> int:
        """How many of it are taken from the shelf; the rest comes directly from another event."""
        return self.line.quantity - self.transfers.incoming_quantity

    @property
    def due_back(self) -> int:
        """How many of those are due back from here: what goes on to another event is counted back there."""
        return max(0, self.went_out - self.transfers.outgoing_quantity)

    @property
    def back_in_all(self) -> int:
        """How many of it are accounted for."""
        return self.back.in_all if self.back else 0

    @property
    def is_accounted_for(self) -> bool:
        """Whether everything due back is back, to be mended, broken, lost or used up."""
        return self.back_in_all >= self.due_back

    @property
    def is_in(self) -> bool:
        """Whether all of it is in."""
        return self.count >= self.line.quantity

    @property
    def is_begun(self) -> bool:
        """Whether some of it is in, but not all."""
        return 0 < self.count < self.line.quantity

    @property
    def eighths(self) -> int:
        """How full the mark is drawn: 0 to 8."""
        if self.is_in:
            return 8
        return max(1, self.count * 8 // self.line.quantity) if self.count else 0

    @property
    def new_uuid(self) -> str:
        """A new uuid for the tick of a press without script: sent twice, it is one tick."""
        return str(uuid.uuid4())

    @property
    def other_count(self) -> int:
        """The count after a tap: all in, or, where all are in, none."""
        return 0 if self.is_in else self.line.quantity


@dataclass(frozen=True, slots=True)
class PlaceGroup:
    """The lines of one place in the van."""

    place: LoadPlace
    lines: tuple[LineState, ...]

    @property
    def total(self) -> int:
        """How many lines it has."""
        return len(self.lines)

    @property
    def in_count(self) -> int:
        """How many of its lines are in."""
        return sum(state.is_in for state in self.lines)


@dataclass(frozen=True, slots=True)
class LoadOutList:
    """The whole list in its present state."""

    event: Event
    groups: tuple[PlaceGroup, ...]
    loaders: tuple[tuple[str, int], ...] = field(default=())
    """Who loaded how many lines, most first."""
    notes: tuple[Note, ...] = ()
    """Notes about the event as a whole."""
    steps: Mapping[str, Tick] = field(default_factory=dict)
    """The steps that were taken on phones."""
    hours: tuple[Tick, ...] = ()
    """The hours worked, one tick for each task."""

    @property
    def states(self) -> list[LineState]:
        """Every line in the order of loading."""
        return [state for group in self.groups for state in group.lines]

    @property
    def in_count(self) -> int:
        """How many lines are in."""
        return sum(group.in_count for group in self.groups)

    @property
    def total(self) -> int:
        """How many lines there are."""
        return sum(group.total for group in self.groups)


def counted_words(backs: Sequence[Back]) -> str:
    """The returns of several lines of one item, in words: "4 back, 103 used"."""
    numbers = {
        _("{count} back"): sum(back.whole for back in backs),
        _("{count} to repair"): sum(back.mend for back in backs),
        _("{count} broken"): sum(back.broken for back in backs),
        _("{count} lost"): sum(back.lost for back in backs),
        _("{count} used"): sum(back.used for back in backs),
    }
    return ", ".join(words.format(count=number) for words, number in numbers.items() if number)

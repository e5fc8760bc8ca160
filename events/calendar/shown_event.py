"""An event as week and month show it: what they say of it and nothing else, for hundreds are read at once."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import NamedTuple
from zoneinfo import ZoneInfo

from events.models import Status
from studio.measures.times import Window


class ShownEvent(NamedTuple):
    """One event; ``venue`` is its venue's name, None while there is none."""

    pk: int
    title: str
    status: str
    stage: str
    zone: str
    load_out_at: datetime
    ready_by: datetime
    back_at: datetime
    venue: str | None

    @property
    def tz(self) -> ZoneInfo:
        """The time zone of its venue."""
        return ZoneInfo(self.zone)

    @property
    def is_agreed(self) -> bool:
        """Whether the client agreed and it wasn't called off."""
        return self.status == Status.CONFIRMED

    def hold_window(self) -> Window:
        """How long its stock is away: load-out to return."""
        return Window(self.load_out_at, self.back_at)


def columns(path: str = "") -> Iterator[str]:
    """What a query reads for each event, where ``path`` leads from its rows to the event: ``event__``."""
    yield from (f"{path}{name}" for name in ShownEvent._fields[:-1])
    yield f"{path}venue__name"

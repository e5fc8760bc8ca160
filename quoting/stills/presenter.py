"""A lifelike picture as the page shows it: there, being made, waiting for its turn, or given up."""

from __future__ import annotations

from dataclasses import dataclass

from quoting.models import Still, StillState
from quoting.stills import stills


@dataclass(frozen=True, slots=True)
class StillShown:
    """A still, and how far it is."""

    still: Still
    percent: int

    @property
    def is_ready(self) -> bool:
        return self.still.state == StillState.READY

    @property
    def is_waiting(self) -> bool:
        return self.still.state == StillState.ASKED

    @property
    def words(self) -> str:
        """What is happening, while there is no picture."""
        if self.still.state == StillState.FAILED:
            return "The picture couldn’t be made. The drawing stays."
        if self.percent:
            return f"The picture is being made: {self.percent} %."
        return "The picture waits for its turn; each takes a minute or two."


def shown(still: Still | None) -> StillShown | None:
    """A still for the page; None where nobody asked for one."""
    if still is None:
        return None
    return StillShown(still, stills.percent(still) if still.state == StillState.ASKED else 0)

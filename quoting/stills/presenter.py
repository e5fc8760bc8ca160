"""A lifelike picture as the page shows it: there, being made, waiting for its turn, or given up."""

from __future__ import annotations

from dataclasses import dataclass

from quoting.models import Still, StillState
from quoting.stills import stills


@dataclass(frozen=True, slots=True)
class StillShown:
    """A still, how far it is, how many of the studio's come before it, and whether it was given up."""

    still: Still
    percent: int = 0
    before: int = 0
    is_given_up: bool = False

    @property
    def is_ready(self) -> bool:
        return self.still.state == StillState.READY

    @property
    def is_waiting(self) -> bool:
        return self.still.state == StillState.ASKED and not self.is_given_up

    @property
    def words(self) -> str:
        """What is happening, while there is no picture."""
        if self.is_given_up and self.still.tries < stills.MOST_TRIES:
            return "The picture couldn’t be made. You can ask for it again; until then the drawing stays."
        if self.is_given_up:
            return "The picture couldn’t be made. The drawing stays."
        if self.percent:
            return f"The picture is being made: {self.percent} %."
        if self.before:
            others = "1 other picture is" if self.before == 1 else f"{self.before} other pictures are"
            return f"The picture waits for its turn: {others} made first. Each takes a minute or two."
        return "The picture waits for its turn; each takes a minute or two."


def shown(still: Still | None) -> StillShown | None:
    """A still for the page; None where nobody asked for one."""
    if still is None:
        return None
    if still.state == StillState.READY:
        return StillShown(still)
    if still.pk in stills.given_up([still]):
        return StillShown(still, is_given_up=True)
    return StillShown(still, stills.percent(still), stills.before(still))

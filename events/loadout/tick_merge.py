"""How an event stands by all that phones said: the fold of its ticks.

A tick is never changed. Two ticks of one thing that didn't know of each other both stand until a later one
knows of both; the latest made counts meanwhile, and the other is shown beside it.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from events.models import Tick, TickKind

Thing = tuple[str, int | None, str]
"""What ticks speak of: their kind, line and task."""


@dataclass(frozen=True, slots=True)
class Folded:
    """What counts of one thing, and what else stands beside it unsettled."""

    tick: Tick
    heads: tuple[uuid.UUID, ...]
    """Every tick that no later one knew of: what the next one settles."""
    rivals: tuple[Tick, ...] = ()
    """Those of them that say something else than the one that counts."""


def folded(ticks: Iterable[Tick]) -> dict[Thing, Folded]:
    """What counts of each thing, whatever the order of arrival. Notes are left out: each stands by itself.

    Of those that no other knew of, the latest made counts; ties by uuid.
    """
    of_thing: dict[Thing, dict[uuid.UUID, Tick]] = defaultdict(dict)
    for each in ticks:
        if each.kind != TickKind.NOTE:
            of_thing[each.kind, each.line_id, each.task][each.uuid] = each
    return {thing: _folded(list(members.values())) for thing, members in of_thing.items()}


def said(tick: Tick) -> tuple[int, ...]:
    """What a tick says in numbers: two that say the same don't contradict each other."""
    return tick.count, tick.mend, tick.broken, tick.lost, tick.used, tick.hands


# --- Private ---


def _folded(members: Sequence[Tick]) -> Folded:
    named = {name for tick in members for name in tick.after or () if name != tick.uuid}
    sweeping = max((_age(tick) for tick in members if tick.after is None), default=None)
    heads = [
        tick for tick in members if tick.uuid not in named and (sweeping is None or _age(tick) >= sweeping)
    ]
    heads = sorted(heads or members, key=_age)
    counts = heads[-1]
    rivals = tuple(tick for tick in heads[:-1] if said(tick) != said(counts))
    return Folded(counts, tuple(tick.uuid for tick in heads), rivals)


def _age(tick: Tick) -> tuple[datetime, uuid.UUID]:
    return tick.made_at, tick.uuid

"""Merging ticks: which tick counts for each line, step and task of an event.

A tick is never changed. Two ticks of one subject that didn't know of each other both stand until a later one
knows of both; the one made last counts meanwhile, and the other is shown beside it.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from events.models import Tick, TickKind

STEP_KINDS: Final = (TickKind.STEP, TickKind.UNDONE)
"""Marking a step and undoing it are ticks of one subject."""
Subject = tuple[str, int | None, str]
"""The subject of a tick: its kind, line and task."""


@dataclass(frozen=True, slots=True)
class Merged:
    """The tick that counts for one subject, and those that contradict it."""

    tick: Tick
    heads: tuple[uuid.UUID, ...]
    """Every tick that no later one knew of: the next one replaces them."""
    rivals: tuple[Tick, ...] = ()
    """Those of them with other numbers than the one that counts."""


def merge_ticks(ticks: Iterable[Tick]) -> dict[Subject, Merged]:
    """The tick that counts for each subject, in whatever order they arrived. Notes are left out: each stands by itself.

    Of those that no other knew of, the latest made counts; ties by uuid.
    """
    by_subject: dict[Subject, dict[uuid.UUID, Tick]] = defaultdict(dict)
    for each in ticks:
        if each.kind != TickKind.NOTE:
            by_subject[_subject(each)][each.uuid] = each
    return {subject: _merged(list(members.values())) for subject, members in by_subject.items()}


def tick_numbers(tick: Tick) -> tuple[int, ...]:
    """The numbers of a tick: two ticks with the same numbers don't contradict each other."""
    return tick.count, tick.mend, tick.broken, tick.lost, tick.used, tick.people


# --- Private ---


def _subject(tick: Tick) -> Subject:
    kind = TickKind.STEP if tick.kind in STEP_KINDS else tick.kind
    return kind, tick.line_id, tick.task


def _merged(members: Sequence[Tick]) -> Merged:
    named = {name for tick in members for name in tick.after or () if name != tick.uuid}
    sweeping = max((_age(tick) for tick in members if tick.after is None), default=None)
    heads = [
        tick for tick in members if tick.uuid not in named and (sweeping is None or _age(tick) >= sweeping)
    ]
    heads = sorted(heads or members, key=_age)
    counts = heads[-1]
    rivals = tuple(tick for tick in heads[:-1] if tick_numbers(tick) != tick_numbers(counts))
    return Merged(counts, tuple(tick.uuid for tick in heads), rivals)


def _age(tick: Tick) -> tuple[datetime, uuid.UUID]:
    return tick.made_at, tick.uuid

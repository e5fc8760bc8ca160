"""The critical path of a network of activities: early and late times, and the slack between them.

Kelley and Walker, *Critical-path planning and scheduling*, Proc. Eastern Joint Computer Conference 1959. Pure.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter


@dataclass(frozen=True, slots=True)
class Activity:
    """Something that takes ``minutes`` and can't start before what stands in ``after`` is done.

    ``not_before`` is the earliest it may start whatever came before, in minutes from the network's origin.
    """

    name: str
    minutes: float
    after: tuple[str, ...] = ()
    not_before: float = 0.0


@dataclass(frozen=True, slots=True)
class Times:
    """Early and late start and finish, in minutes from the network's origin."""

    early_start: float
    early_finish: float
    late_start: float
    late_finish: float

    @property
    def slack(self) -> float:
        """How long it may slip without moving the end; less than nought where the end can't be kept."""
        return self.late_start - self.early_start


class NotANetwork(ValueError):
    """Names that come twice or aren't there, or activities that wait for one another."""


def passes(activities: Sequence[Activity], *, finish: float | None = None) -> dict[str, Times]:
    """Forward and backward pass, in the order given.

    ``finish`` is when all must be done; without it, when all can be done at the earliest. Raises
    :class:`NotANetwork`.

    >>> garland, sign = Activity("garland", 60, after=("frames",)), Activity("sign", 10, after=("frames",))
    >>> work = [Activity("frames", 20), garland, sign]
    >>> {name: each.slack for name, each in passes(work).items()}
    {'frames': 0.0, 'garland': 0.0, 'sign': 50.0}
    """
    network = _network(activities)
    order = _ordered(network)
    early: dict[str, tuple[float, float]] = {}
    for name in order:
        activity = network[name]
        start = max([activity.not_before, *(early[before][1] for before in activity.after)])
        early[name] = (start, start + activity.minutes)
    end = max((finish_ for _, finish_ in early.values()), default=0.0) if finish is None else finish
    late: dict[str, tuple[float, float]] = {}
    followers: dict[str, list[str]] = {name: [] for name in network}
    for activity in activities:
        for before in activity.after:
            followers[before].append(activity.name)
    for name in reversed(order):
        done = min([late[after][0] for after in followers[name]], default=end)
        late[name] = (done - network[name].minutes, done)
    return {activity.name: Times(*early[activity.name], *late[activity.name]) for activity in activities}


def critical(times: Mapping[str, Times], *, within: float = 1e-6) -> tuple[str, ...]:
    """The activities with the least slack: whichever of them slips moves the end.

    >>> critical(passes([Activity("frames", 20), Activity("garland", 60, after=("frames",))]))
    ('frames', 'garland')
    """
    least = min((each.slack for each in times.values()), default=0.0)
    return tuple(name for name, each in times.items() if each.slack <= least + within)


# --- Private ---


def _network(activities: Sequence[Activity]) -> dict[str, Activity]:
    network = {activity.name: activity for activity in activities}
    if len(network) != len(activities):
        raise NotANetwork("Two activities have one name.")
    missing = {before for activity in activities for before in activity.after} - network.keys()
    if missing:
        raise NotANetwork(f"Nobody knows what {', '.join(sorted(missing))} is.")
    return network


def _ordered(network: Mapping[str, Activity]) -> list[str]:
    try:
        return list(TopologicalSorter({name: each.after for name, each in network.items()}).static_order())
    except CycleError as circle:
        raise NotANetwork(f"These wait for one another: {', '.join(circle.args[1])}.") from None

"""Who is out when, kept ready for the question that is asked most: who may take one more booking. Pure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from events.planner.problem import Problem, Worker
from events.planner.rules import Booking, Span, blocks_of_work, may_add, rests


@dataclass(frozen=True, slots=True)
class Out:
    """Somebody's hours: the steps at which they are out or off, as bits; how many steps they are out in all; and for
    each rest the blocks of work that have none in them."""

    away: int
    steps: int
    blocks: tuple[tuple[Span, ...], ...]


class FreeHours:
    """Who is free at what hours. ``bookings_of`` tells somebody's bookings; whoever gets or loses one is forgotten."""

    def __init__(self, problem: Problem, bookings_of: Callable[[str], Sequence[Booking]]) -> None:
        self.problem = problem
        self._bookings_of = bookings_of
        self._off = {worker.key: worker.off for worker in problem.workers}
        self._first = min([reach.first_begin for reach in problem.reach.values()], default=0)
        self._rests = [(rest, most) for _, rest, most in rests(problem)]
        self._known: dict[str, Out] = {}

    def forget(self, who: str) -> None:
        """Somebody's bookings are others now."""
        self._known.pop(who, None)

    def is_free(self, who: str, span: Span) -> bool:
        """Whether somebody, or a van, is neither out nor off at any step of these hours."""
        return not self._out(who).away & self._bits(span)

    def find_able(self, workers: Sequence[Worker], new: Booking) -> list[Worker]:
        """Those who may take one more booking, as :func:`may_add` says."""
        bits, most = self._bits(new.span), self.problem.week - (new.span[1] - new.span[0])
        found = []
        for worker in workers:
            mine = self._out(worker.key)
            if mine.away & bits or not self._rests_enough(mine, new.span):
                continue
            if mine.steps <= most or may_add(self.problem, worker, self._bookings_of(worker.key), new):
                found.append(worker)
        return found

    # --- Private ---

    def _rests_enough(self, mine: Out, span: Span) -> bool:
        """Whether no block of work gets too long by these hours, at which nothing else is booked."""
        begin, end = span
        for (rest, most), blocks in zip(self._rests, mine.blocks, strict=True):
            first, last = begin, end
            for begins, ends in blocks:
                # Asked a million times for one plan: without calls.
                if begin - ends < rest and begins - end < rest:
                    first = min(first, begins)
                    last = max(last, ends)
            if last - first > most:
                return False
        return True

    def _out(self, who: str) -> Out:
        known = self._known.get(who)
        if known is None:
            known = self._known[who] = self._read(who)
        return known

    def _read(self, who: str) -> Out:
        bookings = self._bookings_of(who)
        away = 0
        for span in (*(each.span for each in bookings), *self._off.get(who, ())):
            away |= self._bits(span)
        # A van needs no rest.
        rests_of = self._rests if who in self._off else ()
        blocks = tuple(
            tuple(_whole(block) for block in blocks_of_work(bookings, rest)) for rest, _ in rests_of
        )
        return Out(away, sum(each.span[1] - each.span[0] for each in bookings), blocks)

    def _bits(self, span: Span) -> int:
        """The steps from the first to before the second, none of them before anything of the plan begins."""
        begin, end = span[0] - self._first, span[1] - self._first
        return (1 << max(end, 0)) - (1 << max(begin, 0))


def _whole(block: Sequence[Booking]) -> Span:
    return block[0].span[0], max(each.span[1] for each in block)

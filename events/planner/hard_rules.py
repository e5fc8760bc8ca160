"""The hard rules as the solver sees them: nothing that it adds breaks one; what was set by hand may, at a high cost."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from events.planner.cost_weights import BROKEN
from events.planner.problem import Assigned, Job, Problem, Reach, Week, Worker, hours
from events.planner.rules import (
    Booking,
    Span,
    blocks_of_work,
    is_set_by_hand,
    may_break_by_hand,
    merged,
    rests,
)
from events.planner.variables import Variables

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import IntVar

    from events.planner.variables import Expr


@dataclass(frozen=True, slots=True)
class Shift:
    """A shift that somebody may work, or something else that they do for certain."""

    reach: Reach
    begin: Expr
    end: Expr
    on: Expr
    by_hand: bool
    key: str = ""


@dataclass(frozen=True, slots=True)
class Block:
    """Work without a rest in it that somebody may have: whether, when, and of which shifts."""

    opens: int
    rest: int
    works: IntVar
    first: IntVar
    length: IntVar
    last: IntVar
    on: Mapping[int, IntVar]
    shifts: Sequence[Shift]


class HardRules:
    """The rules of a plan, added to its variables."""

    def __init__(self, variables: Variables) -> None:
        self.variables = variables
        self.problem = variables.problem
        self.model = variables.model
        self.blocks: dict[str, list[Block]] = {worker.key: [] for worker in self.problem.workers}
        for worker in self.problem.workers:
            self._one_place(worker.key, worker.off)
            self._rest_and_hours(worker)
        for van in self.problem.vans:
            self._one_place(van.key, ())
        self._prep_first()

    def hint(self, plan: Mapping[str, Assigned]) -> None:
        """Begin with this plan."""
        spans = hours(self.problem, plan)
        for worker in self.problem.workers:
            mine = [Booking(spans[key], key) for key, done in plan.items() if worker.key in done.people]
            mine += [Booking(span) for span in merged(self.problem.taken_of.get(worker.key, ()))]
            for block in self.blocks[worker.key]:
                self._hint_block(block, mine)

    # --- One place at a time ---

    def _one_place(self, who: str, off: Sequence[Span]) -> None:
        """Nobody and no van in two places, or there when they can't come."""
        taken = self.problem.taken_of.get(who, ())
        fixed, free = self._split(who)
        clear = not (fixed and _may_clash(self.problem, [job for job, _ in fixed], [*off, *taken]))
        intervals = [self.variables.interval(job, there) for job, there in (*free, *(fixed if clear else ()))]
        intervals += [
            self.model.new_fixed_size_interval_var(begin, end - begin, "")
            for begin, end in merged([*off, *taken])
        ]
        self.model.add_no_overlap(intervals)
        if not clear:
            self._allow_clashes([job for job, _ in fixed], free, off, taken)

    def _split(self, who: str) -> tuple[list[tuple[Job, IntVar]], list[tuple[Job, IntVar]]]:
        """The shifts that somebody is on by hand, and those that the planner chooses."""
        mine = list(self.variables.shifts_of(who))
        fixed = [each for each in mine if is_set_by_hand(each[0], who)]
        return fixed, [each for each in mine if not is_set_by_hand(each[0], who)]

    def _allow_clashes(
        self,
        fixed: Sequence[Job],
        free: Sequence[tuple[Job, IntVar]],
        off: Sequence[Span],
        taken: Sequence[Span],
    ) -> None:
        """Nothing is added at the time of what was set by hand; that may clash with itself, at a cost."""
        for job in fixed:
            for other, there in free:
                self.variables.keep_apart(job, other, there)
            if near := [span for span in off if _may_meet(self.problem.reach[job.key], span)]:
                unavailable = self._new_breach()
                for begin, end in near:
                    self.variables.keep_clear(job, begin, end, ~unavailable)
            for begin, end in taken:
                if _may_meet(self.problem.reach[job.key], (begin, end)):
                    self.variables.keep_clear(job, begin, end, ~self._new_breach())
        for first, second in combinations(fixed, 2):
            if _may_meet(self.problem.reach[first.key], _widest(self.problem.reach[second.key])):
                self.variables.keep_apart(first, second, ~self._new_breach())

    def _new_breach(self) -> IntVar:
        broken = self.variables.new_bool()
        self.variables.costs.append(BROKEN * broken)
        return broken

    # --- Rest and hours ---

    def _rest_and_hours(self, worker: Worker) -> None:
        shifts = list(self._shifts(worker))
        may_break = may_break_by_hand(self.problem, worker)
        for _, rest, most in rests(self.problem):
            whole = max((each.reach.last_end for each in shifts), default=0) - min(
                (each.reach.first_begin for each in shifts), default=0
            )
            if whole > most:
                self._add_blocks(worker, shifts, rest, most, may_break)
        for week in self.problem.weeks[worker.key]:
            self._limit_hours(worker, week)

    def _shifts(self, worker: Worker) -> Iterator[Shift]:
        variables = self.variables
        for job, on in variables.shifts_of(worker.key):
            by_hand = is_set_by_hand(job, worker.key)
            begin, end = variables.begin[job.key], variables.end[job.key]
            yield Shift(self.problem.reach[job.key], begin, end, on, by_hand, job.key)
        for begin, end in merged(self.problem.taken_of.get(worker.key, ())):
            reach = Reach(begin, begin, end, end, end - begin, end - begin)
            yield Shift(reach, begin, end, 1, by_hand=True)

    def _add_blocks(
        self, worker: Worker, shifts: Sequence[Shift], rest: int, most: int, may_break: bool
    ) -> None:
        """Whatever somebody works lies in blocks of work of theirs, with a rest between any two of those.

        Two blocks begin more than a rest apart, so that in any span of time as long as a rest at most one begins: each
        such span has room for one here, and nothing is lost by that.
        """
        within: list[list[IntVar]] = [[] for _ in shifts]
        opens_first = min(each.reach.first_begin for each in shifts)
        opens_last = max(each.reach.last_begin for each in shifts)
        mine = []
        for opens in range(opens_first, opens_last + 1, rest + 1):
            block = self._new_block(opens, rest, most, shifts, may_break)
            if block is None:
                continue
            mine.append(block)
            for number, on in block.on.items():
                within[number].append(on)
        self.model.add_no_overlap(
            [
                self.model.new_optional_interval_var(
                    each.first, each.length + rest, each.last + rest, each.works, ""
                )
                for each in mine
            ]
        )
        for shift, blocks in zip(shifts, within, strict=True):
            self.model.add(sum(blocks) == shift.on)
        self.blocks[worker.key] += mine

    def _new_block(
        self, opens: int, rest: int, most: int, shifts: Sequence[Shift], may_break: bool
    ) -> Block | None:
        inside = {
            number: shift
            for number, shift in enumerate(shifts)
            if opens <= shift.reach.last_begin
            and (shift.reach.first_end <= opens + rest + most or (may_break and shift.by_hand))
        }
        if not inside:
            return None
        model, variables = self.model, self.variables
        longest = most
        if may_break:
            over_by_hand = [shift.reach.last_end for shift in inside.values() if shift.by_hand]
            longest = max([most, *(over - opens for over in over_by_hand)])
        block = Block(
            opens,
            rest,
            works=variables.new_bool(),
            first=model.new_int_var(opens, opens + rest, ""),
            length=variables.new_count(longest),
            last=model.new_int_var(opens, opens + rest + longest, ""),
            on={number: variables.new_bool() for number in inside},
            shifts=shifts,
        )
        model.add(block.last == block.first + block.length)
        for number, shift in inside.items():
            on = block.on[number]
            variables.require(shift.begin >= block.first, on)
            variables.require(shift.end <= block.last, on)
            model.add_implication(on, block.works)
        if longest > most:
            self._allow_too_long(block, most, longest)
        if not may_break:
            # It follows from the rest, but the solver sees it sooner so.
            model.add(
                sum(shift.reach.shortest * block.on[number] for number, shift in inside.items()) <= most
            )
        return block

    def _allow_too_long(self, block: Block, most: int, longest: int) -> None:
        """A block of nothing but what was set by hand may be too long, at a cost for every step."""
        over = self.variables.new_count(longest - most)
        too_long = self.variables.new_bool()
        self.model.add(block.length <= most + over)
        self.variables.require(over == 0, ~too_long)
        for number, on in block.on.items():
            if not block.shifts[number].by_hand:
                self.model.add_bool_or(~on, ~too_long)
        self.variables.costs.append(BROKEN * over)

    def _limit_hours(self, worker: Worker, week: Week) -> None:
        """No more than the weekly hours; what was set by hand alone may be more, and nothing is added then."""
        jobs = [job for job in self.problem.jobs if job.key in week.jobs]
        taken = [span for span in self.problem.taken_of.get(worker.key, ()) if span in week.taken]
        worked = sum(self.variables.worked_on(job, worker) for job in jobs) + sum(
            end - begin for begin, end in taken
        )
        by_hand = sum(
            self.problem.reach[job.key].longest for job in jobs if is_set_by_hand(job, worker.key)
        ) + sum(end - begin for begin, end in taken)
        if by_hand <= self.problem.week:
            self.model.add(worked <= self.problem.week)
            return
        over = self.variables.new_count(by_hand)
        too_many = self.variables.new_bool()
        self.model.add(worked <= self.problem.week + over)
        self.variables.require(over == 0, ~too_many)
        for job in jobs:
            if not is_set_by_hand(job, worker.key):
                self.model.add_bool_or(~self.variables.on[job.key, worker.key], ~too_many)
        self.variables.costs.append(BROKEN * over)

    # --- Order ---

    def _prep_first(self) -> None:
        """A shift waits for its prep; where their windows leave no time for that, it may not, at a cost."""
        for job in self.problem.jobs:
            before = self.problem.job.get(job.after)
            if before is None:
                continue
            waits = self.variables.start[job.key] >= self.variables.start[before.key] + before.length
            earliest = before.earliest if before.fixed_start is None else before.fixed_start
            latest = job.latest if job.fixed_start is None else job.fixed_start
            if earliest + before.length > latest:
                self.variables.require(waits, ~self._new_breach())
            else:
                self.model.add(waits)

    # --- Hints ---

    def _hint_block(self, block: Block, bookings: Sequence[Booking]) -> None:
        begun = [
            each
            for each in blocks_of_work(bookings, block.rest)
            if block.opens <= each[0].span[0] <= block.opens + block.rest
        ]
        first, last = block.opens, block.opens
        if begun:
            first, last = begun[0][0].span[0], max(booking.span[1] for booking in begun[0])
        inside = {(booking.job, booking.span) for booking in begun[0]} if begun else set()
        jobs = {key for key, _ in inside}
        hint = self.model.add_hint
        hint(block.works, bool(begun))
        hint(block.first, first)
        hint(block.length, last - first)
        hint(block.last, last)
        for number, on in block.on.items():
            shift = block.shifts[number]
            hint(on, shift.key in jobs if shift.key else ("", _widest(shift.reach)) in inside)


# --- Private ---


def _may_clash(problem: Problem, fixed: Sequence[Job], out: Sequence[Span]) -> bool:
    """Whether two of these could be at one time, or one of them in hours that are taken."""
    reaches = [problem.reach[job.key] for job in fixed]
    return any(_may_meet(first, _widest(second)) for first, second in combinations(reaches, 2)) or any(
        _may_meet(reach, span) for reach in reaches for span in out
    )


def _widest(reach: Reach) -> Span:
    return reach.first_begin, reach.last_end


def _may_meet(reach: Reach, span: Span) -> bool:
    return reach.first_begin < span[1] and span[0] < reach.last_end

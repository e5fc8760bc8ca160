"""The question as OR-tools' CP-SAT sees it: what can't be filled stays visible as missing, so that there is a plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from events.planner.board import working_days
from events.planner.problem import (
    A_DAY,
    CHANGED,
    DRIVING,
    EARLY,
    LONGEST_WAIT,
    MISSING,
    MOVED,
    OVERTIME,
    UNFAIR,
    USUAL_DAY,
    WORK,
    Assigned,
    Job,
    Problem,
    Tour,
    Worker,
    day_of,
    driving_saved,
    hours,
    late_pieces,
    people_needed,
    work_saved,
)
from events.planner.shortage import shortages


@dataclass(frozen=True, slots=True)
class Day:
    """A working day that somebody may have: whether they do, from when, how long, until when, and what is in it."""

    opens: int
    works: Any
    first: Any
    length: Any
    last: Any
    on: Mapping[str, Any]


class Model:
    """The variables and rules. ``by_hand`` names workers whose shifts were so put down by hand that no rest is left
    between them: those stay, and nothing is added within a rest of them."""

    def __init__(self, problem: Problem, by_hand: frozenset[str] = frozenset()) -> None:
        from ortools.sat.python import cp_model

        self.problem = problem
        self.by_hand = by_hand
        self.model = cp_model.CpModel()
        self.domain = cp_model.Domain
        self.costs: list[Any] = []
        self.start: dict[str, Any] = {}
        self.on: dict[tuple[str, str], Any] = {}
        self.van: dict[tuple[str, str], Any] = {}
        self.lacks: dict[tuple[str, str], Any] = {}
        self.jobs = {job.key: job for job in problem.jobs}
        self.goes: dict[Tour, Any] = {each: self.model.new_bool_var(f"{each}") for each in problem.tours}
        self.begin: dict[str, Any] = {}
        self.end: dict[str, Any] = {}
        self.late: dict[Tour, Any] = {}
        self.over: dict[int, list[Any]] = {}
        self.together: dict[tuple[Tour, str], Any] = {}
        self.days: dict[str, list[Day]] = {worker.key: [] for worker in problem.workers}
        for job in problem.jobs:
            self._add_job(job)
        self._tours()
        self._nobody_twice()
        self._rest()
        self._order()
        self._fair()
        self._too_few()
        self._what_tours_cost()
        self.model.minimize(sum(self.costs))

    def hint(self, plan: Mapping[str, Assigned]) -> None:
        """Begin with this plan."""
        hint = self.model.add_hint
        for job in self.problem.jobs:
            done = plan[job.key]
            hint(self.start[job.key], done.start)
            for worker in self.problem.workers:
                hint(self.on[job.key, worker.key], worker.key in done.people)
            for van in self.problem.vans:
                if (job.key, van.key) in self.van:
                    hint(self.van[job.key, van.key], van.key == done.van)
        for each, goes in self.goes.items():
            hint(goes, plan[each.then].comes_from == each.first)
        too_late = late_pieces(self.problem, plan)
        for each, late in self.late.items():
            hint(late, each in too_late)
        for worker in self.problem.workers:
            self._hint_days(worker, plan)

    def plan(self, solver: Any) -> dict[str, Assigned]:
        """What the solver found."""
        return {job.key: self._assigned(job, solver) for job in self.problem.jobs}

    # --- Private ---

    def _add_job(self, job: Job) -> None:
        model = self.model
        spans = job.starts or ((job.earliest, job.latest),)
        if job.fixed_start is not None:
            spans = ((job.fixed_start, job.fixed_start),)
        domain = self.domain.from_intervals([list(span) for span in spans])
        self.start[job.key] = start = model.new_int_var_from_domain(domain, job.key)
        self._add_hours(job)
        for worker in self.problem.workers:
            self.on[job.key, worker.key] = model.new_bool_var(f"{worker.key} on {job.key}")
            if worker.key in job.fixed_people:
                model.add(self.on[job.key, worker.key] == 1)
            elif worker.key in job.not_people:
                model.add(self.on[job.key, worker.key] == 0)
            elif worker.key in job.before_people:
                self.costs.append(CHANGED * (1 - self.on[job.key, worker.key]))
        there = sum(self.on[job.key, worker.key] for worker in self.problem.workers)
        self.costs.append(WORK * job.length * there)
        hands = people_needed(job)
        short = self._lack(job, "hands", hands)
        # On a tour nobody is left behind, though one of its shifts needs fewer.
        more = sum((self._crew(each) - hands) * goes for each, goes in self._tours_of(job))
        model.add(there + short == hands + more)
        for skill in job.skills:
            able = [self.on[job.key, each.key] for each in self.problem.workers if skill in each.skills]
            model.add(sum(able) + self._lack(job, f"skill {skill}", 1) >= 1)
        if job.needs_van:
            self._add_van(job, there)
        if job.before_start is not None:
            stays = model.new_bool_var(f"{job.key} isn't moved")
            model.add(start == job.before_start).only_enforce_if(stays)
            self.costs.append(MOVED * (1 - stays))
        self.costs.append(EARLY * (job.latest - start if job.late_is_better else start - job.earliest))

    def _lack(self, job: Job, what: str, most: int) -> Any:
        self.lacks[job.key, what] = lack = self.model.new_int_var(0, most, f"{job.key} lacks {what}")
        self.costs.append(MISSING * lack)
        return lack

    def _add_van(self, job: Job, there: Any) -> None:
        for van in self.problem.vans:
            if van.takes(job) or van.key == job.fixed_van:
                self.van[job.key, van.key] = goes = self.model.new_bool_var(f"{van.key} for {job.key}")
                if van.key == job.fixed_van:
                    self.model.add(goes == 1)
                self.model.add(there <= max(van.seats, len(job.fixed_people))).only_enforce_if(goes)
                self.costs.append(DRIVING * 2 * job.drive * goes)
        chosen = [goes for (key, _), goes in self.van.items() if key == job.key]
        self.model.add(sum(chosen) + self._lack(job, "van", 1) == 1)
        if job.before_van:
            stays = self.van.get((job.key, job.before_van))
            self.costs.append(CHANGED if stays is None else CHANGED * (1 - stays))

    # --- Rounds ---

    def _tours_of(self, job: Job) -> list[tuple[Tour, Any]]:
        return [(each, goes) for each, goes in self.goes.items() if job.key in (each.first, each.then)]

    def _crew(self, each: Tour) -> int:
        return max(people_needed(self.jobs[each.first]), people_needed(self.jobs[each.then]))

    def _add_hours(self, job: Job) -> None:
        """From when to when whoever is on it works: a tour moves both."""
        start = self.start[job.key]
        begin, end = start, start + job.length
        for each, goes in self._tours_of(job):
            if job.key == each.first:
                begin, end = begin - each.loads * goes, end - job.home * goes
            else:
                begin = begin + (job.out - each.drive) * goes
        if not self._tours_of(job):
            self.begin[job.key], self.end[job.key] = begin, end
            return
        span = _Reach(job, self.problem)
        self.begin[job.key] = self.model.new_int_var(span.first_begin, span.last_begin, f"{job.key} begins")
        self.end[job.key] = self.model.new_int_var(span.first_end, span.last_end, f"{job.key} ends")
        self.model.add(self.begin[job.key] == begin)
        self.model.add(self.end[job.key] == end)

    def _tours(self) -> None:
        model, known = self.model, self.jobs
        for job in self.problem.jobs:
            if len(of_job := self._tours_of(job)) > 1:
                model.add_at_most_one(goes for _, goes in of_job)
        for each, goes in self.goes.items():
            first, then = known[each.first], known[each.then]
            self._one_crew_and_van(each, goes)
            left, sets_out = self.start[first.key] + first.length - first.home, self.begin[then.key]
            model.add(sets_out >= left).only_enforce_if(goes)
            model.add(sets_out <= left + LONGEST_WAIT).only_enforce_if(goes)
            if each.prep:
                ready = self.start[each.prep] + known[each.prep].length
                model.add(self.begin[first.key] >= ready).only_enforce_if(goes)
            if each.brings_pieces:
                self.late[each] = late = model.new_bool_var(f"{each} is late")
                model.add(self.start[then.key] >= self.start[first.key] + first.length).only_enforce_if(
                    ~goes, ~late
                )
                self.costs.append(MISSING * late)
            saved = DRIVING * driving_saved(each, known) + WORK * self._crew(each) * work_saved(each, known)
            self.costs.append(-saved * goes)

    def _one_crew_and_van(self, each: Tour, goes: Any) -> None:
        """Whoever and whatever is on the one is on the other, and nothing is missing there."""
        model, pair = self.model, (each.first, each.then)
        for worker in self.problem.workers:
            model.add(self.on[each.first, worker.key] == self.on[each.then, worker.key]).only_enforce_if(goes)
        for van in self.problem.vans:
            there = [self.van.get((key, van.key)) for key in pair]
            holds_it = van.volume_m3 is None or each.volume_m3 <= van.volume_m3
            if holds_it and there[0] is not None and there[1] is not None:
                model.add(there[0] == there[1]).only_enforce_if(goes)
                continue
            for sent in there:
                if sent is not None:
                    model.add(sent == 0).only_enforce_if(goes)
        for (key, _), lack in self.lacks.items():
            if key in pair:
                model.add(lack == 0).only_enforce_if(goes)

    def _what_tours_cost(self) -> None:
        """What follows from the rules above, told beforehand as the solver sees it late: the waiting that a tour asks
        for, and the overtime of whoever does both of its shifts on one day."""
        over: dict[int, list[Any]] = {}
        for each, goes in self.goes.items():
            first, then = self.jobs[each.first], self.jobs[each.then]
            later = self.start[first.key] - first.earliest + self.start[then.key] - then.earliest
            self.model.add(later >= _least_later(each, first, then) * goes)
            if day_of(first) == day_of(then):
                worked = first.length + then.length - work_saved(each, self.jobs)
                beyond = max(0, worked - USUAL_DAY) * self._crew(each)
                over.setdefault(day_of(first), []).append(beyond * goes)
        for day, least in over.items():
            self.model.add(sum(self.over[day]) >= sum(least))

    # --- Hours ---

    def _nobody_twice(self) -> None:
        """Nobody and no van in two places; nobody when they can't come. What was fixed by hand is minded as it is."""
        fixed = {(job.key, who) for job in self.problem.jobs for who in job.fixed_people} | {
            (job.key, job.fixed_van) for job in self.problem.jobs if job.fixed_van
        }
        off = {worker.key: list(worker.off) for worker in self.problem.workers}
        for key, begin, end in self.problem.taken:
            off.setdefault(key, []).append((begin, end))
        by_one: dict[str, list[Any]] = {}
        for (job, who), there in (*self.on.items(), *self.van.items()):
            span = self._interval(self.jobs[job], there, f"{who} at {job}")
            by_one.setdefault(who, [])
            if (job, who) not in fixed:
                by_one[who].append(span)
                continue
            # Two fixed by hand may clash: that is shown as a conflict, not planned away.
            for other, there_too in self._of(who):
                if other != job and (other, who) not in fixed:
                    self._apart(job, other, there_too)
        for who, spans in by_one.items():
            blocked = [
                self.model.new_fixed_size_interval_var(begin, end - begin, f"{who} is off")
                for begin, end in _merged(off.get(who, []))
                if end > begin
            ]
            self.model.add_no_overlap([*spans, *blocked])

    def _of(self, who: str) -> list[tuple[str, Any]]:
        return [(job, there) for (job, key), there in (*self.on.items(), *self.van.items()) if key == who]

    def _interval(self, job: Job, there: Any, name: str) -> Any:
        if not self._tours_of(job):
            return self.model.new_optional_fixed_size_interval_var(
                self.start[job.key], job.length, there, name
            )
        span = _Reach(job, self.problem)
        size = self.model.new_int_var(span.shortest, span.longest, f"{name}, how long")
        return self.model.new_optional_interval_var(self.begin[job.key], size, self.end[job.key], there, name)

    def _apart(self, first: str, second: str, there: Any) -> None:
        before = self.model.new_bool_var("")
        self.model.add(self.end[first] <= self.begin[second]).only_enforce_if(before, there)
        self.model.add(self.end[second] <= self.begin[first]).only_enforce_if(~before, there)

    def _rest(self) -> None:
        """Whatever somebody works lies in working days of theirs, with a rest between any two of those.

        Two working days begin more than a rest apart, so that in any span of time as long as a rest at most one
        begins: each such shift has room for one here, and nothing is lost by that.
        """
        for worker in self.problem.workers:
            fixed = sum(job.length for job in self.problem.jobs if worker.key in job.fixed_people)
            self.model.add(self._worked(worker) <= max(self.problem.week, fixed))
            if self.problem.rest:
                self._working_days(worker)

    def _worked(self, worker: Worker) -> Any:
        return sum(self._worked_on(job, worker) for job in self.problem.jobs)

    def _worked_on(self, job: Job, worker: Worker) -> Any:
        """Steps that somebody works on a shift, with what the tour that it is on saves or adds."""
        steps = job.length * self.on[job.key, worker.key]
        for each, _ in self._tours_of(job):
            saved = job.home - each.loads if job.key == each.first else job.out - each.drive
            steps = steps - saved * self._on_tour(each, worker)
        return steps

    def _on_tour(self, each: Tour, worker: Worker) -> Any:
        """Whether the tour is gone and they are on it."""
        if (each, worker.key) not in self.together:
            goes, on = self.goes[each], self.on[each.first, worker.key]
            self.together[each, worker.key] = both = self.model.new_bool_var(f"{worker.key} on {each}")
            self.model.add_implication(both, goes)
            self.model.add_implication(both, on)
            self.model.add_bool_or(both, ~goes, ~on)
        return self.together[each, worker.key]

    def _working_days(self, worker: Worker) -> None:
        model, rest = self.model, self.problem.rest
        most = A_DAY - rest
        jobs = self._to_rest_between(worker)
        reach = {job.key: _Reach(job, self.problem) for job in jobs}
        within: dict[str, list[Any]] = {job.key: [] for job in jobs}
        opens_first = min((each.first_begin for each in reach.values()), default=0)
        opens_last = max((each.last_begin for each in reach.values()), default=0)
        for opens in range(opens_first, opens_last + 1, rest + 1):
            mine = [
                job
                for job in jobs
                if opens <= reach[job.key].last_begin and reach[job.key].first_end <= opens + rest + most
            ]
            if not mine:
                continue
            day = Day(
                opens,
                works=model.new_bool_var(""),
                first=model.new_int_var(opens, opens + rest, ""),
                length=model.new_int_var(0, most, ""),
                last=model.new_int_var(opens, opens + rest + most, ""),
                on={job.key: model.new_bool_var("") for job in mine},
            )
            model.add(day.last == day.first + day.length)
            for job in mine:
                on = day.on[job.key]
                model.add(self.begin[job.key] >= day.first).only_enforce_if(on)
                model.add(self.end[job.key] <= day.last).only_enforce_if(on)
                model.add_implication(on, day.works)
                within[job.key].append(on)
            model.add(sum(reach[job.key].shortest * day.on[job.key] for job in mine) <= most)
            self.days[worker.key].append(day)
        model.add_no_overlap(
            [
                model.new_optional_interval_var(day.first, day.length + rest, day.last + rest, day.works, "")
                for day in self.days[worker.key]
            ]
        )
        for job in jobs:
            model.add(sum(within[job.key]) == self.on[job.key, worker.key])

    def _to_rest_between(self, worker: Worker) -> list[Job]:
        """The shifts that are in working days of theirs: all, unless what was fixed by hand leaves no rest."""
        if worker.key not in self.by_hand:
            return list(self.problem.jobs)
        fixed = [job for job in self.problem.jobs if worker.key in job.fixed_people]
        others = [job for job in self.problem.jobs if worker.key not in job.fixed_people]
        for job in others:
            if not all(self._always_rest_apart(job, each) for each in fixed):
                self.model.add(self.on[job.key, worker.key] == 0)
        return others

    def _always_rest_apart(self, one: Job, other: Job) -> bool:
        first, second = _Reach(one, self.problem), _Reach(other, self.problem)
        rest = self.problem.rest
        return second.first_begin - first.last_end >= rest or first.first_begin - second.last_end >= rest

    def _too_few(self) -> None:
        for shortage in shortages(self.problem):
            what = f"skill {shortage.skill}" if shortage.skill else "hands"
            missing = sum(weight * self.lacks[key, what] for key, weight in shortage.weights.items())
            self.model.add(missing >= shortage.least)

    def _order(self) -> None:
        known = {job.key: job for job in self.problem.jobs}
        for job in self.problem.jobs:
            before = known.get(job.after)
            if before and not (job.fixed_start is not None and before.fixed_start is not None):
                self.model.add(self.start[job.key] >= self.start[before.key] + before.length)

    def _fair(self) -> None:
        total = sum(job.length for job in self.problem.jobs)
        if not self.problem.workers:
            return
        most, least = (self.model.new_int_var(0, total, name) for name in ("most", "least"))
        days = sorted({day_of(job) for job in self.problem.jobs})
        for worker in self.problem.workers:
            mine = [(job, self._worked_on(job, worker)) for job in self.problem.jobs]
            worked = self._worked(worker)
            self.model.add(worked <= most)
            self.model.add(worked >= least)
            for day in days:
                steps = sum(worked_on for job, worked_on in mine if day_of(job) == day)
                over = self.model.new_int_var(0, total, f"{worker.key} over on {day}")
                self.model.add(over >= steps - USUAL_DAY)
                self.costs.append(OVERTIME * over)
                self.over.setdefault(day, []).append(over)
        self.costs.append(UNFAIR * (most - least))

    def _hint_days(self, worker: Worker, plan: Mapping[str, Assigned]) -> None:
        mine = {
            key: span for key, span in hours(self.problem, plan).items() if worker.key in plan[key].people
        }
        worked = list(working_days(mine.values(), self.problem.rest))
        for day in self.days[worker.key]:
            begun = [each for each in worked if day.opens <= each[0] <= day.opens + self.problem.rest]
            first, last = begun[0] if begun else (day.opens, day.opens)
            self.model.add_hint(day.works, bool(begun))
            self.model.add_hint(day.first, first)
            self.model.add_hint(day.length, last - first)
            self.model.add_hint(day.last, last)
            for key, on in day.on.items():
                self.model.add_hint(on, bool(begun) and key in mine and first <= mine[key][0] < last)

    def _assigned(self, job: Job, solver: Any) -> Assigned:
        people = [each.key for each in self.problem.workers if solver.value(self.on[job.key, each.key])]
        vans = [van for (key, van), goes in self.van.items() if key == job.key and solver.value(goes)]
        lacks = {what: solver.value(lack) for (key, what), lack in self.lacks.items() if key == job.key}
        return Assigned(
            start=solver.value(self.start[job.key]),
            people=tuple(people),
            van=vans[0] if vans else None,
            missing_hands=lacks["hands"],
            missing_skills=tuple(skill for skill in job.skills if lacks[f"skill {skill}"]),
            missing_van=bool(lacks.get("van")),
            comes_from=next(
                (
                    each.first
                    for each, goes in self.goes.items()
                    if each.then == job.key and solver.value(goes)
                ),
                "",
            ),
        )


def _least_later(each: Tour, first: Job, then: Job) -> int:
    """How much later than they could the two start at least, in all, to meet."""
    left = first.earliest + first.length - first.home
    sets_out = then.earliest + then.out - each.drive
    return max(0, left - sets_out, sets_out - left - LONGEST_WAIT)


class _Reach:
    """Within what a shift's hours lie, whatever tour it is on."""

    def __init__(self, job: Job, problem: Problem) -> None:
        on = [each for each in problem.tours if job.key in (each.first, each.then)]
        moves = [-each.loads if each.first == job.key else job.out - each.drive for each in on]
        earlier, later = max(0, -min(moves, default=0)), max(0, max(moves, default=0))
        sooner_over = job.home if any(each.first == job.key for each in on) else 0
        earliest = job.earliest if job.fixed_start is None else job.fixed_start
        latest = job.latest if job.fixed_start is None else job.fixed_start
        self.first_begin, self.last_begin = earliest - earlier, latest + later
        self.first_end, self.last_end = earliest + job.length - sooner_over, latest + job.length
        self.shortest = job.length - max(later, sooner_over)
        self.longest = job.length + earlier


def _merged(spans: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    for begin, end in sorted(spans):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((begin, end))
    return found

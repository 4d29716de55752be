"""The end of a running job, target by target: distributions, and the figures shown of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from costlearn.models.distribution import Draws, Interval, LogSpread
from costlearn.models.earned import Earned
from costlearn.models.midjob import Topped
from costlearn.questions.learning import LEVELS
from costlearn.questions.running.stage import (
    TIME_TARGETS,
    Now,
    PhaseTable,
    Rest,
    Standing,
    cost_ends,
    now_of,
    phase_table,
    rest_days,
    rest_of,
)
from costlearn.questions.running.unplanned import Ahead, without_plan
from costlearn.records import History, Job
from costlearn.workdays import Workdays

CURVE = tuple(round(p / 100, 2) for p in range(1, 100))
MOST_SURE = 9
"""With fewer finished jobs than this no 90 % range is shown."""
Ends = Topped | Draws


@dataclass(frozen=True)
class Landing:
    """Where the job ends in one target: spent so far, plan with changes, middle, ranges, curve."""

    target: str
    so_far: float
    plan: float | None
    median: float
    intervals: tuple[Interval, ...]
    curve: tuple[float, ...]
    jobs: int

    @property
    def main(self) -> Interval:
        """The 80 % range."""
        return next(i for i in self.intervals if i.level == 0.8)


@dataclass(frozen=True)
class Measured:
    """The running job against the finished ones in one target.

    ``rest`` by the plan of its phases, else ``ahead`` by phase models alone.
    """

    target: str
    table: PhaseTable
    now: Now
    rest: Rest | None
    ahead: Ahead | None = None

    @property
    def jobs(self) -> tuple[Job, ...]:
        """The finished jobs it is learned from."""
        return self.table.jobs if self.ahead is None else self.ahead.jobs

    @property
    def ends(self) -> Ends | None:
        """What the job comes to in all."""
        if self.rest is not None:
            return cost_ends(self.now, self.rest)
        return None if self.ahead is None else self.ahead.ends


@dataclass(frozen=True)
class Spoken:
    """All targets that could be foretold: what is shown, the distributions, the days to come."""

    landings: tuple[Landing, ...] = ()
    ends: Mapping[str, Ends] = field(default_factory=dict)
    days: LogSpread | None = None


def measured(history: History, job: Job, found: Sequence[Standing], target: str) -> Measured | None:
    """The job in money or person-days; None where nothing can be said."""
    table = phase_table(history.usable, target, [s.phase for s in found])
    now = now_of(job, table, found)
    rest = rest_of(table, now)
    if rest is not None:
        return Measured(target, table, now, rest)
    ahead = None
    if any(s.done < 1 for s in found):
        ahead = without_plan(history, job, found, target)
    return None if ahead is None else Measured(target, table, now, None, ahead)


def spoken(
    job: Job,
    found: Sequence[Standing],
    parts: Mapping[str, Measured],
    since: date | None,
    workdays: Workdays,
) -> Spoken:
    """Every target of the job that can be foretold."""
    landings, ends = [], {}
    for target, one in parts.items():
        end = one.ends
        if end is not None:
            plan = one.now.budget or None
            landings.append(_landing(target, end, one.now.so_far, plan, len(one.jobs)))
            ends[target] = end
    days = None
    work = parts.get("person_days")
    if work is not None and work.rest is not None:
        ahead = [s.phase for s in found if s.done < 1]
        for target in TIME_TARGETS:
            rest = rest_days(work.table, job, work.now, target, ahead)
            so_far = days_so_far(job, target, since, workdays)
            if rest is None:
                continue
            if target == "elapsed_days":
                days = rest[0]
            if so_far is not None:
                end = Topped(so_far, rest[0])
                plan = getattr(job.plan, target)
                landings.append(_landing(target, end, so_far, plan, rest[1]))
                ends[target] = end
    return Spoken(tuple(landings), ends, days)


def days_so_far(job: Job, target: str, since: date | None, workdays: Workdays) -> float | None:
    """Site days on record; working days from the start to the day it is counted from."""
    if target == "elapsed_days" and job.started is not None and since is not None:
        return float(max(workdays.between(job.started - timedelta(days=1), since), 0))
    value: float | None = getattr(job.actual, target)
    return value


def index_of_job(
    job: Job, found: Sequence[Standing], since: date | None, workdays: Workdays
) -> Earned | None:
    """The four figures of the standard index arithmetic, in money; None without a plan by phase.

    What was planned by now is the budget spread evenly over the planned working days.
    """
    now = now_of(job, phase_table((), "cost", [s.phase for s in found]), found)
    if now.budget <= 0:
        return None
    planned = None
    gone = days_so_far(job, "elapsed_days", since, workdays)
    if job.plan.elapsed_days and gone is not None:
        planned = now.budget * min(gone / job.plan.elapsed_days, 1.0)
    return Earned(now.budget, now.earned, now.so_far, planned)


def _landing(target: str, ends: Ends, so_far: float, plan: float | None, jobs: int) -> Landing:
    return Landing(
        target,
        so_far,
        plan,
        ends.median,
        tuple(ends.interval(v) for v in LEVELS if v < 0.9 or jobs >= MOST_SURE),
        tuple(float(ends.quantile(p)) for p in CURVE),
        jobs,
    )

"""What a phase is held against: its plan with approved changes, or what history says of its scope.

A record with a plan is judged by the plan. Where a job wrote no plan for a phase, the phase's own
model, fitted to the other jobs alone, says what was to be expected of that scope; such a record
tells how a job differs from its likes, never whether plans are too low, so it is kept apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import exp, isclose

from costlearn.features import measures as ms
from costlearn.models.distribution import Floats
from costlearn.models.regression import PriorRegression
from costlearn.questions.byphase import phase_total
from costlearn.questions.learning import at_prices, index_of, latest, terms_of
from costlearn.records import History, Job, PhaseRecord
from costlearn.vocabulary import UNASSIGNED

TARGETS = ("cost", "person_days")
PLAN, HISTORY = "plan", "history"
FEWEST_ALIKE = 8
"""With fewer jobs than this a phase's model says too little to hold a record against it."""
NEWEST = 2000
"""At most so many of the newest jobs teach what is to be expected of a scope, or what drives it."""


@dataclass(frozen=True, slots=True)
class Record:
    """One phase of one job against its baseline; ``exact`` if equal to its plan to the cent.

    ``planned`` holds approved changes, of which ``changed`` is the sum. ``baseline`` is "plan", or
    "history" where nobody wrote a plan.
    """

    job: str
    phase: str
    planned: float
    actual: float
    exact: bool
    changed: float = 0.0
    baseline: str = PLAN
    day: date | None = None

    @property
    def ratio(self) -> float:
        """Actual over baseline: 1.0 is as planned, or as expected."""
        return self.actual / self.planned


def records_of(jobs: Sequence[Job], target: str) -> tuple[Record, ...]:
    """Every known phase of every job that has both plan and actual of a target."""
    return tuple(
        record
        for job in jobs
        for phase in job.phases
        if phase.phase != UNASSIGNED and (record := _record(job, phase, target)) is not None
    )


def unplanned_records(history: History, target: str) -> tuple[Record, ...]:
    """Every phase that was built without a plan, against what the other jobs say of its scope.

    Only jobs that say a floor area or a scope can be compared; a phase needs eight of them.
    """
    jobs = [j for j in history.usable if j.area_sqft or j.scope][-NEWEST:]
    wanted: dict[str, set[str]] = {}
    having: dict[str, list[tuple[Job, float]]] = {}
    for job in jobs:
        for phase in job.phases:
            actual = phase_total(phase.actual, target)
            if actual is None or phase.books_closed is False or phase.phase == UNASSIGNED:
                continue
            having.setdefault(phase.phase, []).append((job, actual))
            if phase_total(phase.plan, target) is None:
                wanted.setdefault(phase.phase, set()).add(job.key)
    return tuple(
        Record(job.key, phase, actual / exp(error), actual, False, 0.0, HISTORY, job.day)
        for phase, keys in wanted.items()
        if len(having[phase]) >= FEWEST_ALIKE
        for (job, actual), error in zip(
            having[phase], _left_out(history, having[phase], phase, target), strict=True
        )
        if job.key in keys
    )


def _left_out(
    history: History, having: Sequence[tuple[Job, float]], phase: str, target: str
) -> Floats:
    """Log of actual over expected of each job, expected from the other jobs."""
    drift = 0.0 if target == "cost" and index_of(history) else None
    measured = ms.measure([j for j, _ in having], None, target=target, drift=drift)
    columns = tuple(c.in_phase(phase) for c in measured.columns)
    totals = at_prices(history, having, target, latest(history.usable))
    return PriorRegression(terms_of(columns)).fit(measured.frame, totals).loo_.residuals


def jobs_per_year(jobs: Sequence[Job]) -> float | None:
    """Finished jobs a year over the dates on file; None with less than a year of them."""
    days = sorted(d for j in jobs if (d := j.finished or j.day))
    if len(days) < 2 or (days[-1] - days[0]).days < 365:
        return None
    return (len(days) - 1) / ((days[-1] - days[0]).days / 365.25)


def changes_of(job: Job, phase: str, target: str) -> float:
    """What approved changes add to a phase, in currency units or person-days."""
    if not job.changes:
        return 0.0
    mine = [c for c in job.changes if c.state == "approved" and c.phase == phase]
    if target == "cost":
        return sum(c.cost or 0 for c in mine) / 100
    return sum(c.days or 0.0 for c in mine)


def _record(job: Job, phase: PhaseRecord, target: str) -> Record | None:
    plan, actual = phase_total(phase.plan, target), phase_total(phase.actual, target)
    if plan is None or actual is None or phase.books_closed is False:
        return None
    changed = changes_of(job, phase.phase, target)
    plan += changed
    if plan <= 0:
        return None
    exact = isclose(plan, actual, abs_tol=0.005)
    return Record(job.key, phase.phase, plan, actual, exact, changed, PLAN, job.day)

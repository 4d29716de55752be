"""On which day a running job finishes, and the odds of the promised day, on the firm's calendar."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from costlearn.models.distribution import Interval, LogSpread
from costlearn.records import Job
from costlearn.workdays import Workdays, whole_days


@dataclass(frozen=True)
class Finish:
    """The last day on site: counted from the evening of ``since``; 80 % range and middle.

    ``promised`` is the stated day, or the one the planned days lead to (``stated`` False), with the
    chance to keep it.
    """

    since: date
    early: date
    middle: date
    late: date
    promised: date | None
    stated: bool
    chance: float | None


def last_on_file(job: Job, workdays: Workdays) -> date | None:
    """The last day a running job's records speak of: its start plus the working days so far."""
    if job.started is None:
        return None
    return workdays.after(job.started - timedelta(days=1), job.actual.elapsed_days or 1.0)


def promised_by_plan(job: Job, workdays: Workdays) -> date | None:
    """The day the planned working days lead to, counted from the first day on site."""
    if job.started is None or not job.plan.elapsed_days:
        return None
    return workdays.after(job.started - timedelta(days=1), job.plan.elapsed_days)


def finish_of(
    job: Job, rest: LogSpread, since: date, promised: date | None, workdays: Workdays
) -> Finish:
    """When a job finishes, from the working days still to come after a day."""
    ends: Interval = rest.interval(0.8)
    due = promised or promised_by_plan(job, workdays)
    chance = None if due is None else _chance(rest, workdays.between(since, due))
    return Finish(
        since,
        workdays.after(since, ends.low),
        workdays.after(since, rest.median),
        workdays.after(since, ends.high),
        due,
        promised is not None,
        chance,
    )


def _chance(rest: LogSpread, days: int) -> float:
    """The chance that no more than so many working days are still to come."""
    return rest.cdf(whole_days(float(days))) if days > 0 else 0.0

"""On which day a running job finishes, and the odds of the promised day; Monday to Friday count."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

import numpy as np

from costlearn.models.distribution import Interval, LogSpread
from costlearn.records import Job


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


def last_on_file(job: Job) -> date | None:
    """The last day a running job's records speak of: its start plus the working days so far."""
    if job.started is None:
        return None
    return after(job.started - timedelta(days=1), job.actual.elapsed_days or 1.0)


def promised_by_plan(job: Job) -> date | None:
    """The day the planned working days lead to, counted from the first day on site."""
    if job.started is None or not job.plan.elapsed_days:
        return None
    return after(job.started - timedelta(days=1), job.plan.elapsed_days)


def finish_of(job: Job, rest: LogSpread, since: date, promised: date | None) -> Finish:
    """When a job finishes, from the working days still to come after a day."""
    ends: Interval = rest.interval(0.8)
    due = promised or promised_by_plan(job)
    chance = None if due is None else rest.cdf(float(days_between(since, due)))
    return Finish(
        since,
        after(since, ends.low),
        after(since, rest.median),
        after(since, ends.high),
        due,
        promised is not None,
        chance,
    )


def after(day: date, working_days: float) -> date:
    """The working day on which so many days of work after a day are done.

    >>> after(date(2026, 10, 30), 1.2)  # a Friday: Monday is one, Tuesday holds the rest
    datetime.date(2026, 11, 3)
    """
    offset = max(ceil(working_days - 1e-9), 0)
    found: date = np.busday_offset(day, offset, roll="backward").astype(date)
    return found


def days_between(day: date, later: date) -> int:
    """Working days after a day, up to and with a later one; below zero if that is past.

    >>> days_between(date(2026, 10, 30), date(2026, 11, 3))
    2
    """
    if later < day:
        return -days_between(later, day)
    one = timedelta(days=1)
    return int(np.busday_count(day + one, later + one))

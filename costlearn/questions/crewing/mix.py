"""The jobs of a year as past ones were: days alone, waits, what each leaves after bought cost."""

from __future__ import annotations

from datetime import date

import numpy as np

from costlearn.features import measures as ms
from costlearn.models.crew_year import Mix
from costlearn.questions.calendar import usual_wait
from costlearn.questions.crewing.job import DRAWS
from costlearn.questions.crewing.speedup import Speedup
from costlearn.questions.earning.level import price_level
from costlearn.records import History, Job

NEWEST = 30
"""So many last jobs tell what a job leaves after bought cost: older ones were of another trade."""
MIN_TOLD = 3


def mix_of(
    history: History,
    found: Speedup,
    stated: float | None,
    days: float,
    rng: np.random.Generator,
    on: date | None = None,
) -> tuple[Mix, str]:
    """Means of a year's jobs, drawn from the jobs on file, and at which prices their money is.

    A year holds few jobs, and the file is a sample too: drawn are as many as make the spread of the
    mean that of both together.

    Args:
        history: the firm's jobs.
        found: what a second person does, which brings days of crews to days alone.
        stated: what an average job leaves, if the owner says so; in the place of the jobs on file.
        days: working days in a year.
        rng: draws the jobs.
        on: the date to whose prices money is brought; default the newest on file.
    """
    site = {j.key: d * found.whole.factor ** -np.log2(c) for j, d, c in site_days_of(history)}
    usual = usual_wait(history, None) or 0.0
    waits = {j.key: usual if (w := j.actual.wait_days) is None else w for j in history.usable}
    left, prices = _at_level(history, on) if stated is None else ({}, "")
    both = [key for key in left if key in site]
    keys = both if len(both) >= 2 * MIN_TOLD else list(site)
    alone = np.array([site[k] for k in keys])
    wait = np.array([waits[k] for k in keys])
    a_year = days / float(np.mean(alone + wait))
    picks = _picks(len(keys), a_year, rng)
    if stated is not None:
        contribution = np.full(DRAWS, stated)
    elif keys == both:
        contribution = np.array([left[k] for k in keys])[picks].mean(axis=1)
    else:
        values = np.array(list(left.values()))
        contribution = values[_picks(len(values), a_year, rng)].mean(axis=1)
    return Mix(alone[picks].mean(axis=1), wait[picks].mean(axis=1), contribution, 0.0), prices


def site_days_of(history: History) -> list[tuple[Job, float, float]]:
    """Job, site days and crew size of each finished job that says both."""
    return [
        (j, days, size)
        for j in history.usable
        if (days := ms.observed(j, "site_days")) and (size := ms.crew_of(j))
    ]


def left_of_jobs(history: History) -> dict[str, float]:
    """Price less bought cost of each job that says both, the newest 30, by key of the job.

    In whole currency units at the prices of each job's own time.
    """
    found: dict[str, float] = {}
    for job in sorted(history.usable, key=lambda j: j.day or date.min):
        price, labour, total = job.paid or job.price, job.actual.labour, job.actual.total
        if price and total and labour is not None:
            price += job.changed_price if job.paid is None else 0
            found[job.key] = (price - (total - labour)) / 100
    newest = list(found)[-NEWEST:]
    return {k: found[k] for k in newest}


def _at_level(history: History, on: date | None) -> tuple[dict[str, float], str]:
    """What jobs left, brought to the prices of a date where that is known, and how."""
    left = left_of_jobs(history)
    jobs = {job.key: job for job in history.usable if job.key in left}
    level = price_level(history, list(jobs.values()), on)
    return {key: value * level.of(jobs[key]) for key, value in left.items()}, level.words


def _picks(count: int, a_year: float, rng: np.random.Generator) -> np.ndarray[tuple[int, int]]:
    size = max(2, round(1 / (1 / max(a_year, 1.0) + 1 / count)))
    return rng.integers(0, count, (DRAWS, size))

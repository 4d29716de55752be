"""A year alone against a year with a second person on every job."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from costlearn.errors import InputProblem
from costlearn.features import measures as ms
from costlearn.models.crew import CrewEffect, DayCosts
from costlearn.models.distribution import Draws, Floats, Interval
from costlearn.records import History, Job

DRAWS = 4000
SEED = 20


@dataclass(frozen=True)
class YearGain:
    """A year alone against a year with a helper on every job, for a stated backlog.

    ``gain`` is the interval (80 %) of profit with less profit without; ``pays`` the chance that it
    is positive; ``jobs_alone`` and ``jobs_together`` the middle number of jobs done.
    """

    backlog: float
    jobs_alone: float
    jobs_together: float
    gain: Interval
    median: float
    pays: float
    curve: tuple[float, ...]
    contribution: float


@dataclass(frozen=True)
class YearTerms:
    """What the owner states about the year.

    ``backlog``: jobs that could be sold; ``contribution``: price less materials, subs and other
    bought cost of an average job, in money; ``free_day``: what a day of his own is worth unsold.
    """

    backlog: float | None = None
    contribution: float | None = None
    free_day: float = 0.0
    helper_paid_waiting: bool = False


def check_terms(terms: YearTerms) -> None:
    """Refuse stated figures that are negative or absurd.

    Raises:
        InputProblem: a stated figure is negative.
    """
    for name in ("backlog", "contribution", "free_day"):
        value = getattr(terms, name)
        if value is not None and not 0 <= value < 1e9:
            raise InputProblem(f"{name.replace('_', ' ')} {value:g}", expected="zero or more")


def day_costs(history: History, terms: YearTerms) -> DayCosts | None:
    """What days cost, if the firm has said all three of them."""
    firm = history.firm
    overhead = firm.overhead_per_day
    if firm.owner_day_cost is None or firm.helper_day_cost is None or overhead is None:
        return None
    if firm.owner_day_cost + overhead <= 0:
        return None
    return DayCosts(firm.owner_day_cost, firm.helper_day_cost, overhead, terms.helper_paid_waiting)


def usual_wait(history: History, new: Job | None) -> float:
    """Mean recorded wait days of finished jobs of the kind; 0 only where none was ever recorded."""
    waits = [(j.kind, w) for j in history.usable if (w := j.actual.wait_days) is not None]
    alike = [w for kind, w in waits if new is None or kind == new.kind]
    pool = alike or [w for _, w in waits]
    return float(np.mean(pool)) if pool else 0.0


def year_gain(
    history: History, effect: CrewEffect, day: DayCosts | None, terms: YearTerms
) -> tuple[YearGain | None, tuple[str, ...]]:
    """The year for a stated backlog, or what must be stated first."""
    asks = _asks(history, day, terms)
    contribution = _contribution(history, terms)
    days_a_year = history.firm.working_days_per_year
    if asks or day is None or contribution is None or not days_a_year or terms.backlog is None:
        return None, asks
    rng = np.random.default_rng(SEED)
    factor = effect.sample(DRAWS, SEED + 1)
    active = _mean_draws(_days_alone(history, effect), rng)
    wait = usual_wait(history, None)
    per_job = _mean_draws(contribution, rng)
    alone = np.minimum(days_a_year / (active + wait), terms.backlog)
    shorter = active * factor
    together = np.minimum(days_a_year / (shorter + wait), terms.backlog)
    paid = shorter + (wait if terms.helper_paid_waiting else 0.0)
    freed = alone * (active + wait) - together * (shorter + wait)
    gain = (together - alone) * per_job - together * paid * day.helper + freed * terms.free_day
    draws = Draws.of(gain)
    return (
        YearGain(
            terms.backlog,
            float(np.median(alone)),
            float(np.median(together)),
            draws.interval(0.8),
            draws.median,
            1 - draws.cdf(0.0),
            tuple(draws.quantile(p / 100) for p in range(1, 100)),
            float(np.median(per_job)),
        ),
        (),
    )


def _asks(history: History, day: DayCosts | None, terms: YearTerms) -> tuple[str, ...]:
    firm = history.firm
    asks = []
    if terms.backlog is None:
        asks.append("how many jobs a year you could sell (backlog)")
    if firm.working_days_per_year is None:
        asks.append("how many days a year you work (working_days_per_year)")
    if day is None:
        asks.append(
            "what your own day, a helper's day and a year's overhead cost (owner_day_cost, "
            "helper_day_cost, overhead_per_year)"
        )
    if _contribution(history, terms) is None:
        asks.append("what an average job leaves after bought cost (contribution)")
    return tuple(asks)


def _contribution(history: History, terms: YearTerms) -> Floats | None:
    """Price less bought cost of each job that says both, newest 20; or the stated figure."""
    if terms.contribution is not None:
        return np.array([terms.contribution])
    found = []
    for job in sorted(history.usable, key=lambda j: j.day or date.min):
        price, labour, total = job.paid or job.price, job.actual.labour, job.actual.total
        if price and total and labour is not None:
            price += job.changed_price if job.paid is None else 0
            found.append((price - (total - labour)) / 100)
    return np.array(found[-20:]) if len(found) >= 3 else None


def _days_alone(history: History, effect: CrewEffect) -> Floats:
    """Site days of each finished job, had it been done alone."""
    return np.array(
        [
            days * effect.factor ** -np.log2(size)
            for j in history.usable
            if (days := ms.observed(j, "site_days")) and (size := ms.crew_of(j))
        ]
    )


def _mean_draws(values: Floats, rng: np.random.Generator) -> Floats:
    """Draws of the mean of a year's jobs, by resampling the jobs on file, shape (4000,)."""
    picks = rng.integers(0, len(values), (DRAWS, len(values)))
    return np.asarray(values[picks].mean(axis=1), dtype=float)

"""What makes jobs alike or different, as numeric columns in fixed practical units.

Columns are never scaled by the sample: one unit means the same in every history, so that priors can
be written down once. Each comes with its prior in log points (``tests/bench`` shows what they are
worth): a size exponent near .45, a few percent for each item, nothing for crew and year.
The prior means are trade judgement, no source; a history of a dozen jobs outweighs them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache, partial
from math import log, log2, nan

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from costlearn.features.kept import OncePerJob
from costlearn.records import Job
from costlearn.vocabulary import Item, Vocabulary, standard

TARGETS = ("cost", "person_days", "site_days", "elapsed_days")
CREW_TARGETS = ("site_days", "elapsed_days")
TOKEN_CENTS = 1000
"""A direct cost under this, 10 in any currency, stands for "not known": no job costs so little
(trade judgement, no source)."""
OLD_HOUSE = 1980
"""Houses built before this year count as old (trade judgement, no source)."""

ITEM_MEAN = 0.05
"""First guess of what an item adds to a job, in log points."""
WALL_UNIT = 60.0
DRIFT_PER_YEAR = 0.04
"""Prior mean of the yearly rise of costs where no price index is given (log points)."""
DIVIDED = "person-days / site days"
"""How assembly says that a crew size was divided out."""
ONE_BELOW, TWO_ABOVE = 1.25, 1.6
UNMAPPED = 0.1
"""How much of its prior spread an item keeps in a phase its work does not fall in."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column, how it is called on screen, and its prior (see ``models.regression.Term``).

    ``phases`` names the phases the column's work falls in; empty means every phase. ``item`` is the
    key of the scope item behind it, if it is one.
    """

    name: str
    label: str
    mean: float
    sd: float
    shrunk: bool = True
    role: str = ""
    phases: tuple[str, ...] = ()
    item: str = ""
    phase_mean: float | None = None

    def in_phase(self, phase: str) -> Column:
        """The column's prior in the model of one phase."""
        if not self.phases or phase in self.phases:
            return self if self.phase_mean is None else replace(self, mean=self.phase_mean)
        return replace(self, mean=0.0, sd=self.sd * UNMAPPED)


@dataclass(frozen=True)
class Measures:
    """Columns of a set of jobs: ``frame`` has a row a job (index: job key), ``row`` the new job.

    NaN means "not said".
    """

    columns: tuple[Column, ...]
    frame: pd.DataFrame
    row: pd.Series | None

    def only(self, keys: Sequence[str]) -> pd.DataFrame:
        """The rows of some jobs, in their order."""
        return self.frame.loc[list(keys)]


def measure(
    jobs: Sequence[Job],
    new: Job | None = None,
    *,
    target: str = "cost",
    drift: float | None = None,
    vocabulary: Vocabulary | None = None,
) -> Measures:
    """Measure jobs (and a new one) for a target.

    Args:
        jobs: the history, any order.
        new: the job to predict; may be None.
        target: one of :data:`TARGETS`; decides the priors of crew and year.
        drift: prior mean of the yearly rise in log points; None takes the target's usual one.
        vocabulary: the words of the trade.

    Columns that are the same in every job, the new one included, are left out.
    """
    everyone = [*jobs, new] if new is not None else list(jobs)
    built = every_column(jobs, target=target, drift=drift, vocabulary=vocabulary)
    values = np.empty((len(built), 0))
    if everyone:
        values = _values(everyone, jobs, target, vocabulary)
    varies = _varies(values)
    kept = tuple(c for (c, _), keep in zip(built, varies, strict=True) if keep)
    table = pd.DataFrame(
        np.ascontiguousarray(values[varies].T),
        index=[j.key for j in everyone],
        columns=[c.name for c in kept],
    )
    if new is None:
        return Measures(kept, table, None)
    return Measures(kept, table.iloc[:-1], table.iloc[-1])


def every_column(
    jobs: Sequence[Job],
    *,
    target: str = "cost",
    drift: float | None = None,
    vocabulary: Vocabulary | None = None,
) -> list[Measured]:
    """All columns a history may have, each with how a job is measured; arguments as in measure."""
    yearly = drift if drift is not None else (DRIFT_PER_YEAR if target == "cost" else 0.0)
    return [
        *_undated_columns(vocabulary or standard()),
        _crew_column(target),
        *_date_columns(jobs, yearly),
    ]


def observed(job: Job, target: str) -> float | None:
    """What a job came to: money in whole currency units, days as they are; None if not known."""
    if target == "cost":
        cents = job.actual.total
        return cents / 100 if cents is not None and cents >= TOKEN_CENTS else None
    days: float | None = getattr(job.actual, target)
    return days if days is not None and days > 0 else None


def planned(job: Job, target: str) -> float | None:
    """What was planned, approved changes included; None if nobody wrote it down."""
    if target == "cost":
        cents = job.plan.total
        known = cents is not None and cents >= TOKEN_CENTS
        return ((cents or 0) + job.changed_cost) / 100 if known else None
    days: float | None = getattr(job.plan, target)
    if days is None or days <= 0:
        return None
    return days + job.changed_days if target == "person_days" else days


def crew_of(job: Job) -> float | None:
    """Crew size: as stated, else person-days over site days; the plan's where nothing is built.

    Never under one: short days are no smaller crew.
    """
    for amounts in (job.actual, job.plan):
        size = amounts.crew
        if not size and amounts.person_days and amounts.site_days:
            size = amounts.person_days / amounts.site_days
        if size:
            return max(size, 1.0)
    return None


def steady_crew(job: Job) -> float | None:
    """Crew size fit to explain days on site; None where it cannot be told.

    A size that was only divided out of person-days and site days holds the error of the site days,
    turned round: set against site days it shows an effect that is arithmetic. So it may only tell
    one person from two, and not in between.
    """
    size = crew_of(job)
    amounts = job.actual if job.actual.site_days or job.actual.crew else job.plan
    stated = amounts.crew is not None and not any(
        o.figure == "actual.crew" and o.how == DIVIDED for o in job.origins
    )
    if size is None or stated:
        return size
    if size < ONE_BELOW:
        return 1.0
    return float(round(size)) if size > TWO_ABOVE else None


Measured = tuple[Column, Callable[[Job], float]]


def _values(
    everyone: Sequence[Job], jobs: Sequence[Job], target: str, vocabulary: Vocabulary | None
) -> NDArray[np.float64]:
    """What :func:`every_column` measures of each job, shape (p, n): all jobs of a column at once.

    What no other job has a say in is worked out once a job.
    """
    undated = _undated if vocabulary is None else partial(_undated_of, vocabulary)
    crew = _steady_log_crew if target in CREW_TARGETS else _log_crew
    own = np.array([undated(j) for j in everyone])
    days = np.array([j.day.toordinal() if j.day else nan for j in everyone])
    rows = [*own.T, np.array([crew(j) for j in everyone])]
    dated = _middle_and_steps(jobs)
    if dated is not None:
        middle, starts = dated
        rows.append((days - middle) / 365.25 / 3)
        rows += [np.where(np.isnan(days), nan, days >= start) for start in starts]
    return np.array(rows, dtype=float)


def _undated_columns(words: Vocabulary) -> list[Measured]:
    """The columns that do not hang on the other jobs, nor on the target."""
    return [
        *_size_columns(),
        *(_item_column(i) for i in words.items if i.enters == "yes"),
        *_house_columns(words),
    ]


def _undated_of(words: Vocabulary, job: Job) -> NDArray[np.float64]:
    return np.array([measured(job) for _, measured in _undated_columns(words)], dtype=float)


@cache
def _standard_columns() -> tuple[Measured, ...]:
    return tuple(_undated_columns(standard()))


_undated = OncePerJob(
    lambda job: np.array([measured(job) for _, measured in _standard_columns()], dtype=float)
)


def _size_columns() -> list[Measured]:
    area = Column("log area", "floor area", 0.45, 2.0, shrunk=False, role="size")
    wall = Column(
        "wall tile", "wall tile", 0.12, 1.0, phases=("tile", "waterproof"), item="wall_tile"
    )
    return [
        (area, lambda j: log(j.area_sqft) if j.area_sqft else nan),
        (wall, lambda j: log(1 + _size(j, "wall_tile") / WALL_UNIT)),
    ]


def _item_column(item: Item) -> Measured:
    mean = ITEM_MEAN if item.prior is None else item.prior
    column = Column(
        item.key,
        item.name,
        mean,
        1.0,
        phases=item.phases,
        item=item.key,
        phase_mean=item.phase_prior,
    )
    return column, lambda j: float(np.sign(_size(j, item.key)))


def _house_columns(words: Vocabulary) -> list[Measured]:
    moved = [i for i in words.items if i.enters == "moved"]
    lights = [i for i in words.items if i.enters == "lights"]

    def phases(items: Sequence[Item]) -> tuple[str, ...]:
        return tuple(sorted({p for i in items for p in i.phases}))

    return [
        (
            Column("moved", "fixtures moved", 0.08, 1.0, phases=phases(moved), item="move_drain"),
            lambda j: _many(sum(_size(j, i.key) for i in moved), 2),
        ),
        (
            Column("lights", "lights", 0.05, 0.5, phases=phases(lights), item="lighting"),
            lambda j: _many(sum(_size(j, i.key) for i in lights), 3),
        ),
        (Column("grade", "finish grade", 0.06, 1.0), lambda j: nan if j.grade is None else j.grade),
        (
            Column("old house", "old house", 0.03, 1.0),
            lambda j: nan if j.house_year is None else float(j.house_year < OLD_HOUSE),
        ),
        (
            Column("condo", "condo", 0.03, 1.0),
            lambda j: nan if j.condo is None else float(j.condo),
        ),
        (Column("kitchen", "kitchen job", 0.0, 2.0, shrunk=False), lambda j: _kind(j, "kitchen")),
        (Column("laundry", "laundry job", 0.0, 2.0, shrunk=False), lambda j: _kind(j, "laundry")),
    ]


def _crew_column(target: str) -> Measured:
    if target in CREW_TARGETS:
        return Column("crew", "crew size", -0.35, 1.0), _steady_log_crew
    return Column("crew", "crew size", 0.0, 1.0), _log_crew


def _log_size(size: float | None) -> float:
    return log2(size) if size else nan


_log_crew = OncePerJob(lambda job: _log_size(crew_of(job)))
_steady_log_crew = OncePerJob(lambda job: _log_size(steady_crew(job)))


def _date_columns(jobs: Sequence[Job], yearly: float) -> list[Measured]:
    """A slow drift, and steps that pick up jumps of all prices, ever denser towards the present.

    What the next job costs hangs on the newest level, so the last 3 jobs may have one of their own,
    and the last 6, 12, 24 and so on. Steps equally spaced over the history left 76.8 % of 80 at 60
    jobs and 79.1 at 35, these 78.3 and 80.0 at the same score (``tests/bench``, five worlds, fresh
    firms); a jump that fewer than 3 jobs have seen stays unseen either way.
    """
    dated = _middle_and_steps(jobs)
    if dated is None:
        return []
    middle, starts = dated

    def from_day(start: int) -> Callable[[Job], float]:
        return lambda j: float(j.day.toordinal() >= start) if j.day else nan

    drift = Column("years", "years", 3 * yearly, 0.5, role="drift")
    steps = [
        (Column(f"since {date.fromordinal(start)}", "price level", 0.0, 0.6), from_day(start))
        for start in starts
    ]
    return [
        (drift, lambda j: (j.day.toordinal() - middle) / 365.25 / 3 if j.day else nan),
        *steps,
    ]


def _middle_and_steps(jobs: Sequence[Job]) -> tuple[float, list[int]] | None:
    """The mean day of jobs and the first days of the steps; None if no job has a date."""
    days = sorted(d.toordinal() for j in jobs if (d := j.day))
    return (float(np.mean(days)), _step_days(days)) if days else None


def _step_days(days: Sequence[int]) -> list[int]:
    """First days of the last 3, 6, 12, ... jobs with two before them; of half of under 5 jobs."""
    counts = []
    last = 3
    while last <= len(days) - 2:
        counts.append(last)
        last *= 2
    return sorted({days[-k] for k in counts or [max(1, len(days) // 2)]})


def _size(job: Job, key: str) -> float:
    """Size of an item in a job; an item not named in a job whose scope is known is not in it."""
    if not job.scope:
        return nan
    value = job.scope.get(key, 0.0)
    return nan if value is None else value


def _many(count: float, unit: int) -> float:
    """A count on a scale where ``unit`` pieces are 1 and more of them add ever less.

    In the range of past jobs this is close to count / unit; beyond it, a straight line in the
    logarithm of cost would explode (40 lights are not e^13 times one).
    """
    return log(1 + count) / log(1 + unit)


def _kind(job: Job, kind: str) -> float:
    return nan if job.kind is None else float(job.kind == kind)


def _varies(values: NDArray[np.float64]) -> NDArray[np.bool_]:
    """True for each row of values, shape (p, n), that says two different things; shape (p,)."""
    if not values.shape[1]:
        return np.zeros(len(values), dtype=np.bool_)
    return np.asarray(np.fmax.reduce(values, axis=1) > np.fmin.reduce(values, axis=1))

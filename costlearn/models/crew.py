"""How site days change with crew size, and what a second person is worth.

Answers "does the work really go faster with two?" with scope controlled: big jobs get two people,
so a plain comparison of days reverses the sign. Dividing days by person-days is a trap too, since
person-days already hold what the second person wastes.

The effect is theta = log(days with two / days with one), a coefficient on log2(crew size). Its
prior, N(-.35, .3) in log points, stands for "two people need .70 of the days, or .48 to 1.03"
(trade judgement, no source); with it 12 jobs did as well in trials as plain least squares that
knew the true work content. Posterior spreads are widened by the factors measured in those trials.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import stats

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Codes, Floats, Interval
from costlearn.models.regression import Effect, PriorRegression, Term, start_spread

PRIOR_MEAN = -0.35
PRIOR_SD = 0.3
PHASE_SD = 0.15
"""How far one phase's effect may differ from the common one, in log points, before seeing data."""
JOB_SD = 0.5
"""Spread of what a job has in common over its phases, in noise scales."""
WIDEN_JOBS = 1.1
WIDEN_PHASES = 1.15


@dataclass(frozen=True, slots=True)
class CrewEffect:
    """The factor on site days when the crew doubles: 0.7 means 30 % fewer days."""

    name: str
    mean: float
    sd: float
    df: float
    alone: int
    together: int

    @property
    def factor(self) -> float:
        """The middle of the factor on site days."""
        return float(np.exp(self.mean))

    def interval(self, level: float = 0.8) -> Interval:
        """Interval of the factor on site days."""
        reach = stats.t.ppf((1 + level) / 2, self.df) * self.sd
        return Interval(level, float(np.exp(self.mean - reach)), float(np.exp(self.mean + reach)))

    def chance_below(self, factor: float) -> float:
        """The chance that the true factor is below a value."""
        return float(stats.t.cdf((np.log(factor) - self.mean) / self.sd, self.df))

    def sample(self, size: int, seed: int = 0) -> Floats:
        """Draws of the factor, shape (size,)."""
        draws = stats.t.rvs(self.df, size=size, random_state=np.random.default_rng(seed))
        return np.asarray(np.exp(self.mean + self.sd * draws), dtype=float)


def from_jobs(
    columns: Floats, terms: Sequence[Term], site_days: Floats, crew: Floats
) -> CrewEffect:
    """The effect seen over whole jobs.

    Args:
        columns: shape (n, p), what describes the work (size, items), crew left out.
        terms: their priors.
        site_days: shape (n,), positive.
        crew: shape (n,), crew sizes, positive.

    Raises:
        NothingToSay: crew size never varies, so the records cannot tell.
    """
    _check_varies(crew)
    design = np.column_stack([columns, np.log2(crew)])

    def priors(noise: float) -> tuple[Term, ...]:
        return (*terms, Term("crew", PRIOR_MEAN, PRIOR_SD / noise, shrunk=False))

    model = _fit(design, priors, site_days)
    effect = model.combined(np.append(np.zeros(len(terms)), 1.0), "crew")
    return _named(effect, "all", crew, WIDEN_JOBS)


def from_phases(
    columns: Floats,
    terms: Sequence[Term],
    site_days: ArrayLike,
    crew: ArrayLike,
    phase: ArrayLike,
    job: ArrayLike,
    names: Sequence[str],
) -> tuple[CrewEffect, tuple[CrewEffect, ...]]:
    """The common effect and each phase's own, from records of phases.

    Args:
        columns: shape (n, p), what describes the work of the phase in the job.
        terms: their priors.
        site_days: shape (n,), positive.
        crew: shape (n,), crew sizes in that phase, positive.
        phase: shape (n,), codes 0..k-1.
        job: shape (n,), codes of the jobs.
        names: the k phase names.

    Raises:
        NothingToSay: crew size never varies, so the records cannot tell.
    """
    days, size = np.asarray(site_days, dtype=float), np.asarray(crew, dtype=float)
    which, where = np.asarray(phase, dtype=np.int64), np.asarray(job, dtype=np.int64)
    _check_varies(size)
    log_crew = np.log2(size)
    in_phase = np.eye(len(names))[which]
    in_job = np.eye(int(where.max()) + 1)[where]
    start = start_spread(np.log(days) - _group_median(np.log(days), which))
    design = np.column_stack([columns, in_phase, in_job, log_crew, in_phase * log_crew[:, None]])

    def priors(noise: float) -> tuple[Term, ...]:
        return (
            *terms,
            *(Term(f"phase {n}", 0.0, 8.0, shrunk=False) for n in names),
            *(Term(f"job {i}", 0.0, JOB_SD, shrunk=False) for i in range(in_job.shape[1])),
            Term("crew", PRIOR_MEAN, PRIOR_SD / noise, shrunk=False),
            *(Term(f"crew in {n}", 0.0, PHASE_SD / noise, shrunk=False) for n in names),
        )

    model = _fit(design, priors, days, start)
    k, p = len(names), design.shape[1]
    common = np.zeros(p)
    common[p - k - 1] = 1.0
    own = np.tile(common, (k, 1))
    own[np.arange(k), p - k + np.arange(k)] = 1.0
    whole = _named(model.combined(common), "all", size, WIDEN_PHASES)
    parts = tuple(
        _named(model.combined(own[i]), names[i], size[which == i], WIDEN_PHASES) for i in range(k)
    )
    return whole, parts


@dataclass(frozen=True, slots=True)
class DayCosts:
    """What a day costs: owner and helper by the day, overhead on every day of the job."""

    owner: float
    helper: float
    overhead: float
    helper_paid_waiting: bool = False


def job_days_cost(
    active_alone: float, waiting: float, speedup: float | None, day: DayCosts
) -> float:
    """What the days of a job cost alone (``speedup`` None) or with a helper.

    Overhead runs on every day; the owner counts on working days only, since another job can take
    the waiting ones; the helper is paid on working days, and on waiting days if so agreed.
    """
    if speedup is None:
        return active_alone * (day.owner + day.overhead) + waiting * day.overhead
    active = active_alone / speedup
    paid = waiting * (day.overhead + (day.helper if day.helper_paid_waiting else 0.0))
    return active * (day.owner + day.overhead + day.helper) + paid


def break_even_speedup(day: DayCosts) -> float:
    """The speed-up at which a helper costs what the gained days are worth, if they can be sold.

    Raises:
        NothingToSay: owner's day and overhead are both zero, so a gained day is worth nothing.
    """
    worth = day.owner + day.overhead
    if worth <= 0:
        raise NothingToSay("a gained day is worth nothing here, so no speed-up breaks even")
    return 1 + day.helper / worth


def _fit(
    columns: Floats,
    priors: Callable[[float], tuple[Term, ...]],
    days: Floats,
    start: float | None = None,
) -> PriorRegression:
    """Fit twice: the crew's prior is in log points, and only a first fit tells the noise scale."""
    noise = start or start_spread(np.log(days))
    for _ in range(2):
        model = PriorRegression(priors(noise), start_spread=start).fit(columns, days)
        noise = model.noise
    return model


def _named(effect: Effect, name: str, crew: Floats, widen: float) -> CrewEffect:
    return CrewEffect(
        name,
        effect.mean,
        effect.sd * widen,
        effect.df,
        int(np.sum(crew < 1.5)),
        int(np.sum(crew >= 1.5)),
    )


def _check_varies(crew: Floats) -> None:
    if not len(crew) or np.ptp(np.log2(crew)) < 0.1:
        raise NothingToSay("crew size never varies, so the records cannot tell what it does")


def _group_median(values: Floats, codes: Codes) -> Floats:
    medians = np.array([np.median(values[codes == k]) for k in range(int(codes.max()) + 1)])
    return np.asarray(medians[codes], dtype=float)

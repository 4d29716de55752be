"""Where a running job ends, from what its finished phases came to.

For each finished job of the history, cut at the same stage: how far the done part ran over its
corrected plan (``carried``, c) and how far the rest did (``rest``), both in log points:

    rest = a + g c + e,  e ~ N(0, sigma^2)

conjugate, with a ~ N(0, (3 sigma)^2), g ~ N(.4, (1.2 sigma)^2) and sigma's prior worth 2 jobs of
.2; the prediction is Student's t, taken to the power of e, times the corrected plan of the rest,
plus what is spent. The plain index (g = 1) carries the whole early miss forward, though only what
the job has in common persists; "the rest as planned" (g = 0) carries none.

A phase's plan is corrected by its pooled mean ratio (``costlearn.models.pooling``). Phases that
scatter much say little of a job, so c is the mean of the phases' log ratios, each weighted by one
over its variance; taken over sums of money instead, the score is 1 to 4 % worse after 2 to 5 of 10
phases (``tests/bench/midjob.py``).

Sources: conjugate normal linear model, e.g. Bayesian Data Analysis (3rd ed., 2013), chapter 14. The
constants were found by experiment; ``tests/bench/midjob.py`` compares the rivals.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import stats
from scipy.stats import qmc

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Floats, Interval, LogSpread, Multipliers
from costlearn.models.phases import DRAWS, PhaseChance
from costlearn.models.pooling import pool

LEVEL_SD = 3.0
CARRY, CARRY_SD = 0.4, 1.2
NOISE_DF, NOISE_START = 2.0, 0.2
FIT_JOBS = 3
"""Fewer finished jobs cut at a stage than this say nothing of it."""
USUAL_SPREAD = 0.2
SPREAD_RECORDS = 4.0
LEAST_PART = 1e-9


@dataclass(frozen=True)
class Cut:
    """Finished jobs cut at one stage, each array of shape (n,), in log points and shares.

    ``carried`` is log(actual / corrected plan) of the done part, ``rest`` the same of the rest;
    ``share`` is the part of the corrected plan that was done; ``which`` the rows of the jobs.
    """

    carried: Floats
    rest: Floats
    share: Floats
    which: tuple[int, ...]


@dataclass(frozen=True)
class Carry:
    """The fitted law of the rest: level, carry, and the spread of a next job."""

    level: float
    carry: float
    noise: float
    df: float
    cover: Floats
    """Covariance of level and carry over the noise's variance, (2, 2)."""
    jobs: int

    def spread(self, carried: float) -> LogSpread:
        """How the rest of a job goes against its corrected plan, given how its done part went."""
        x = np.array([1.0, carried])
        scale = self.noise * float(np.sqrt(1 + x @ self.cover @ x))
        return LogSpread(self.level + self.carry * carried, scale, _plain_t(self.df))


@dataclass(frozen=True)
class Topped:
    """What is spent, plus a rest that is not yet known; never under ``floor`` in all.

    ``floor`` is the least the whole can come to, e.g. what a phase under way has taken already.
    """

    spent: float
    rest: LogSpread
    floor: float = 0.0

    @property
    def median(self) -> float:
        """The middle: half of such jobs end under it."""
        return self.quantile(0.5)

    def quantile(self, p: float) -> float:
        """The value that the job stays under with chance ``p``."""
        under = self._under
        return max(self.spent + self.rest.quantile(under + p * (1 - under)), self.floor)

    def quantiles(self, p: ArrayLike) -> Floats:
        """Quantiles of many chances at once, same shape."""
        under = self._under
        chance = under + np.asarray(p, dtype=float) * (1 - under)
        return np.maximum(self.spent + self.rest.quantiles(chance), self.floor)

    def cdf(self, value: float) -> float:
        """The chance that the job ends at or under a value."""
        if value < self.floor:
            return 0.0
        under = self._under
        return (self.rest.cdf(value - self.spent) - under) / (1 - under)

    def interval(self, level: float = 0.8) -> Interval:
        """The central interval of a level."""
        return Interval(level, self.quantile((1 - level) / 2), self.quantile((1 + level) / 2))

    def sample(self, size: int, seed: int = 0) -> Floats:
        """Draws, shape (size,); the same seed gives the same draws."""
        return self.quantiles(np.random.default_rng(seed).uniform(1e-9, 1 - 1e-9, size))

    @property
    def _under(self) -> float:
        """The chance the rest would have had to stay under what is taken already."""
        return min(self.rest.cdf(self.floor - self.spent), 0.999)


def phase_factors(actual: Floats, plan: Floats) -> Floats:
    """What to multiply each phase's plan by: its pooled mean ratio; shape (phases,).

    A phase on record in no job takes the common ratio; without any record all are 1.

    Args:
        actual: shape (jobs, phases), NaN where there is none.
        plan: the same of the plans.
    """
    known = _known(actual) & _known(plan)
    seen = np.flatnonzero(known.any(axis=0))
    if not len(seen):
        return np.ones(plan.shape[1])
    job, phase = np.nonzero(known)
    code = np.searchsorted(seen, phase)
    rows = np.unique(job, return_inverse=True)[1]
    found = pool(np.log(actual[known] / plan[known]), code, rows)
    factors = np.full(plan.shape[1], np.exp(found.common))
    factors[seen] = np.exp([g.mean for g in found.groups])
    return factors


def phase_spreads(actual: Floats, plan: Floats) -> Floats:
    """How far single phases scatter about their mean ratio, in log points; shape (phases,).

    Drawn towards the common spread as if by 4 records, and that towards .2 likewise (trade
    judgement, no source).
    """
    known = _known(actual) & _known(plan)
    off = np.full(plan.shape, np.nan)
    off[known] = np.log(actual[known] / plan[known])
    count = known.sum(axis=0)
    means = np.where(known, off, 0.0).sum(axis=0) / np.maximum(count, 1)
    square = (np.where(known, off - means, 0.0) ** 2).sum(axis=0)
    free = np.maximum(count - 1, 0)
    common = (square.sum() + SPREAD_RECORDS * USUAL_SPREAD**2) / (free.sum() + SPREAD_RECORDS)
    return np.asarray(np.sqrt((square + SPREAD_RECORDS * common) / (free + SPREAD_RECORDS)))


def carried_over(
    spent: Floats, planned: Floats, done: Floats, spreads: Floats | None = None
) -> Floats:
    """How far the done part of jobs ran over, in log points; shape (jobs,), NaN where not known.

    Args:
        spent: what the done part of each phase came to, shape (jobs, phases), NaN or 0 for none.
        planned: the corrected plan of that part, same shape.
        done: how much of each phase is done, 0 to 1, shape (phases,).
        spreads: from :func:`phase_spreads`; a phase counts by one over its square. None takes the
            ratio of the sums.
    """
    paid, meant = np.nan_to_num(spent), np.nan_to_num(planned)
    if spreads is None:
        over, under = paid @ (done > 0), meant @ (done > 0)
        fine = (over > LEAST_PART) & (under > LEAST_PART)
        return np.asarray(np.log(np.where(fine, over, np.nan) / np.where(fine, under, 1.0)))
    both = (paid > LEAST_PART) & (meant > LEAST_PART) & (done > 0)
    weight = np.where(both, done / spreads**2, 0.0)
    ratio = np.log(np.where(both, paid, 1.0) / np.where(both, meant, 1.0))
    whole = weight.sum(axis=1)
    mean = (weight * ratio).sum(axis=1) / np.where(whole > 0, whole, 1.0)
    return np.asarray(np.where(whole > 0, mean, np.nan))


def cut(actual: Floats, budget: Floats, done: Floats, spreads: Floats | None = None) -> Cut:
    """Cut finished jobs at a stage.

    A phase that was done without a plan adds to its side's actual; one that was planned and has no
    actual on record is left out of both. Jobs with nothing on one of the sides are left out.

    Args:
        actual: what phases came to, shape (jobs, phases), NaN where not known.
        budget: their corrected plan, same shape.
        done: how much of each phase is done at the stage, 0 to 1, shape (phases,).
        spreads: as in :func:`carried_over`.
    """
    here = _known(actual)
    spent = np.where(here, actual, 0.0)
    planned = np.where(here & _known(budget), budget, 0.0)
    sides = [spent @ done, planned @ done, spent @ (1 - done), planned @ (1 - done)]
    carried = carried_over(spent * done, planned * done, done, spreads)
    keep = np.all(np.stack(sides) > LEAST_PART, axis=0) & np.isfinite(carried)
    _, done_plan, rest_actual, rest_plan = (s[keep] for s in sides)
    return Cut(
        carried[keep],
        np.log(rest_actual / rest_plan),
        done_plan / (done_plan + rest_plan),
        tuple(int(i) for i in np.flatnonzero(keep)),
    )


def rest_draws(
    finished: Sequence[tuple[LogSpread, float]],
    left: Sequence[PhaseChance],
    shared: float,
    seed: int = 0,
) -> Floats:
    """Draws of the phases still to come where nothing was planned by phase, shape (4096, left).

    Finished phases tell of the job's common part by where each landed in its own distribution; the
    phases to come share it. A phase that does not occur in a draw counts 0 there.

    Args:
        finished: distribution of each finished phase, and what it came to.
        left: distribution of each phase to come, and the chance that it occurs.
        shared: how much phases of a job have in common (``models.phases.shared_factor``).
        seed: of the draws.

    Raises:
        NothingToSay: no phase is left.
    """
    if not left:
        raise NothingToSay("there are no phases left to draw")
    landed = np.array([np.clip(s.cdf(v), 1e-4, 1 - 1e-4) for s, v in finished])
    precision = 1 + len(landed) * shared / (1 - shared)
    middle = np.sqrt(shared) / (1 - shared) * float(stats.norm.ppf(landed).sum()) / precision
    count = len(left)
    points = qmc.Sobol(2 * count + 1, seed=np.random.default_rng(seed)).random(DRAWS)
    normal = stats.norm.ppf(np.clip(points, 1e-9, 1 - 1e-9))
    common = middle + normal[:, :1] / np.sqrt(precision)
    joint = np.sqrt(shared) * common + np.sqrt(1 - shared) * normal[:, 1 : count + 1]
    chance = np.clip(stats.norm.cdf(joint), 1e-9, 1 - 1e-9)
    occurs = points[:, count + 1 :] < np.array([p.chance for p in left])
    values = np.column_stack([p.spread.quantiles(chance[:, k]) for k, p in enumerate(left)])
    return np.asarray(np.where(occurs, values, 0.0))


def fit_carry(jobs: Cut, start: float = NOISE_START) -> Carry:
    """Learn how the rest follows from what is done.

    Args:
        jobs: the finished jobs, cut.
        start: the spread taken for usual before any job is seen, in log points.

    Raises:
        NothingToSay: fewer than three jobs could be cut at the stage.
    """
    n = len(jobs.rest)
    if n < FIT_JOBS:
        raise NothingToSay(f"{n} finished jobs can be cut at this stage", expected="3 or more")
    prior = np.array([0.0, CARRY])
    design = np.column_stack([np.ones(n), jobs.carried])
    mean, cover, square = _conjugate(design, jobs.rest, prior, np.array([LEVEL_SD, CARRY_SD]))
    df = NOISE_DF + n
    noise = float(np.sqrt((NOISE_DF * start**2 + square) / df))
    return Carry(float(mean[0]), float(mean[1]), noise, df, cover, n)


def fit_fixed(jobs: Cut, carry: float, *, level: bool = True) -> Carry:
    """The same with a fixed carry: 0 is "the rest as planned", 1 the index.

    Args:
        jobs: the finished jobs, cut.
        carry: how much of the miss so far is carried on.
        level: learn one number for the rest besides; without it only the spread is learned, as
            for the index as the standard has it.

    Raises:
        NothingToSay: fewer than three jobs could be cut at the stage.
    """
    n = len(jobs.rest)
    if n < FIT_JOBS:
        raise NothingToSay(f"{n} finished jobs can be cut at this stage", expected="3 or more")
    left = jobs.rest - carry * jobs.carried
    mean, cover, square = np.zeros(1), np.zeros((1, 1)), float(left @ left)
    if level:
        prior, sd = np.zeros(1), np.array([LEVEL_SD])
        mean, cover, square = _conjugate(np.ones((n, 1)), left, prior, sd)
    df = NOISE_DF + n
    noise = float(np.sqrt((NOISE_DF * NOISE_START**2 + square) / df))
    wide = np.zeros((2, 2))
    wide[0, 0] = cover[0, 0]
    return Carry(float(mean[0]), carry, noise, df, wide, n)


def spread_shares(budget: Floats, spreads: Floats) -> Floats:
    """The part each remaining phase has in the spread of the rest, summing to 1; shape (phases,).

    Args:
        budget: corrected plan still to do, 0 or NaN where none.
        spreads: from :func:`phase_spreads`.
    """
    parts = (np.nan_to_num(budget) * spreads) ** 2
    whole = parts.sum()
    return np.asarray(parts / whole if whole > 0 else parts)


def _conjugate(
    design: Floats, y: Floats, prior: Floats, sd: Floats
) -> tuple[Floats, Floats, float]:
    """Posterior mean, covariance over the noise's variance, and the misfit that feeds the noise."""
    cover = np.linalg.inv(design.T @ design + np.diag(sd**-2.0))
    left = y - design @ prior
    shift = cover @ (design.T @ left)
    square = float(left @ left - shift @ (design.T @ left))
    return prior + shift, np.asarray(cover), max(square, 0.0)


def _plain_t(df: float) -> Multipliers:
    return Multipliers.from_errors((), df)


def _known(values: Floats) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    return np.asarray(np.nan_to_num(values, nan=0.0) > 0)

"""Partial pooling of log ratios over groups, with a shared effect of the job they were seen in.

Answers "which groups (phases) really run over?" without the winner's curse: the worst-looking group
of a small history is mostly bad luck, so each group's mean is drawn towards the common one by as
much as the records say groups are alike, and a job that was bad everywhere is not held against
every phase.

Model: y = m + g(group) + j(job) + e, g ~ N(0, tau^2), j ~ N(0, omega^2), e ~ N(0, sigma_group^2).
tau and omega are integrated over a grid (half-normal priors .30 and .20); each sigma_group is drawn
towards the common one as if by 4 records, and the common one towards .2 likewise. Source: linear
mixed models, e.g. Bayesian Data Analysis (3rd ed., 2013), chapter 15; Henderson's equations with
the job effects absorbed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import special, stats
from scipy.stats import qmc

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Codes, Floats, Interval
from costlearn.models.signal import false_discoveries

BETWEEN = (0.005, 0.02, 0.04, 0.07, 0.1, 0.14, 0.19, 0.26, 0.36)
SHARED = (0.005, 0.02, 0.04, 0.07, 0.1, 0.14, 0.2, 0.3, 0.45, 0.65)
BETWEEN_PRIOR = 0.3
"""Wide: at .15 the top phase of 8 jobs was drawn in by .045 too far where tails are heavy
(``tests/bench/overruns.py``)."""
SHARED_PRIOR = 0.2
NOISE_RECORDS = 4.0
DRAWS = 4096
NOISE_ROUNDS = 40
"""Rounds of the search for noise and job effects; more move nothing that shows."""
USUAL_NOISE = 0.2
"""Spread of a record about its group's mean, in log points, where groups have one record each and
none can be seen (trade judgement, no source); it counts for 4 records, so a dozen outweigh it."""
COMMON_SD = 0.5
"""Prior spread of the common mean, in log points: wide enough for any firm."""


@dataclass(frozen=True, slots=True)
class Pooled:
    """What the history says of one group: t distribution of its mean log ratio.

    ``raw`` is the plain mean of the group's own records, ``count`` how many there are, ``noise``
    the spread of single records about it (job effect left out).
    """

    mean: float
    sd: float
    df: float
    raw: float
    count: int
    noise: float

    def interval(self, level: float = 0.8) -> Interval:
        """Interval of the group's ratio (1.0 = on plan)."""
        reach = stats.t.ppf((1 + level) / 2, self.df) * self.sd
        return Interval(level, float(np.exp(self.mean - reach)), float(np.exp(self.mean + reach)))

    def chance_above(self, ratio: float) -> float:
        """The chance that the group's ratio is truly above a value."""
        return float(stats.t.sf((np.log(ratio) - self.mean) / self.sd, self.df))


@dataclass(frozen=True)
class PooledGroups:
    """All groups, in the order of their codes, the common mean, and the spread between jobs.

    ``cover`` is the covariance of the groups' means, shape (k, k): they hang together, since they
    share the common mean and the jobs.
    """

    groups: tuple[Pooled, ...]
    common: float
    between: float
    shared: float
    cover: Floats

    def next_record(self, group: int, level: float = 0.8) -> Interval:
        """Where the ratio of the group's next record will land."""
        one = self.groups[group]
        sd = np.sqrt(one.sd**2 + one.noise**2 + self.shared**2)
        reach = stats.t.ppf((1 + level) / 2, one.df) * sd
        return Interval(level, float(np.exp(one.mean - reach)), float(np.exp(one.mean + reach)))

    def chance_next_above(self, group: int, ratio: float) -> float:
        """The chance that the group's next record exceeds a ratio."""
        one = self.groups[group]
        sd = np.sqrt(one.sd**2 + one.noise**2 + self.shared**2)
        return float(stats.t.sf((np.log(ratio) - one.mean) / sd, one.df))

    def draw_next(self, seed: int = 0) -> Floats:
        """Ratios of all groups in one next job, drawn together, shape (4096, k).

        Each column is distributed as :meth:`next_record` says; they hang together through the job
        and through what is not known of the means.
        """
        noise = np.array([g.noise for g in self.groups])
        return self._draw(self.cover + self.shared**2 + np.diag(noise**2), seed)

    def draw_means(self, seed: int = 0) -> Floats:
        """Mean ratios of all groups, drawn together by what is not known of them, (4096, k)."""
        return self._draw(self.cover, seed)

    def _draw(self, cover: Floats, seed: int) -> Floats:
        """Ratios whose logarithms are t distributed about the groups' means, with a covariance."""
        spread = np.sqrt(np.diag(cover))
        root = np.linalg.cholesky(cover / np.outer(spread, spread) + 1e-12 * np.eye(len(spread)))
        points = qmc.Sobol(len(spread), seed=np.random.default_rng(seed)).random(DRAWS)
        together = special.ndtri(np.clip(points, 1e-9, 1 - 1e-9)) @ root.T
        df = np.array([g.df for g in self.groups])
        mean = np.array([g.mean for g in self.groups])
        return np.asarray(np.exp(mean + spread * special.stdtrit(df, special.ndtr(together))))


def pool(log_ratio: ArrayLike, group: ArrayLike, job: ArrayLike) -> PooledGroups:
    """Pool the records of groups.

    Args:
        log_ratio: shape (n,), log of actual / plan.
        group: shape (n,), codes 0..k-1, each occurring at least once.
        job: shape (n,), codes 0..j-1 of the jobs the records were seen in.

    Raises:
        NothingToSay: no records, or shapes that do not fit.
    """
    y = np.asarray(log_ratio, dtype=float)
    g = np.asarray(group, dtype=np.int64)
    j = np.asarray(job, dtype=np.int64)
    if not len(y) or y.shape != g.shape or y.shape != j.shape:
        raise NothingToSay("there are no records to pool, or their groups do not fit them")
    count = np.bincount(g).astype(float)
    noise = _noise(y, g, j, count)
    raw = np.bincount(g, y) / count
    cells = _cells(y, g, j, 1 / noise**2)
    weight, mean, variance, common = _integrate(cells, count, noise)
    middle = weight @ mean
    off = mean - middle
    cover = np.tensordot(weight, variance, 1) + (off.T * weight) @ off
    spread = np.sqrt(np.diag(cover))
    df = np.maximum(count - 1, 0) + NOISE_RECORDS
    grid = np.array([(t, o) for t in BETWEEN for o in SHARED])
    between, shared = np.sqrt(weight @ grid**2)
    return PooledGroups(
        tuple(
            Pooled(
                float(middle[k]),
                float(spread[k]),
                float(df[k]),
                float(raw[k]),
                int(count[k]),
                float(noise[k]),
            )
            for k in range(len(count))
        ),
        float(weight @ common),
        float(between),
        float(shared),
        np.asarray(cover, dtype=float),
    )


def called_over(
    pooled: PooledGroups, ratio: float, sure: float = 0.95, rate: float = 0.2
) -> tuple[bool, ...]:
    """Which groups can be said to run above a ratio, in their order.

    Each must be so with a chance of ``sure``, and survive the correction for having looked at all
    groups at once (Benjamini-Hochberg on the pooled chances of lying at or under it). The chances
    are drawn together already, so a rate of 20 % leaves 1 to 3 firms in 100 with any false call
    where groups are alike; 10 % cost a tenth of the power and spared one of them
    (``tests/bench/overruns.py``).
    """
    return _called([1 - g.chance_above(ratio) for g in pooled.groups], sure, rate)


def called_under(
    pooled: PooledGroups, ratio: float, sure: float = 0.95, rate: float = 0.2
) -> tuple[bool, ...]:
    """Which groups can be said to run below a ratio, by the rules of :func:`called_over`."""
    return _called([g.chance_above(ratio) for g in pooled.groups], sure, rate)


def _called(luck: list[float], sure: float, rate: float) -> tuple[bool, ...]:
    kept = false_discoveries(luck, rate).rejected
    return tuple(k and p <= 1 - sure + 1e-12 for k, p in zip(kept, luck, strict=True))


def _noise(y: Floats, g: Codes, j: Codes, count: Floats) -> Floats:
    """Spread of single records in each group, job effect taken out, pulled to the common one."""
    jobs = np.bincount(j)
    mean = np.bincount(g, y) / count
    job_effect = np.zeros(len(jobs))
    variance = np.full(len(count), max(float(np.var(y - mean[g])), 1e-6))
    spread = SHARED_PRIOR**2
    for _ in range(NOISE_ROUNDS):
        weight = 1 / variance[g]
        known = np.bincount(j, weight, len(jobs)) + 1 / spread
        job_effect = np.bincount(j, weight * (y - mean[g]), len(jobs)) / known
        spread = max(float(np.mean(job_effect**2 + 1 / known)), 1e-6)
        mean = np.bincount(g, y - job_effect[j]) / count
        left = (y - mean[g] - job_effect[j]) ** 2 + 1 / known[j]
        total = np.bincount(g, left)
        common = float(total.sum() + NOISE_RECORDS * USUAL_NOISE**2) / (
            max(len(y) - len(count), 0) + NOISE_RECORDS
        )
        before = variance
        variance = (total + NOISE_RECORDS * common) / (np.maximum(count - 1, 0) + NOISE_RECORDS)
        if np.abs(variance / before - 1).max() < 1e-5:
            break
    return np.asarray(np.sqrt(variance), dtype=float)


@dataclass(frozen=True)
class _Cells:
    """Precision sums: by group (k,), by job (j,), by job and group (j, k), and with y."""

    by_group: Floats
    y_by_group: Floats
    by_job: Floats
    y_by_job: Floats
    both: Floats
    square: float


def _cells(y: Floats, g: Codes, j: Codes, precision: Floats) -> _Cells:
    weight = precision[g]
    k, jobs = len(precision), int(j.max()) + 1

    def total(codes: Codes, values: Floats, size: int) -> Floats:
        return np.bincount(codes, values, size).astype(float)

    both = total(j * k + g, weight, jobs * k).reshape(jobs, k)
    return _Cells(
        total(g, weight, k),
        total(g, weight * y, k),
        total(j, weight, jobs),
        total(j, weight * y, jobs),
        both,
        float(weight @ y**2),
    )


def _integrate(
    cells: _Cells, count: Floats, noise: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Posterior of the group means at each grid point: weights, means, covariances, common mean."""
    k = len(count)
    logs, means, variances, commons = [], [], [], []
    for tau in BETWEEN:
        prior = tau**2 * np.eye(k) + COMMON_SD**2
        prior_precision = np.linalg.inv(prior)
        prior_logdet = np.linalg.slogdet(prior)[1]
        for omega in SHARED:
            absorbed = omega**2 / (1 + omega**2 * cells.by_job)
            information = np.diag(cells.by_group) - (cells.both.T * absorbed) @ cells.both
            cross = cells.y_by_group - cells.both.T @ (absorbed * cells.y_by_job)
            posterior = np.linalg.inv(information + prior_precision)
            mean = posterior @ cross
            misfit = cells.square - absorbed @ cells.y_by_job**2 - mean @ cross
            logs.append(
                -0.5 * misfit
                + 0.5 * np.linalg.slogdet(posterior)[1]
                - 0.5 * prior_logdet
                - 0.5 * np.log1p(omega**2 * cells.by_job).sum()
                - 0.5 * (tau / BETWEEN_PRIOR) ** 2
                - 0.5 * (omega / SHARED_PRIOR) ** 2
                + np.log(_width(BETWEEN, tau) * _width(SHARED, omega))
            )
            means.append(mean)
            variances.append(posterior)
            commons.append(mean.mean())
    weight = np.exp(np.array(logs) - max(logs))
    return weight / weight.sum(), np.array(means), np.array(variances), np.array(commons)


def _width(grid: tuple[float, ...], value: float) -> float:
    """How much of the axis a grid point stands for."""
    at = grid.index(value)
    low = 0.0 if at == 0 else (grid[at - 1] + value) / 2
    high = value + (value - low) if at == len(grid) - 1 else (grid[at + 1] + value) / 2
    return high - low

"""How good predictions were, once the truth is known.

Sources: interval score and continuous ranked probability score, Strictly Proper Scoring Rules,
Journal of the American Statistical Association 102 (2007), equations 43 and 20; the latter as the
mean quantile loss over the 1 % to 99 % points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import stats

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Floats, LogSpread

CHANCES = np.arange(1, 100) / 100


def interval_score(low: ArrayLike, high: ArrayLike, value: ArrayLike, level: float) -> Floats:
    """Width plus 2 / (1 - level) times any miss, elementwise; lower is better."""
    lower, upper, truth = (np.asarray(v, dtype=float) for v in (low, high, value))
    miss = np.maximum(lower - truth, 0) + np.maximum(truth - upper, 0)
    return np.asarray(upper - lower + 2 / (1 - level) * miss, dtype=float)


def crps(spread: LogSpread, value: float) -> float:
    """Continuous ranked probability score of one prediction, in its own unit; lower is better."""
    return float(crps_of_quantiles(spread.quantiles(CHANCES), value))


def crps_of_quantiles(quantiles: ArrayLike, value: ArrayLike) -> Floats:
    """The score from the 1 % to 99 % points on the last axis, shape (..., 99)."""
    points = np.asarray(quantiles, dtype=float)
    off = np.asarray(value, dtype=float)[..., None] - points
    loss = np.where(off >= 0, CHANCES * off, (CHANCES - 1) * off)
    return np.asarray(2 * loss.mean(axis=-1), dtype=float)


@dataclass(frozen=True)
class Coverage:
    """How many of some intervals held the truth, and the counts that fair luck would give."""

    level: float
    held: int
    of: int
    least: int
    most: int

    @property
    def share(self) -> float:
        """Share of the intervals that held."""
        return self.held / self.of

    @property
    def fair(self) -> bool:
        """True if the count is one that intervals of this level give in 9 cases of 10."""
        return self.least <= self.held <= self.most


def coverage(inside: Sequence[bool], level: float) -> Coverage:
    """Count intervals that held, with the 90 % band of the binomial distribution.

    Raises:
        NothingToSay: there are no intervals.
    """
    count = len(inside)
    if not count:
        raise NothingToSay("there are no intervals to count")
    least, most = np.asarray(stats.binom.ppf([0.05, 0.95], count, level), dtype=int)
    return Coverage(level, int(np.sum(inside)), count, int(least), int(most))


@dataclass(frozen=True)
class Narrowing:
    """How interval width falls with the number of jobs: half-width = floor + slope / jobs."""

    floor: float
    slope: float

    def at(self, jobs: float) -> float:
        """Half-width with so many jobs, as a share."""
        return self.floor + self.slope / jobs

    def jobs_for(self, half_width: float) -> float | None:
        """Jobs until the half-width is reached; None if it never is."""
        if self.floor >= half_width:
            return None
        return self.slope / (half_width - self.floor)


def narrowing(jobs: ArrayLike, half_widths: ArrayLike) -> Narrowing:
    """Fit how half-widths (shares) fell while jobs were added, neither part negative.

    Raises:
        NothingToSay: fewer than three points, or all at one number of jobs.
    """
    count, width = np.asarray(jobs, dtype=float), np.asarray(half_widths, dtype=float)
    if len(count) < 3 or np.ptp(count) == 0:
        raise NothingToSay("too few sizes of history to see how the range narrows")
    from scipy.optimize import nnls

    found, _ = nnls(np.column_stack([np.ones(len(count)), 1 / count]), width)
    return Narrowing(float(found[0]), float(found[1]))

"""Signal or luck: limits of single-value charts and corrections for looking at many things at once.

Sources: NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.2 (individuals and moving
range charts); Journal of the Royal Statistical Society B 57 (1995) 289-300 (false discovery rate).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike
from scipy import integrate, stats
from statsmodels.stats.multitest import multipletests

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Floats


@cache
def d2(size: int) -> float:
    """Expected range of ``size`` standard normal values, which turns ranges into spreads.

    Raises:
        NothingToSay: fewer than two values have no range.
    """
    if size < 2:
        raise NothingToSay("fewer than two values have no range")
    value, _ = integrate.quad(
        lambda x: 1 - stats.norm.cdf(x) ** size - stats.norm.sf(x) ** size, -9, 9, epsabs=1e-11
    )
    return float(value)


RANGE_LIMIT = 1 + 3 * float(np.sqrt(2 - 4 / np.pi)) / float(2 / np.sqrt(np.pi))
"""Limit of a moving range of two over the mean range: 1 + 3 d3 / d2 = 3.2666."""


@dataclass(frozen=True)
class ChartLimits:
    """Limits of an individuals chart: what single values do when nothing has changed.

    ``spread`` is the standard deviation the ranges tell, ``range_high`` the limit of a moving range
    of two, ``outside`` the places of values outside the limits.
    """

    middle: float
    mean_range: float
    low: float
    high: float
    outside: tuple[int, ...]
    spread: float
    range_high: float


def single_value_limits(values: ArrayLike) -> ChartLimits:
    """Three-sigma limits of values in time order, shape (n,), from their moving ranges of two.

    Raises:
        NothingToSay: fewer than two values.
    """
    x = np.asarray(values, dtype=float)
    if len(x) < 2:
        raise NothingToSay("a chart of single values needs at least two of them")
    middle = float(x.mean())
    mean_range = float(np.abs(np.diff(x)).mean())
    spread = mean_range / d2(2)
    reach = 3 * spread
    outside = tuple(int(i) for i in np.flatnonzero(np.abs(x - middle) > reach))
    return ChartLimits(
        middle,
        mean_range,
        middle - reach,
        middle + reach,
        outside,
        spread,
        mean_range * RANGE_LIMIT,
    )


@dataclass(frozen=True, slots=True)
class RunFlag:
    """A run rule that spoke: which, at the place of the last value of its run, on which side."""

    rule: str
    at: int
    above: bool


RUN_RULES = (
    ("1 beyond 3 spreads", 1, 1, 3.0),
    ("2 of 3 beyond 2 spreads", 2, 3, 2.0),
    ("4 of 5 beyond 1 spread", 4, 5, 1.0),
    ("8 in a row on one side", 8, 8, 0.0),
)
"""Name, how many, of how many in a row, beyond how many spreads on one side of the middle."""


def run_rules(values: ArrayLike, limits: ChartLimits) -> tuple[RunFlag, ...]:
    """Where values in time order, shape (n,), break one of the four usual rules of runs.

    Together they speak about once in 90 steady values, so one alone is a hint, no proof. Source:
    Western Electric, Statistical Quality Control Handbook (1956), from memory.
    """
    x = np.asarray(values, dtype=float) - limits.middle
    if limits.spread <= 0 or not len(x):
        return ()
    found = []
    for rule, many, of, reach in RUN_RULES:
        if len(x) < of:
            continue
        for above in (True, False):
            beyond = (x if above else -x) > reach * limits.spread
            inside = np.convolve(beyond, np.ones(of, dtype=int))[of - 1 : len(x)]
            last = beyond[of - 1 :]
            found += [
                RunFlag(rule, int(i) + of - 1, above)
                for i in np.flatnonzero((inside >= many) & last)
            ]
    return tuple(sorted(found, key=lambda f: (f.at, f.rule)))


def luck_above(values: ArrayLike, level: float) -> float:
    """One-sided p-value of a mean above a level, from values of shape (n,), by Student's t test.

    Values that are all the same leave nothing to chance: 0 above the level, else 1.

    Raises:
        NothingToSay: fewer than two values.
    """
    x = np.asarray(values, dtype=float)
    if len(x) < 2:
        raise NothingToSay("fewer than two values have no spread to test against")
    if np.ptp(x) == 0:
        return 0.0 if x[0] > level else 1.0
    return float(stats.ttest_1samp(x, level, alternative="greater").pvalue)


@dataclass(frozen=True)
class ManyTests:
    """p-values corrected for having looked at all of them."""

    adjusted: tuple[float, ...]
    rejected: tuple[bool, ...]


def false_discoveries(p_values: Sequence[float] | Floats, rate: float = 0.1) -> ManyTests:
    """Control the share of false alarms among the alarms raised (Benjamini-Hochberg).

    Raises:
        NothingToSay: no p-values.
    """
    if not len(p_values):
        raise NothingToSay("there are no tests to correct")
    rejected, adjusted, _, _ = multipletests(p_values, alpha=rate, method="fdr_bh")
    return ManyTests(tuple(map(float, adjusted)), tuple(map(bool, rejected)))

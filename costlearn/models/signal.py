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


@dataclass(frozen=True)
class ChartLimits:
    """Limits of an individuals chart: what single values do when nothing has changed."""

    middle: float
    mean_range: float
    low: float
    high: float
    outside: tuple[int, ...]


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
    reach = 3 * mean_range / d2(2)
    outside = tuple(int(i) for i in np.flatnonzero(np.abs(x - middle) > reach))
    return ChartLimits(middle, mean_range, middle - reach, middle + reach, outside)


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

"""When did it change: steps in several series at once, and the slope of a learning curve.

A step is looked for at every place of every series, so the largest one found is mostly luck. It is
judged against the largest one that appears anywhere when the order of the jobs is shuffled, all
series together (a permutation of the sup-t statistic): shuffling keeps what series have in common.
Sources: Permutation, Parametric and Bootstrap Tests of Hypotheses (3rd ed., 2005); maxima over many
tests: Resampling-Based Multiple Testing (1993); titles from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special, stats

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Floats

LEAST = 4
"""At least so many records before and after a step."""
SHUFFLES = 999
PLACES = 400
"""Longer histories are looked at in this many blocks of jobs in a row."""
BATCH = 2_000_000
STEP_PRIOR = 0.2
"""How large steps usually are, in log points (trade judgement, no source)."""
SEED = 5


@dataclass(frozen=True, slots=True)
class Step:
    """The likeliest step of one series: from row ``at`` on, its mean is another.

    ``before`` and ``after`` are plain means, ``shift`` the change drawn towards none, with its
    standard deviation ``sd``; ``luck`` is the chance that steady series show one as clear anywhere.
    """

    series: int
    at: int
    before: float
    after: float
    count_before: int
    count_after: int
    shift: float
    sd: float
    luck: float


@dataclass(frozen=True)
class _Sums:
    """Sums of values and counts in each block of rows, shape (blocks, series)."""

    value: Floats
    count: Floats
    total: Floats
    starts: Floats


def steps(table: ArrayLike, seed: int = SEED) -> tuple[Step, ...]:
    """The likeliest step of each series that is long enough, in the order of the series.

    Args:
        table: shape (jobs, series), jobs in time order, NaN where a series has no record.
        seed: of the shuffles; the same seed gives the same answer.
    """
    y = np.asarray(table, dtype=float)
    if y.ndim != 2 or not y.size:
        return ()
    long = np.flatnonzero((~np.isnan(y)).sum(axis=0) >= 2 * LEAST)
    if not len(long):
        return ()
    sums = _sums(y[:, long])
    blocks = len(sums.value)
    clear, place = (found[0] for found in _clearest(sums, np.arange(blocks)[None, :]))
    rng = np.random.default_rng(seed)
    most = np.concatenate(
        [
            _clearest(sums, rng.permuted(np.tile(np.arange(blocks), (some, 1)), axis=1))[0].max(1)
            for some in _batches(blocks * len(long))
        ]
    )
    luck = (1 + (most[:, None] >= clear - 1e-9).sum(axis=0)) / (SHUFFLES + 1)
    return tuple(
        _step(y[:, k], int(k), int(sums.starts[place[i]]), float(luck[i]))
        for i, k in enumerate(long)
        if np.isfinite(clear[i])
    )


def _sums(y: Floats) -> _Sums:
    blocks = np.array_split(np.arange(len(y)), min(len(y), PLACES))
    starts = np.array([b[0] for b in blocks])
    known = ~np.isnan(y)
    filled = np.where(known, y, 0.0)
    mean = filled.sum(axis=0) / known.sum(axis=0)
    rest = np.where(known, filled - mean, 0.0)
    value = np.add.reduceat(rest, starts)
    count = np.add.reduceat(known.astype(float), starts)
    # Blocks are what is shuffled, so the spread is that of block means (of jobs in a short series).
    within = np.divide(value**2, count, out=np.zeros_like(value), where=count > 0)
    return _Sums(value, count, within.sum(axis=0), starts)


def _batches(size: int) -> list[int]:
    """How many shuffles to do at once, so that no table holds more than a few million figures."""
    some = max(1, min(SHUFFLES, BATCH // size))
    return [some] * (SHUFFLES // some) + ([SHUFFLES % some] if SHUFFLES % some else [])


def _clearest(sums: _Sums, orders: NDArray[np.int64]) -> tuple[Floats, NDArray[np.int64]]:
    """The clearest step of each series with blocks in some orders, shape (orders, blocks).

    Returns normal scores and places of blocks, both (orders, series). Scores of series of different
    length compare: each t is turned into the normal value of the same chance. A place must leave
    enough records on both sides.
    """
    first = np.cumsum(sums.value[orders], axis=1)
    many = np.cumsum(sums.count[orders], axis=1)
    whole, total = many[:, -1:], first[:, -1:]
    first, many = first[:, :-1], many[:, :-1]
    rest = whole - many
    fair = (many >= LEAST) & (rest >= LEAST)
    with np.errstate(divide="ignore", invalid="ignore"):
        gain = np.where(fair, first**2 / many + (total - first) ** 2 / rest, -1.0)
    place = gain.argmax(axis=1)
    best = np.take_along_axis(gain, place[:, None, :], axis=1)[:, 0]
    df = np.maximum((sums.count > 0).sum(axis=0) - 2.0, 1.0)
    share = np.clip(best / np.maximum(sums.total, 1e-300), 0.0, 1 - 1e-12)
    t = np.sqrt(share / (1 - share) * df)
    score = -special.ndtri(np.maximum(special.stdtr(df, -t), 1e-300))
    usable = (best >= 0) & (sums.total > 1e-12)
    return np.where(usable, score, -np.inf), place + 1


def _step(y: Floats, series: int, at: int, luck: float) -> Step:
    """A step in numbers; its size drawn towards none by how well the records know it."""
    old, new = y[:at][~np.isnan(y[:at])], y[at:][~np.isnan(y[at:])]
    square = ((old - old.mean()) ** 2).sum() + ((new - new.mean()) ** 2).sum()
    variance = square / (len(old) + len(new) - 2) * (1 / len(old) + 1 / len(new))
    kept = STEP_PRIOR**2 / (STEP_PRIOR**2 + variance)
    raw = float(new.mean() - old.mean())
    return Step(
        series,
        at,
        float(old.mean()),
        float(new.mean()),
        len(old),
        len(new),
        kept * raw,
        float(np.sqrt(kept * variance)),
        luck,
    )


@dataclass(frozen=True, slots=True)
class Slope:
    """A learning curve: each doubling of the number done multiplies the time by ``ratio``.

    ``low`` and ``high`` hold it with odds of 8 in 10; ``luck`` is the two-sided p-value of no
    slope.
    """

    ratio: float
    low: float
    high: float
    luck: float
    count: int


def learning_slope(times: ArrayLike) -> Slope:
    """Fit y_n = a n^b to times in the order done, shape (n,), by least squares of logarithms.

    Raises:
        NothingToSay: fewer than four times, or one that is not positive.
    """
    y = np.asarray(times, dtype=float)
    if len(y) < 4 or not (y > 0).all():
        raise NothingToSay("a learning curve needs at least four times above zero")
    x = np.log2(np.arange(1, len(y) + 1))
    fit = stats.linregress(x, np.log(y))
    reach = float(stats.t.ppf(0.9, len(y) - 2)) * float(fit.stderr)
    slope = float(fit.slope)
    return Slope(
        float(np.exp(slope)),
        float(np.exp(slope - reach)),
        float(np.exp(slope + reach)),
        float(fit.pvalue),
        len(y),
    )


def unit_times(first: float, ratio: float, count: int) -> Floats:
    """Times of units 1 to ``count`` on a curve y_n = a n^b, b = log2(ratio), shape (count,)."""
    return np.asarray(first * np.arange(1, count + 1, dtype=float) ** np.log2(ratio))


def average_times(first: float, ratio: float, count: int) -> Floats:
    """Unit times where it is the running average that falls as a n^b, shape (count,)."""
    n = np.arange(1, count + 1, dtype=float)
    total = first * n ** (1 + np.log2(ratio))
    return np.diff(total, prepend=0.0)


def whole_time(first: float, ratio: float, count: int) -> float:
    """Time of all units 1 to ``count`` on a unit curve, by the midpoint formula."""
    power = 1 + float(np.log2(ratio))
    return float(first / power * ((count + 0.5) ** power - 0.5**power))

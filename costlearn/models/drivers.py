"""What goes with a high ratio: many candidate causes, few jobs, and no claim luck would explain.

Each candidate is judged twice. Alone, by Student's t test of jobs with it against jobs without,
corrected for all candidates looked at (Benjamini-Hochberg); and together with all others, in a
regression that draws every effect towards nothing as far as the history says effects are small.
Only a candidate that passes both is called clear; its size is then judged with a wide prior of its
own, since the common one of many idle candidates would belittle it. Going together is no proof of a
cause.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike
from scipy import stats

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Floats, Interval
from costlearn.models.regression import Effect, PriorRegression, Term
from costlearn.models.signal import false_discoveries

FEWEST_JOBS = 10
EACH_SIDE = 3
"""At least so many jobs with a candidate, and so many without, for it to be looked at."""
RATE = 0.05
SURE = 0.95
OWN_SD = 2.0
"""Prior spread of a clear candidate's effect, in spreads of the noise: draws it in by a few %."""


@dataclass(frozen=True, slots=True)
class Driver:
    """One candidate: what it multiplies the ratio by, per unit of its column.

    ``ratio`` and ``interval`` (80 %) are of a fit with all candidates together, drawn towards 1;
    ``raw`` is its plain slope alone. ``adjusted`` is its p-value corrected for all candidates.
    """

    name: str
    ratio: float
    interval: Interval
    raw: float
    adjusted: float
    jobs: int
    clear: bool


def drivers(log_ratio: ArrayLike, columns: ArrayLike, names: Sequence[str]) -> tuple[Driver, ...]:
    """Judge candidates, the clearest first; empty with too few jobs or no candidate to look at.

    Args:
        log_ratio: shape (n,), log of actual over plan of each job.
        columns: shape (n, p), what each job has of each candidate; NaN where nobody said.
        names: the p names.

    Raises:
        NothingToSay: shapes that do not fit.
    """
    y = np.asarray(log_ratio, dtype=float)
    x = np.asarray(columns, dtype=float)
    if x.shape != (len(y), len(names)):
        raise NothingToSay("candidate causes do not fit their jobs")
    if len(y) < FEWEST_JOBS:
        return ()
    chosen = [k for k in range(len(names)) if _has_two_sides(x[:, k])]
    if not chosen:
        return ()
    alone = [_alone(x[:, k], y) for k in chosen]
    adjusted = false_discoveries([p for _, p in alone], RATE).adjusted
    terms = [Term(names[k]) for k in chosen]
    total = np.exp(y)
    effects = PriorRegression(terms).fit(x[:, chosen], total).effects()
    found = []
    for i, (k, (slope, _), p) in enumerate(zip(chosen, alone, adjusted, strict=True)):
        effect = effects[i]
        sign = float(stats.t.cdf(effect.mean * np.sign(slope) / effect.sd, effect.df))
        clear = bool(p <= RATE and sign >= SURE)
        if clear:
            own = [*terms[:i], replace(terms[i], sd=OWN_SD, shrunk=False), *terms[i + 1 :]]
            effect = PriorRegression(own).fit(x[:, chosen], total).effects()[i]
        having = int(np.nansum(x[:, k] > 0))
        found.append(
            Driver(names[k], *_size(effect), float(np.exp(slope)), float(p), having, clear)
        )
    return tuple(sorted(found, key=lambda d: (not d.clear, d.adjusted, d.name)))


def _size(effect: Effect) -> tuple[float, Interval]:
    """An effect as a ratio with its 80 % interval."""
    reach = effect.reach(0.8)
    ends = (float(np.exp(effect.mean - reach)), float(np.exp(effect.mean + reach)))
    return float(np.exp(effect.mean)), Interval(0.8, *ends)


def _has_two_sides(column: Floats) -> bool:
    """True if enough jobs differ: both sides of the middle of a yes/no or a measure."""
    said = column[~np.isnan(column)]
    if len(said) < 2 * EACH_SIDE:
        return False
    middle = (said.min() + said.max()) / 2
    return bool((said > middle).sum() >= EACH_SIDE and (said < middle).sum() >= EACH_SIDE)


def _alone(column: Floats, y: Floats) -> tuple[float, float]:
    """Slope and two-sided p-value of one candidate alone."""
    said = ~np.isnan(column)
    if np.ptp(y[said]) == 0:
        return 0.0, 1.0
    fit = stats.linregress(column[said], y[said])
    return float(fit.slope), float(fit.pvalue)

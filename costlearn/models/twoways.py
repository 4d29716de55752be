"""One job built in two ways: what the second comes to more than the first, with its own range.

Both versions are foretold by one regression. The effects of its columns and the error of the job
itself are common to both, so that log(second) - log(first) is a combination of effects alone, and
the error only scales the difference:

    second - first = 2 exp(level) sinh(step / 2),

where ``level`` is the mean of both logarithms (it holds the job's error) and ``step`` their
difference. Both come from the regression's own posterior, coupled by a normal copula of their
correlation and summed over a fixed grid, so that nothing is random.

Source: linear combinations of effects of the conjugate normal model, e.g. Bayesian Data Analysis
(3rd ed., 2013), chapter 14; copula, e.g. Quantitative Risk Management (revised ed., 2015), ch. 7.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Floats, Interval, LogSpread
from costlearn.models.regression import PriorRegression

POINTS = 256
"""Points of the grid in each of the two directions, at the middles of equal shares."""
KNOTS = 64
"""Points at which the distribution of the step is tabulated for each of its members."""
NARROWEST = 1e-9


@dataclass(frozen=True)
class Steps:
    """The distribution of log(second) - log(first): a mixture of t distributions.

    ``weight``, ``middle`` and ``scale`` have shape (m,), the weights sum to 1.
    """

    weight: Floats
    middle: Floats
    scale: Floats
    df: float

    @property
    def mean(self) -> float:
        """The mean step."""
        return float(self.weight @ self.middle)

    @property
    def fixed(self) -> bool:
        """True if the step is known: no spread at all."""
        return not self.scale.any() and bool(np.ptp(self.middle) == 0)

    def cdf(self, values: ArrayLike) -> Floats:
        """The chance of a step at or under each value, shape (k,)."""
        off = (np.asarray(values, dtype=float)[:, None] - self.middle) / self._own
        return np.asarray(special.stdtr(self.df, off) @ self.weight, dtype=float)

    def quantiles(self, chances: ArrayLike) -> Floats:
        """Steps that stay under each chance, same shape."""
        wanted = np.asarray(chances, dtype=float)
        if self.fixed:
            return np.full(wanted.shape, self.middle[0])
        reach = special.stdtrit(self.df, np.linspace(0.5, KNOTS - 0.5, KNOTS) / KNOTS)
        ends = special.stdtrit(self.df, [1e-4, 1e-3, 1 - 1e-3, 1 - 1e-4])
        knots = np.concatenate([reach, ends])
        places = np.sort((self.middle[:, None] + self._own[:, None] * knots).ravel())
        return np.asarray(np.interp(wanted, self.cdf(places), places), dtype=float)

    @property
    def _own(self) -> Floats:
        return np.maximum(self.scale, NARROWEST)


@dataclass(frozen=True)
class TwoWays:
    """Two versions of one job, in log points.

    ``level`` is the mean of both log totals, the job's own error included; ``steps`` is
    log(second) - log(first); ``correlation`` tells how both go together.
    """

    level: LogSpread
    steps: Steps
    correlation: float

    @property
    def chance_more(self) -> float | None:
        """The chance that the second comes to more; None where both are the same."""
        if not self.steps.fixed:
            return float(1 - self.steps.cdf([0.0])[0])
        return None if self.steps.mean == 0 else float(self.steps.mean > 0)

    @cached_property
    def _values(self) -> Floats:
        """Differences at all points of the grid, sorted, each of the same weight."""
        chance = (np.arange(POINTS) + 0.5) / POINTS
        normal = special.ndtri(chance)
        rest = np.sqrt(1 - self.correlation**2)
        joint = self.correlation * normal[:, None] + rest * normal[None, :]
        steps = self.steps.quantiles(special.ndtr(joint))
        return np.sort((2 * self.level.quantiles(chance)[:, None] * np.sinh(steps / 2)).ravel())

    def quantile(self, p: float) -> float:
        """The difference, second less first, that stays under it with chance ``p``."""
        return float(np.quantile(self._values, p))

    @property
    def median(self) -> float:
        """The middle difference."""
        return self.quantile(0.5)

    def interval(self, level: float = 0.8) -> Interval:
        """The central interval of the difference."""
        return Interval(level, self.quantile((1 - level) / 2), self.quantile((1 + level) / 2))

    def wider(self, level: float = 1.0, step: float = 1.0) -> TwoWays:
        """The same middle with the spreads multiplied."""
        apart, mean = self.steps, self.steps.mean
        steps = replace(apart, middle=mean + step * (apart.middle - mean), scale=step * apart.scale)
        return replace(self, level=self.level.wider(level), steps=steps)

    def times(self, first: float, second: float) -> TwoWays:
        """The same with each version's total multiplied by a known factor of its own."""
        gap = float(np.log(second / first))
        moved = self.level.times(float(np.sqrt(first * second)))
        return replace(self, level=moved, steps=replace(self.steps, middle=self.steps.middle + gap))


def known_step(level: LogSpread, step: float) -> TwoWays:
    """Two versions whose step is known, about a level that is not."""
    sure = Steps(np.ones(1), np.array([step]), np.zeros(1), level.multipliers.df)
    return TwoWays(level, sure, 0.0)


def two_ways(model: PriorRegression, first: ArrayLike, second: ArrayLike) -> TwoWays:
    """Two rows of columns, each of shape (p,), as two versions of one job.

    Args:
        model: a fitted regression.
        first: the columns of the first version; NaN is "not said".
        second: those of the second, NaN in the same places.

    Raises:
        NothingToSay: one version says a column that the other does not.
    """
    rows = np.stack([np.asarray(first, dtype=float), np.asarray(second, dtype=float)])
    blank = np.isnan(rows)
    if (blank[0] != blank[1]).any():
        raise NothingToSay("one version says a column that the other does not")
    rows = np.column_stack([np.ones(2), np.where(blank, 0.0, rows - model.means_)])
    basis = np.stack([rows.mean(axis=0), rows[1] - rows[0]])
    post = model.posterior_
    times = len(post.weight) // len(post.inverse)
    shapes = np.tile(np.stack([basis @ a @ basis.T for a in post.inverse]), (times, 1, 1))
    spreads = post.variance[:, None, None] * shapes
    alone = np.tile(np.diagonal(post.inverse, axis1=1, axis2=2)[:, 1:], (times, 1))
    unsaid = (post.effect[:, 1:] ** 2 + alone * post.variance[:, None]) @ (
        blank[0] * model.spreads_**2
    )
    spreads[:, 0, 0] += post.variance + unsaid
    means = post.effect @ basis.T
    middle = post.weight @ means
    off = means - middle
    whole = np.tensordot(post.weight, spreads, 1) + (post.weight[:, None] * off).T @ off
    sizes = np.sqrt(np.diagonal(whole).clip(0.0))
    together = float(whole[0, 1] / (sizes[0] * sizes[1])) if sizes[1] > 0 else 0.0
    level = LogSpread(float(middle[0]), float(sizes[0]), model.multipliers_)
    steps = Steps(post.weight, means[:, 1], np.sqrt(spreads[:, 1, 1].clip(0.0)), model.df_)
    return TwoWays(level, steps, float(np.clip(together, -1.0, 1.0)))


def joined(members: Sequence[TwoWays], weights: Sequence[float], whole: LogSpread) -> TwoWays:
    """Members of a mixture together: levels averaged, as ``models.mixture`` does; steps pooled.

    Args:
        members: what each says of the two versions.
        weights: how much each counts, summing to 1.
        whole: a distribution of the whole mixture, whose multipliers hold for the level.
    """
    share = np.asarray(weights, dtype=float)
    level = LogSpread(
        float(share @ [m.level.centre for m in members]),
        float(share @ [m.level.scale for m in members]),
        whole.multipliers,
    )
    steps = Steps(
        np.concatenate([w * m.steps.weight for w, m in zip(share, members, strict=True)]),
        np.concatenate([m.steps.middle for m in members]),
        np.concatenate([m.steps.scale for m in members]),
        min(m.steps.df for m in members),
    )
    return TwoWays(level, steps, float(share @ [m.correlation for m in members]))

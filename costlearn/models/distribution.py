"""Predictive distributions: where the next job will land, and the odds of landing elsewhere.

Two forms share one interface (:class:`Predictive`): :class:`LogSpread`, a closed form whose
quantiles are exact and reproducible, and :class:`Draws`, for sums and other functions of several
unknowns. Values are in the unit of the target (currency units or days) and always positive.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from costlearn.errors import NothingToSay

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]

LEVELS = np.concatenate(([0.0], np.linspace(0.01, 0.99, 99), [0.995, 0.999, 0.9999]))
"""Levels of the central interval at which multipliers are tabulated; between them: linear."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A prediction interval: ``low`` to ``high`` holds the next job with chance ``level``."""

    level: float
    low: float
    high: float

    @property
    def ratio(self) -> float:
        """How many times the upper end is the lower end."""
        return self.high / self.low

    def holds(self, value: float) -> bool:
        """True if the value lies inside, ends included."""
        return self.low <= value <= self.high


def log_density(errors: ArrayLike, df: float) -> Floats:
    """Log density of Student's t, same shape; straight from the special functions, which load fast.

    >>> round(float(log_density(0.0, 5.0)), 4)
    -0.9686
    """
    size = np.asarray(errors, dtype=float)
    level = special.gammaln((df + 1) / 2) - special.gammaln(df / 2) - 0.5 * np.log(df * np.pi)
    return np.asarray(level - (df + 1) / 2 * np.log1p(size**2 / df), dtype=float)


class Predictive(Protocol):
    """What every predictive distribution can be asked."""

    def quantile(self, p: float) -> float:
        """The value that the next job stays under with chance ``p``."""
        ...

    def cdf(self, value: float) -> float:
        """The chance that the next job stays at or under a value."""
        ...

    def interval(self, level: float = 0.8) -> Interval:
        """The central interval of a level."""
        ...

    def sample(self, size: int, seed: int = 0) -> Floats:
        """Draws, shape (size,); the same seed gives the same draws."""
        ...


@dataclass(frozen=True)
class Multipliers:
    """How many scales wide the central interval of each level of :data:`LEVELS` is.

    ``reach`` has the shape of LEVELS, starts at 0 and never falls. Source of the mix of a t
    interval with the order statistics of leave-one-out errors: split-conformal prediction with the
    t interval worth ``weight`` jobs, so that few jobs lean on theory and many on experience.
    """

    reach: tuple[float, ...]
    df: float

    @classmethod
    def from_errors(cls, errors: ArrayLike, df: float, weight: float = 20.0) -> Multipliers:
        """Multipliers from studentised leave-one-out errors, shape (n,); n may be 0.

        Args:
            errors: (observed - predicted) / scale, each made without its own job.
            df: degrees of freedom of the t interval it starts from.
            weight: how many jobs the t interval counts for.
        """
        size = np.sort(np.abs(np.asarray(errors, dtype=float)))
        n = size.size
        reach = special.stdtrit(df, (1 + LEVELS) / 2)
        if n:
            ranks = LEVELS * (n + 1)
            seen = np.interp(ranks, np.arange(n + 1), np.concatenate(([0.0], size)))
            last = special.stdtrit(df, (1 + n / (n + 1)) / 2)
            beyond = ranks > n
            seen[beyond] = size[-1] * reach[beyond] / last
            reach = (n * seen + weight * reach) / (n + weight)
        return cls(tuple(np.maximum.accumulate(reach).tolist()), df)

    def at(self, level: ArrayLike) -> Floats:
        """Multiplier of each level; past the last tabulated one, along the t distribution."""
        wanted = np.asarray(level, dtype=float)
        inside = np.interp(wanted, LEVELS, self.reach)
        top = LEVELS[-1]
        tail = self.reach[-1] * special.stdtrit(self.df, (1 + wanted) / 2)
        past = tail / special.stdtrit(self.df, (1 + top) / 2)
        return np.asarray(np.where(wanted <= top, inside, past), dtype=float)

    def level_of(self, reach: float) -> float:
        """The level whose interval reaches just so many scales."""
        if reach <= self.reach[-1]:
            return float(np.interp(reach, self.reach, LEVELS))
        unit = special.stdtrit(self.df, (1 + LEVELS[-1]) / 2) / self.reach[-1]
        return float(2 * special.stdtr(self.df, reach * unit) - 1)


@dataclass(frozen=True)
class LogSpread:
    """A distribution symmetric in the logarithm: median ``exp(centre)``, spread ``scale``."""

    centre: float
    scale: float
    multipliers: Multipliers

    @property
    def median(self) -> float:
        """The middle: half of such jobs land under it."""
        return float(np.exp(self.centre))

    def quantile(self, p: float) -> float:
        """The value that the next job stays under with chance ``p`` (0 < p < 1).

        Raises:
            NothingToSay: ``p`` is not strictly between 0 and 1.
        """
        if not 0 < p < 1:
            raise NothingToSay(f"a chance of {p} has no quantile", expected="between 0 and 1")
        reach = float(self.multipliers.at(abs(2 * p - 1)))
        return float(np.exp(self.centre + np.sign(p - 0.5) * reach * self.scale))

    def cdf(self, value: float) -> float:
        """The chance that the next job stays at or under a value."""
        if value <= 0:
            return 0.0
        off = (np.log(value) - self.centre) / self.scale
        level = self.multipliers.level_of(abs(float(off)))
        return 0.5 + float(np.sign(off)) * level / 2

    def interval(self, level: float = 0.8) -> Interval:
        """The central interval of a level."""
        return Interval(level, self.quantile((1 - level) / 2), self.quantile((1 + level) / 2))

    def quantiles(self, p: ArrayLike) -> Floats:
        """Quantiles of many chances at once, same shape."""
        chance = np.asarray(p, dtype=float)
        reach = self.multipliers.at(np.abs(2 * chance - 1))
        return np.exp(self.centre + np.sign(chance - 0.5) * reach * self.scale)

    def sample(self, size: int, seed: int = 0) -> Floats:
        """Draws, shape (size,); the same seed gives the same draws."""
        uniform = np.random.default_rng(seed).uniform(1e-9, 1 - 1e-9, size)
        return self.quantiles(uniform)

    def times(self, factor: float) -> LogSpread:
        """The same distribution with every value multiplied by a positive factor."""
        return LogSpread(self.centre + float(np.log(factor)), self.scale, self.multipliers)

    def wider(self, factor: float) -> LogSpread:
        """The same middle with the spread multiplied."""
        return LogSpread(self.centre, self.scale * factor, self.multipliers)


@dataclass(frozen=True)
class Draws:
    """A distribution known by draws, kept sorted."""

    values: tuple[float, ...]

    @classmethod
    def of(cls, values: Sequence[float] | Floats) -> Draws:
        """From draws in any order, shape (n,).

        Raises:
            NothingToSay: no draws, or one that is no finite number.
        """
        sorted_values = np.sort(np.asarray(values, dtype=float))
        if sorted_values.size == 0 or not np.isfinite(sorted_values).all():
            raise NothingToSay("there are no finite draws to speak from")
        return cls(tuple(sorted_values.tolist()))

    @property
    def median(self) -> float:
        """The middle draw."""
        return self.quantile(0.5)

    def quantile(self, p: float) -> float:
        """The value that a share ``p`` of the draws stays under."""
        return float(np.quantile(np.asarray(self.values), p))

    def cdf(self, value: float) -> float:
        """The share of draws at or under a value."""
        return float(np.searchsorted(np.asarray(self.values), value, side="right")) / len(
            self.values
        )

    def interval(self, level: float = 0.8) -> Interval:
        """The central interval of a level."""
        return Interval(level, self.quantile((1 - level) / 2), self.quantile((1 + level) / 2))

    def sample(self, size: int, seed: int = 0) -> Floats:
        """Draws with replacement, shape (size,)."""
        return np.random.default_rng(seed).choice(np.asarray(self.values), size)

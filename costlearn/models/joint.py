"""Two totals of one job together: a job that runs long also costs more.

The correlation of the leave-one-out errors of both, drawn towards .5 as if by 10 jobs (trade
judgement, no source), couples the two distributions through a t copula; each keeps its own.
Source: t copula, e.g. Quantitative Risk Management (revised ed., 2015), chapter 7.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import special

from costlearn.models.distribution import Floats, LogSpread

PRIOR_JOBS = 10.0
PRIOR_CORRELATION = 0.5
SEED = 11


def correlation(first: Floats, second: Floats) -> float:
    """How errors of two targets go together over the same jobs, each of shape (n,); n may be 0."""
    n = len(first)
    product = np.clip(first, -3, 3) @ np.clip(second, -3, 3) if n else 0.0
    size = np.sqrt(
        (np.clip(first, -3, 3) @ np.clip(first, -3, 3)) * (np.clip(second, -3, 3) ** 2).sum()
    )
    own = float(product / size) if n and size > 0 else 0.0
    return (n * own + PRIOR_JOBS * PRIOR_CORRELATION) / (n + PRIOR_JOBS)


@dataclass(frozen=True)
class Together:
    """Two predictive distributions of one job, and how they go together."""

    first: LogSpread
    second: LogSpread
    correlation: float

    @property
    def df(self) -> int:
        """Degrees of freedom of the coupling: the smaller of the two, as a whole number."""
        return int(min(self.first.multipliers.df, self.second.multipliers.df))

    def chance_within(self, first: float, second: float) -> float:
        """The chance that both stay at or under their values."""
        from scipy import stats

        chances = np.clip([self.first.cdf(first), self.second.cdf(second)], 1e-9, 1 - 1e-9)
        point = special.stdtrit(self.df, chances)
        shape = [[1.0, self.correlation], [self.correlation, 1.0]]
        law = stats.multivariate_t(shape=shape, df=self.df, seed=SEED)
        return float(np.clip(law.cdf(point, random_state=SEED), 0.0, chances.min()))

    def sample(self, size: int, seed: int = 0) -> Floats:
        """Draws of both, shape (size, 2)."""
        from scipy import stats

        shape = [[1.0, self.correlation], [self.correlation, 1.0]]
        law = stats.multivariate_t(shape=shape, df=self.df)
        chance = special.stdtr(self.df, law.rvs(size, random_state=np.random.default_rng(seed)))
        inside = np.clip(chance, 1e-9, 1 - 1e-9)
        return np.column_stack(
            [self.first.quantiles(inside[:, 0]), self.second.quantiles(inside[:, 1])]
        )

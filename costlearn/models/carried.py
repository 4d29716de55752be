"""A fitted regression as the few numbers another program needs to foretell just the same.

The inverses of :class:`costlearn.models.regression.PriorRegression` are large, what they are made
of is small: the columns, the priors, and one vector for each meaning of the prior means. Whoever
holds these makes effects and intervals anew, to the last figures.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import special

from costlearn.models.distribution import LEVELS, Floats, Multipliers
from costlearn.models.regression import MEANINGS, PriorRegression, Term, meanings


@dataclass(frozen=True)
class CarriedTable:
    """How many scales wide each level's interval is, and what is needed past the last level.

    Past it, the multiplier follows a t distribution of ``df``: ``top`` is that distribution's own
    multiplier at the last level, ``log_beta`` the logarithm of B(df/2, 1/2), its constant.
    """

    reach: tuple[float, ...]
    df: float
    top: float
    log_beta: float


@dataclass(frozen=True)
class CarriedFit:
    """A regression without its inverses.

    ``cross`` holds, for each meaning, what the columns and the totals have in common (intercept
    first); ``shares`` says which part of the doubtful prior means each meaning takes for true.
    ``weight`` and ``variance`` run over the shrinkage grid, once for each meaning. ``wide`` is how
    many standard deviations the 80 % interval of an effect reaches.
    """

    level: float
    intercept_sd: float
    shares: tuple[float, ...]
    cross: tuple[tuple[float, ...], ...]
    weight: tuple[float, ...]
    variance: tuple[float, ...]
    df: float
    wide: float


def carried_table(multipliers: Multipliers) -> CarriedTable:
    """Multipliers with what is needed to go on past their last level."""
    df = multipliers.df
    return CarriedTable(
        multipliers.reach,
        df,
        float(special.stdtrit(df, (1 + LEVELS[-1]) / 2)),
        float(special.betaln(df / 2, 0.5)),
    )


def carried_fit(
    model: PriorRegression, columns: Floats, total: Floats, terms: Sequence[Term]
) -> CarriedFit:
    """A fitted model's numbers, from what it was fitted to: columns (n, p), totals (n,), priors."""
    centred = np.where(np.isnan(columns), 0.0, columns - model.means_)
    design = np.column_stack([np.ones(len(total)), centred])
    found = meanings(model.prior_mean_, terms)
    shares = tuple(share for share, _ in MEANINGS) if len(found) > 1 else (1.0,)
    cross = tuple(tuple((design.T @ (np.log(total) - design @ p)).tolist()) for p, _ in found)
    post = model.posterior_
    return CarriedFit(
        float(model.prior_mean_[0]),
        model.intercept_sd,
        shares,
        cross,
        tuple(post.weight.tolist()),
        tuple(post.variance.tolist()),
        model.df_,
        float(special.stdtrit(model.df_, 0.9)),
    )

"""Bayesian regression of a logarithm with weak practical priors: one method from 3 jobs upward.

log(total) = X b + e, with a normal prior for each effect given the noise, the noise's scale and the
shrinkage learned by marginal likelihood over a small grid, and exact t predictions. Nothing is
sampled and no column is selected: with few jobs the prior speaks, with many the history.

Sources: conjugate normal linear model, e.g. Bayesian Data Analysis (3rd ed., 2013), chapter 14;
leave-one-out by the hat matrix, e.g. Applied Regression Analysis (3rd ed., 1998), chapter 8.
The constants were found by experiment (``tests/bench/intervals.py`` repeats it):

* shrinkage grid .03 to 4 about .6: from "items do nothing" to "each item speaks for itself";
* 3 prior degrees of freedom for the noise: 1 to 4 moved the interval score by under 1 %;
* 1 chance in 5 that the shrunk columns' prior means mislead, so that the small ones are about zero:
  where no item does anything scores fell by 4 to 7 %, elsewhere they rose by 0 to 1 (20 jobs);
* start of the noise scale: the history's own spread after a 0.6-power size rule, worth its jobs,
  joined with 4 jobs of spread .3, since a fixed start covered 73 to 77 % of 80.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Self

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Floats, LogSpread, Multipliers, log_density
from costlearn.models.estimator import Regressor

GRID = (0.03, 0.06, 0.12, 0.25, 0.4, 0.6, 0.85, 1.2, 1.7, 2.5, 4.0)
NOISE_DF = 3.0
SIZE_POWER = 0.6
MEANINGS = ((1.0, 0.8), (0.0, 0.2))
"""Shares of the shrunk columns' prior means that may be true, each with its chance beforehand."""
CHUNK = 20_000


@dataclass(frozen=True, slots=True)
class Term:
    """A column and its prior: effect ~ N(mean, (sd x noise x shrinkage)^2) in log points.

    ``shrunk`` False leaves the shrinkage out: such an effect is always left to the history.
    ``role`` "size" marks the logarithm of the job's size, "expert" that of an expert's number; the
    noise scale starts from what is left after them. "drift" marks the time of the job.
    """

    name: str
    mean: float = 0.0
    sd: float = 1.0
    shrunk: bool = True
    role: str = ""


@dataclass(frozen=True, slots=True)
class Effect:
    """What the history says of one column: t distribution, in log points."""

    name: str
    mean: float
    sd: float
    df: float

    def reach(self, level: float = 0.8) -> float:
        """Half the width, in log points, of its central interval of a probability."""
        return float(special.stdtrit(self.df, (1 + level) / 2)) * self.sd


@dataclass(frozen=True)
class LeaveOneOut:
    """Predictions of each job of the history from the others; each array has shape (n,)."""

    centre: Floats
    scale: Floats
    observed: Floats
    df: float

    @property
    def errors(self) -> Floats:
        """Studentised errors."""
        return (self.observed - self.centre) / self.scale

    @property
    def residuals(self) -> Floats:
        """Errors in log points."""
        return self.observed - self.centre

    @property
    def densities(self) -> Floats:
        """Log density of each job as foretold from the others, shape (n,)."""
        return np.asarray(log_density(self.errors, self.df) - np.log(self.scale), dtype=float)

    @property
    def density(self) -> float:
        """Mean log density of the jobs as foretold from the others; higher is better."""
        return float(np.mean(self.densities))


@dataclass(frozen=True)
class _Posterior:
    """Weights (m,), effects (m,p) and noise variances (m,) of the members; inverses (g,p,p).

    Members are the shrinkage grid, once for each meaning of the prior means; inverses are shared.
    """

    weight: Floats
    effect: Floats
    inverse: Floats
    variance: Floats

    def forms(self, design: Floats) -> Floats:
        """Quadratic forms x' A x of each member and row, shape (m, n)."""
        each = np.stack([np.einsum("np,np->n", design @ a, design) for a in self.inverse])
        return np.tile(each, (len(self.weight) // len(each), 1))


class PriorRegression(Regressor):
    """Predicts a positive total from columns, with calibrated prediction intervals.

    Args:
        terms: one per column of X; None gives every column the same plain prior.
        start_spread: where the noise scale starts; None learns it from the history.
        intercept: prior mean of the log total of an average job; None takes the history's median.
        intercept_sd: how far from it the history may pull, in noise scales.
        noise_df: degrees of freedom the start of the noise scale counts for.
        start_share: the part of the history's spread that the columns are expected to leave.

    Missing values (NaN) in X are read as "not said": the history's mean is used and, when
    predicting, the spread widens by what the column could have been.
    """

    def __init__(
        self,
        terms: Sequence[Term] | None = None,
        start_spread: float | None = None,
        intercept: float | None = None,
        intercept_sd: float = 8.0,
        noise_df: float = NOISE_DF,
        start_share: float = 0.6,
    ) -> None:
        self.terms = terms
        self.start_spread = start_spread
        self.intercept = intercept
        self.intercept_sd = intercept_sd
        self.noise_df = noise_df
        self.start_share = start_share

    def fit(self, X: ArrayLike, y: ArrayLike) -> Self:
        """Learn from totals ``y`` > 0, shape (n,), and columns X, shape (n, p).

        Raises:
            NothingToSay: no jobs, a total that is not positive, or shapes that do not fit.
        """
        columns, total = _checked(X, y)
        terms = self._terms(columns.shape[1])
        self.n_features_in_ = columns.shape[1]
        self.names_ = tuple(t.name for t in terms)
        self.means_, self.spreads_ = _column_stats(columns)
        design = np.column_stack([np.ones(len(total)), self._centred(columns)])
        log_total = np.log(total)
        level = float(np.median(log_total)) if self.intercept is None else self.intercept
        self.prior_mean_ = np.array([level, *(t.mean for t in terms)])
        start = self.start_spread
        self.start_spread_ = (
            _start(columns, log_total, terms, self.start_share) if start is None else start
        )
        self.posterior_ = self._posterior(design, log_total, terms)
        self.df_ = self.noise_df + len(total)
        self.loo_ = self._leave_one_out(design, log_total)
        self.multipliers_ = Multipliers.from_errors(self.loo_.errors, self.df_)
        return self

    def predict(self, X: ArrayLike) -> Floats:
        """The middle (median) of each row's prediction, shape (m,)."""
        centre, _ = self._locate(X)
        return np.exp(centre)

    def predict_interval(self, X: ArrayLike, level: float = 0.8) -> Floats:
        """Lower and upper end of each row's prediction interval, shape (m, 2)."""
        centre, scale = self._locate(X)
        reach = float(self.multipliers_.at(level)) * scale
        return np.exp(np.column_stack([centre - reach, centre + reach]))

    def distribution(self, row: ArrayLike) -> LogSpread:
        """The predictive distribution of one row of columns, shape (p,)."""
        centre, scale = self._locate(np.asarray(row, dtype=float)[None, :])
        return LogSpread(float(centre[0]), float(scale[0]), self.multipliers_)

    def effects(self) -> tuple[Effect, ...]:
        """What the history says of each column, in log points per unit of the column."""
        unit = np.eye(self.n_features_in_)
        return tuple(self.combined(unit[i], name) for i, name in enumerate(self.names_))

    def combined(self, amounts: ArrayLike, name: str = "") -> Effect:
        """What the history says of so much of each column together, shape (p,), in log points."""
        x = np.concatenate(([0.0], np.asarray(amounts, dtype=float)))
        post = self.posterior_
        own = post.variance * post.forms(x[None, :])[:, 0]
        middle, spread = _mixed(post.weight, post.effect @ x, own)
        return Effect(name, float(middle), float(spread), self.df_)

    @property
    def noise(self) -> float:
        """Spread of single jobs about the model, in log points, as learned."""
        return float(np.sqrt(self.posterior_.weight @ self.posterior_.variance))

    def leverage(self, row: ArrayLike) -> float:
        """How far a row lies outside the history: the part of its variance the effects add."""
        x = self._row(np.asarray(row, dtype=float)[None, :])
        return float(self.posterior_.weight @ self.posterior_.forms(x)[:, 0])

    def _terms(self, count: int) -> tuple[Term, ...]:
        if self.terms is None:
            return tuple(Term(f"x{i}") for i in range(count))
        if len(self.terms) != count:
            raise NothingToSay(f"{len(self.terms)} priors were given for {count} columns")
        return tuple(self.terms)

    def _centred(self, columns: Floats) -> Floats:
        return np.where(np.isnan(columns), 0.0, columns - self.means_)

    def _row(self, columns: Floats) -> Floats:
        return np.column_stack([np.ones(len(columns)), self._centred(columns)])

    def _posterior(self, design: Floats, z: Floats, terms: Sequence[Term]) -> _Posterior:
        n, p = design.shape
        fixed = np.array([self.intercept_sd, *(t.sd for t in terms)])
        shrunk = np.array([False, *(t.shrunk for t in terms)])
        spreads = np.where(shrunk, np.outer(GRID, fixed), fixed)
        precision = np.zeros((len(GRID), p, p))
        precision[:, np.arange(p), np.arange(p)] = spreads**-2.0
        inverse = np.asarray(np.linalg.inv(design.T @ design + precision), dtype=float)
        volume = 0.5 * np.linalg.slogdet(inverse)[1] - np.log(spreads).sum(axis=1)
        volume = volume - 0.5 * np.log(np.array(GRID) / 0.6) ** 2
        df = self.noise_df + n
        effects, variances, evidence = [], [], []
        for prior, chance in meanings(self.prior_mean_, terms):
            rest = z - design @ prior
            cross = design.T @ rest
            mean = inverse @ cross
            misfit = (float(rest @ rest) - mean @ cross).clip(0.0)
            variance = (self.noise_df * self.start_spread_**2 + misfit) / df
            effects.append(prior + mean)
            variances.append(variance)
            evidence.append(volume - 0.5 * df * np.log(variance) + np.log(chance))
        joined = np.concatenate(evidence)
        weight = np.exp(joined - joined.max())
        return _Posterior(
            np.asarray(weight / weight.sum()),
            np.concatenate(effects),
            inverse,
            np.concatenate(variances),
        )

    def _locate(self, X: ArrayLike) -> tuple[Floats, Floats]:
        columns = np.asarray(X, dtype=float)
        if columns.ndim != 2 or columns.shape[1] != self.n_features_in_:
            raise NothingToSay(f"rows of {self.n_features_in_} columns are needed to predict")
        centre = np.empty(len(columns))
        scale = np.empty(len(columns))
        for at in range(0, len(columns), CHUNK):
            part = slice(at, at + CHUNK)
            centre[part], scale[part] = self._locate_part(columns[part])
        return centre, scale

    def _locate_part(self, columns: Floats) -> tuple[Floats, Floats]:
        post = self.posterior_
        design = self._row(columns)
        means = post.effect @ design.T
        noise = post.variance[:, None] * (1 + post.forms(design))
        blank = np.isnan(columns)
        if blank.any():
            effect = post.effect[:, 1:] ** 2
            alone = np.diagonal(post.inverse, axis1=1, axis2=2)[:, 1:]
            times = len(post.weight) // len(alone)
            own = np.tile(alone, (times, 1)) * post.variance[:, None]
            noise = noise + (effect + own) @ (blank * self.spreads_**2).T
        return _mixed(post.weight, means, noise)

    def _leave_one_out(self, design: Floats, z: Floats) -> LeaveOneOut:
        post = self.posterior_
        centre = np.empty(len(z))
        scale = np.empty(len(z))
        for at in range(0, len(z), CHUNK):
            part = slice(at, at + CHUNK)
            kept = 1 - post.forms(design[part])
            kept = np.maximum(kept, 1e-9)
            error = z[part] - post.effect @ design[part].T
            mass = self.df_ * post.variance[:, None] - error**2 / kept
            noise = np.maximum(mass, 1e-12) / (self.df_ - 1) / kept
            centre[part], scale[part] = _mixed(post.weight, z[part] - error / kept, noise)
        return LeaveOneOut(centre, scale, z, self.df_)


def start_spread(rest: Floats, share: float = 0.6, spread: float = 0.3, jobs: float = 4) -> float:
    """Where the noise scale starts: a share of the history's own spread joined with a usual one.

    Args:
        rest: log totals after taking out what is known of size, or of an expert's number, (n,).
        share: the part of that spread that the items are expected to leave.
        spread: the usual spread, in log points.
        jobs: how many jobs the usual spread counts for.
    """
    n = len(rest)
    own = float(np.sum((rest - np.median(rest)) ** 2) / (n - 1)) if n > 1 else 0.0
    return share * float(np.sqrt((n * own + jobs * spread**2) / (n + jobs)))


def expert_spread(log_ratio: Floats) -> float:
    """Where the noise scale starts when an expert's number is known: from log(total / number)."""
    return start_spread(log_ratio, share=0.9, spread=0.2)


def _start(columns: Floats, log_total: Floats, terms: Sequence[Term], share: float) -> float:
    """The smallest start that the size and the expert columns, if any, speak for."""
    starts = []
    size = [i for i, t in enumerate(terms) if t.role == "size"]
    rest = log_total - SIZE_POWER * np.nan_to_num(columns[:, size]).sum(axis=1)
    known = ~np.isnan(columns[:, size]).any(axis=1)
    starts.append(start_spread(rest[known] if known.any() else log_total, share))
    starts += [
        expert_spread(log_total - columns[:, i]) for i, t in enumerate(terms) if t.role == "expert"
    ]
    return min(starts)


def with_expert(terms: Sequence[Term], name: str = "quote", mean: float = 0.8) -> tuple[Term, ...]:
    """Priors of a regression that also holds the logarithm of an expert's number, as last column.

    The expert has already thought of size and items, so their prior means shrink by what is his.
    """
    rest = tuple(replace(t, mean=t.mean * (1 - mean)) for t in terms)
    return (*rest, Term(name, mean, 2.0, shrunk=False, role="expert"))


def _checked(X: ArrayLike, y: ArrayLike) -> tuple[Floats, Floats]:
    columns = np.asarray(X, dtype=float)
    total = np.asarray(y, dtype=float)
    if total.ndim != 1 or columns.ndim != 2 or len(columns) != len(total) or not len(total):
        raise NothingToSay(
            f"columns of shape {columns.shape} and totals of shape {total.shape} do not fit",
            expected="(n, p) and (n,) with n at least 1",
        )
    if not (np.isfinite(total).all() and (total > 0).all()):
        raise NothingToSay("a total that is not a positive number cannot be learned from")
    return columns, total


def _column_stats(columns: Floats) -> tuple[Floats, Floats]:
    """Mean and spread of each column over the jobs that say it; 0 where none does."""
    said = ~np.isnan(columns)
    count = np.maximum(said.sum(axis=0), 1)
    means = np.where(said, columns, 0.0).sum(axis=0) / count
    square = np.where(said, columns - means, 0.0) ** 2
    return means, np.sqrt(square.sum(axis=0) / count)


def meanings(prior: Floats, terms: Sequence[Term]) -> list[tuple[Floats, float]]:
    """Prior means, shape (p,), that may be true, with their chances; one where none is doubtful.

    Doubtful are those of shrunk columns, but for the drift of prices.
    """
    doubtful = np.array([False, *(t.shrunk and t.role != "drift" for t in terms)])
    if not np.any(prior[doubtful]):
        return [(prior, 1.0)]
    return [(np.where(doubtful, share * prior, prior), chance) for share, chance in MEANINGS]


def _mixed(weight: Floats, means: Floats, variances: Floats) -> tuple[Floats, Floats]:
    """Mean and scale of a mixture whose members are the first axis."""
    centre = weight @ means
    return centre, np.sqrt(weight @ (variances + (means - centre) ** 2))

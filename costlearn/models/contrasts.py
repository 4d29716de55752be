"""A few combinations of effects out of a large Bayesian regression, jobs' own factors taken out.

The same model as :mod:`costlearn.models.regression` (normal priors in noise scales, shrinkage by
marginal likelihood over its grid, t results), for records that come several from one job: each job
has a factor of its own, N(0, (share x noise)^2), which is integrated out exactly instead of being a
column. The work then grows with the columns alone, not with the jobs, and only the combinations
that are asked for are ever computed.

Source: linear mixed models with a random intercept, e.g. Bayesian Data Analysis (3rd ed., 2013),
chapter 15; for one random intercept V^-1/2 takes a fixed part of the group's mean off each record.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from costlearn.models.distribution import Codes, Floats
from costlearn.models.regression import GRID, NOISE_DF, Term


@dataclass(frozen=True)
class Contrasts:
    """Jointly t distributed combinations of effects, in log points.

    ``mean`` has shape (q,), ``covariance`` (q, q); ``noise`` is the spread of single records;
    ``evidence`` the log marginal likelihood, up to what all fits to the same records share.
    """

    mean: Floats
    covariance: Floats
    df: float
    noise: float
    evidence: float = 0.0

    def times(self, weights: Floats) -> tuple[float, float]:
        """Mean and spread of a weighted sum of them, weights of shape (q,)."""
        spread = np.sqrt(max(float(weights @ self.covariance @ weights), 0.0))
        return float(weights @ self.mean), float(spread)


@dataclass(frozen=True)
class _Sums:
    """What the records come to once job factors are taken out: gram (p, p), cross (p,), square."""

    gram: Floats
    cross: Floats
    square: float
    count: int


def contrasts(
    columns: Floats,
    log_total: Floats,
    terms: Sequence[Term],
    wanted: Floats,
    start: float,
    *,
    groups: Codes | None = None,
    share: float = 0.0,
) -> Contrasts:
    """Learn combinations of effects from records.

    Args:
        columns: shape (n, p), whatever stands for the level (an intercept, groups) among them.
        log_total: shape (n,).
        terms: the priors of the p columns.
        wanted: shape (q, p), the combinations asked for.
        start: where the noise scale starts.
        groups: shape (n,), codes of the jobs; None where each record is a job of its own.
        share: spread of what the records of a job have in common, in noise scales.
    """
    prior = np.array([t.mean for t in terms])
    design, rest = columns, log_total - columns @ prior
    if groups is not None and share > 0:
        design, rest = _without_jobs(design, groups, share), _without_jobs(rest, groups, share)
    sums = _Sums(design.T @ design, design.T @ rest, float(rest @ rest), len(rest))
    return _over_grid(sums, prior, terms, wanted, start)


def _without_jobs(values: Floats, groups: Codes, share: float) -> Floats:
    """Each record less the part of its job's mean that whitens the shared factor."""
    count = np.bincount(groups).astype(float)
    part = 1 - 1 / np.sqrt(1 + count * share**2)
    table = values.reshape(len(values), -1)
    sums = np.zeros((len(count), table.shape[1]))
    np.add.at(sums, groups, table)
    taken = (part / np.maximum(count, 1))[:, None] * sums
    return np.asarray((table - taken[groups]).reshape(values.shape))


def _over_grid(
    sums: _Sums, prior: Floats, terms: Sequence[Term], asked: Floats, start: float
) -> Contrasts:
    """Posterior of the asked combinations, mixed over the shrinkage grid."""
    fixed = np.array([t.sd for t in terms])
    shrunk = np.array([t.shrunk for t in terms])
    df = NOISE_DF + sums.count
    logs, means, covariances, variances = [], [], [], []
    for step in GRID if shrunk.any() else (0.6,):
        spread = np.where(shrunk, step * fixed, fixed)
        root = np.linalg.cholesky(sums.gram + np.diag(spread**-2.0))
        right = np.linalg.solve(root, np.column_stack([sums.cross, asked.T]))
        shift, reach = right[:, 0], right[:, 1:]
        misfit = max(sums.square - float(shift @ shift), 0.0)
        variance = (NOISE_DF * start**2 + misfit) / df
        logs.append(
            -np.log(np.diag(root)).sum()
            - np.log(spread).sum()
            - 0.5 * df * np.log(variance)
            - 0.5 * np.log(step / 0.6) ** 2
        )
        means.append(asked @ prior + reach.T @ shift)
        covariances.append(variance * (reach.T @ reach))
        variances.append(variance)
    each = [
        Contrasts(mean, cover, df, float(np.sqrt(variance)), log)
        for mean, cover, variance, log in zip(means, covariances, variances, logs, strict=True)
    ]
    return averaged(each, [0.0] * len(each))


def averaged(fits: Sequence[Contrasts], chances: Sequence[float]) -> Contrasts:
    """Fits of the same records under several priors, averaged by how likely each makes them.

    Args:
        fits: with their evidence.
        chances: the log chance of each prior beforehand, up to a constant.
    """
    logs = np.array([f.evidence for f in fits]) + np.array(chances)
    weight = np.exp(logs - logs.max())
    evidence = float(logs.max() + np.log(weight.sum()))
    weight /= weight.sum()
    every = np.array([f.mean for f in fits])
    middle = weight @ every
    off = every - middle
    within = np.tensordot(weight, np.array([f.covariance for f in fits]), 1)
    between = (weight[:, None] * off).T @ off
    noise = float(np.sqrt(weight @ np.array([f.noise**2 for f in fits])))
    cover = np.asarray(within + between)
    return Contrasts(np.asarray(middle), cover, fits[0].df, noise, evidence)

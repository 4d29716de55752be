"""Using an expert's own number: the contractor's quote is worth more than any algorithm.

Members predict the same total; their weights come from how well each predicted the jobs it had not
seen. Regression on the quote alone adds nothing to "quote times one learned number" below some 20
jobs; the mixture of both does, at every size.

Source of the weights: stacking of predictive densities by leave-one-out, Bayesian Analysis 13(3),
2018, here with one pseudo-job for each member so that few jobs never silence one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import special

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Floats, LogSpread, Multipliers, log_density
from costlearn.models.regression import (
    NOISE_DF,
    LeaveOneOut,
    PriorRegression,
    Term,
    expert_spread,
    with_expert,
)


@dataclass(frozen=True)
class Member:
    """One way to predict: where the new job lands, and where it would have put the known ones."""

    name: str
    centre: float
    scale: float
    df: float
    loo: LeaveOneOut
    pseudo_jobs: float = 1.0

    @property
    def spread(self) -> LogSpread:
        """The member on its own, as a predictive distribution."""
        return LogSpread(self.centre, self.scale, Multipliers.from_errors(self.loo.errors, self.df))


@dataclass(frozen=True)
class Mixed:
    """A mixture's distribution with the weight of each member, by name."""

    spread: LogSpread
    weights: dict[str, float]
    loo: LeaveOneOut


def mix(members: Sequence[Member]) -> Mixed:
    """Join members that predicted the same jobs in the same order.

    Centres and scales are averaged with the weights; the multipliers come from the mixture's own
    leave-one-out errors; the degrees of freedom are the smallest of the members'.

    Raises:
        NothingToSay: no members, or members that speak of different jobs.
    """
    if not members:
        raise NothingToSay("there is no member to mix")
    observed = members[0].loo.observed
    if any(m.loo.observed.shape != observed.shape for m in members):
        raise NothingToSay("members that predicted different jobs cannot be mixed")
    weight = _weights(
        np.stack([_log_density(m.loo) for m in members]),
        np.array([m.pseudo_jobs for m in members]),
    )
    df = min(m.df for m in members)
    loo = LeaveOneOut(
        weight @ np.stack([m.loo.centre for m in members]),
        weight @ np.stack([m.loo.scale for m in members]),
        observed,
        df,
    )
    spread = LogSpread(
        float(weight @ [m.centre for m in members]),
        float(weight @ [m.scale for m in members]),
        Multipliers.from_errors(loo.errors, df),
    )
    return Mixed(spread, {m.name: float(w) for m, w in zip(members, weight, strict=True)}, loo)


def one_number(total: Floats, expert: Floats, new_expert: float) -> Member:
    """The member "expert's number times one learned number".

    Args:
        total: what the jobs came to, (n,), positive.
        expert: what the expert said of them, (n,), positive.
        new_expert: what he says of the new job.
    """
    model = PriorRegression(
        terms=(),
        start_spread=expert_spread(np.log(total / expert)),
        intercept=0.0,
        intercept_sd=2.0,
    )
    model.fit(np.empty((len(total), 0)), total / expert)
    spread = model.distribution(np.empty(0)).times(new_expert)
    moved = LeaveOneOut(
        model.loo_.centre + np.log(expert), model.loo_.scale, np.log(total), model.df_
    )
    return Member("number", spread.centre, spread.scale, model.df_, moved)


BELIEF_JOBS = 6.0
"""How many pseudo-jobs a stated belief weighs in the mixture, each other member weighing one: it
leads while jobs are few and is outvoted where experience foretells better."""
BIAS_SHARE, NOISE_SHARE = 0.6, 0.8
"""How a stated spread divides into a lasting bias of the belief and the noise of single jobs."""


def belief_scale(spread: float) -> float:
    """Scale of a t distribution with 3 degrees of freedom whose 80 % interval is +-``spread``."""
    return float(np.log1p(spread) / special.stdtrit(NOISE_DF, 0.9))


def belief_alone(belief: float, spread: float) -> LogSpread:
    """Where a job lands by the belief alone: 8 in 10 within ``spread`` (a share) either way."""
    return LogSpread(
        float(np.log(belief)), belief_scale(spread), Multipliers.from_errors((), NOISE_DF)
    )


def belief_model(
    columns: Floats, terms: Sequence[Term], total: Floats, beliefs: Floats, spread: float
) -> PriorRegression:
    """How a stated belief errs, as a regression of total / belief; see :func:`from_belief`.

    Args:
        columns: shape (n, p), of jobs whose belief is known.
        terms: priors of the columns.
        total: shape (n,), what the jobs came to.
        beliefs: shape (n,), what the belief says of them.
        spread: how far off it may be, a share.
    """
    scale = belief_scale(spread)
    return PriorRegression(
        tuple(
            replace(t, mean=t.mean if t.role == "drift" else 0.0, sd=t.sd / 2, role="")
            for t in terms
        ),
        start_spread=NOISE_SHARE * scale,
        intercept=0.0,
        intercept_sd=BIAS_SHARE / NOISE_SHARE,
    ).fit(columns, total / beliefs)


def from_belief(
    columns: Floats,
    terms: Sequence[Term],
    total: Floats,
    beliefs: Floats,
    row: Floats,
    new_belief: float,
    spread: float,
) -> Member:
    """The member that starts from a stated belief and learns how it errs, from 1 job upward.

    The belief has thought of size and items already, so columns start from no effect and half their
    usual spread, but for the drift of prices: the belief is of today, the jobs are not. The common
    factor starts from 1 with part of the stated spread. With no jobs the answer is
    :func:`belief_alone`.

    Args:
        columns: shape (n, p), of jobs whose belief is known.
        terms: priors of the columns.
        total: shape (n,), what the jobs came to.
        beliefs: shape (n,), what the same belief says of them.
        row: shape (p,), the new job.
        new_belief: what it says of the new job.
        spread: how far off it may be, a share.
    """
    model = belief_model(columns, terms, total, beliefs, spread)
    spread_of = model.distribution(row).times(new_belief)
    moved = LeaveOneOut(
        model.loo_.centre + np.log(beliefs), model.loo_.scale, np.log(total), model.df_
    )
    return Member("belief", spread_of.centre, spread_of.scale, model.df_, moved, BELIEF_JOBS)


def with_quote(
    columns: Floats,
    terms: Sequence[Term],
    total: Floats,
    expert: Floats,
    row: Floats,
    new_expert: float,
) -> tuple[Member, Member]:
    """The two members of a quoted job: regression on quote and items, and quote times one number.

    Args:
        columns: shape (n, p), of jobs that had a quote.
        terms: priors of the columns, as used without a quote.
        total: shape (n,).
        expert: shape (n,), the quotes.
        row: shape (p,), the new job.
        new_expert: its quote.
    """
    model = PriorRegression(terms=with_expert(terms))
    model.fit(np.column_stack([columns, np.log(expert)]), total)
    spread = model.distribution(np.append(row, np.log(new_expert)))
    joined = Member("regression", spread.centre, spread.scale, model.df_, model.loo_)
    return joined, one_number(total, expert, new_expert)


def subset(loo: LeaveOneOut, keep: NDArray[np.bool_]) -> LeaveOneOut:
    """Leave-one-out predictions of some of the jobs; ``keep`` is a mask of shape (n,)."""
    return LeaveOneOut(loo.centre[keep], loo.scale[keep], loo.observed[keep], loo.df)


def _log_density(loo: LeaveOneOut) -> Floats:
    density = log_density(loo.errors, loo.df) - np.log(loo.scale)
    return np.asarray(density, dtype=float)


def _weights(log_density: Floats, pseudo: Floats, rounds: int = 200) -> Floats:
    """Weights that make the mixture's density of unseen jobs largest, by EM; shape (m,)."""
    count, jobs = log_density.shape
    density = np.exp(log_density - log_density.max(axis=0))
    weight = np.full(count, 1 / count) if jobs else pseudo / pseudo.sum()
    for _ in range(rounds):
        share = weight[:, None] * density
        share /= share.sum(axis=0)
        fresh = (share.sum(axis=1) + pseudo) / (jobs + pseudo.sum())
        if np.abs(fresh - weight).max() < 1e-8:
            break
        weight = fresh
    return weight

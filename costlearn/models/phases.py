"""Phases of one new job, drawn together so that they sum to the total in every draw.

Each phase has its own distribution and a chance to occur; a job that runs long tends to run long in
every phase, so the draws share a job factor whose strength comes from the leave-one-out errors of
the phase models. The total keeps its own, better calibrated distribution: draws are coupled to it
by rank and the phases scaled to fit. P90s of phases are never added.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats
from scipy.stats import qmc

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Draws, Floats, LogSpread

DRAWS = 4096
PRIOR_JOBS = 5.0
PRIOR_SHARED = 0.2


@dataclass(frozen=True)
class PhaseChance:
    """One phase of the new job: its distribution if it occurs, and the chance that it does."""

    name: str
    spread: LogSpread
    chance: float


def shared_factor(errors: Floats) -> float:
    """How much of the phase errors a job has in common, 0 to .9.

    Args:
        errors: studentised leave-one-out errors, shape (jobs, phases), NaN where a phase is absent.

    The mean product of two errors of one job, joined with 5 jobs of .2 (trade judgement).
    """
    size = np.clip(errors, -3, 3)
    known = ~np.isnan(size)
    count = known.sum(axis=1)
    total = np.where(known, size, 0.0).sum(axis=1)
    square = np.where(known, size**2, 0.0).sum(axis=1)
    pairs = count * (count - 1)
    several = pairs > 0
    jobs = int(several.sum())
    product = float(np.mean((total**2 - square)[several] / pairs[several])) if jobs else 0.0
    return float(
        np.clip((jobs * product + PRIOR_JOBS * PRIOR_SHARED) / (jobs + PRIOR_JOBS), 0, 0.9)
    )


def draw_together(
    phases: Sequence[PhaseChance], shared: float, total: LogSpread, seed: int = 0
) -> tuple[Draws, ...]:
    """Draws of each phase, in order, whose sum in each draw is a draw of the total.

    A phase that does not occur in a draw counts 0 there. Draws of one phase come back sorted; use
    :func:`draw_matrix` where the draws must stay together.

    Raises:
        NothingToSay: no phases were given.
    """
    matrix = draw_matrix(phases, shared, total, seed)
    return tuple(Draws.of(matrix[:, k]) for k in range(len(phases)))


def draw_matrix(
    phases: Sequence[PhaseChance], shared: float, total: LogSpread, seed: int = 0
) -> Floats:
    """Draws of all phases together, shape (4096, phases); each row sums to a draw of the total.

    Raises:
        NothingToSay: no phases were given.
    """
    if not phases:
        raise NothingToSay("there are no phases to draw")
    count = len(phases)
    points = qmc.Sobol(2 * count + 1, seed=np.random.default_rng(seed)).random(DRAWS)
    normal = stats.norm.ppf(np.clip(points, 1e-9, 1 - 1e-9))
    joint = np.sqrt(shared) * normal[:, :1] + np.sqrt(1 - shared) * normal[:, 1 : count + 1]
    chance = stats.norm.cdf(joint)
    occurs = points[:, count + 1 :] < np.array([p.chance for p in phases])
    values = np.column_stack([p.spread.quantiles(chance[:, k]) for k, p in enumerate(phases)])
    likeliest = int(np.argmax([p.chance for p in phases]))
    occurs[~occurs.any(axis=1), likeliest] = True
    values = np.where(occurs, values, 0.0)
    sums = values.sum(axis=1)
    wanted = np.empty(DRAWS)
    wanted[np.argsort(sums, kind="stable")] = total.quantiles((np.arange(DRAWS) + 0.5) / DRAWS)
    return np.asarray(values * (wanted / sums)[:, None], dtype=float)

"""Partial pooling of the levels of a few groups: unequal counts, heavy tails, values of any sign.

Answers "which group is truly higher?" where a group of two lucky records looks best: each group's
level is drawn towards the common one by as much as the records say groups are alike, and a record
far off moves its group little.

Model: y = level(group) + e, level ~ N(m, tau^2), e ~ t_nu(0, sigma^2 r(group)^2 / weight). The
levels, m, tau, sigma, nu and the ratios r of the groups' own scatter to the common one are all
integrated over grids; only the odds between groups are drawn. Source: hierarchical models with t
errors, Bayesian Data Analysis (3rd ed., 2013), chapters 5 and 17.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import special
from scipy.stats import qmc

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Codes, Floats, Interval

NOISE_RECORDS = 4.0
"""The usual scatter counts for so many records."""
NOISE = np.geomspace(0.3, 3.3, 13)
"""Common scatter, in units of the robust one."""
OWN_NOISE = ((0.6, 0.2), (1.0, 0.6), (1.6, 0.2))
"""A group's scatter over the common one, with what speaks for it beforehand."""
TAILS = ((3.0, 0.4), (8.0, 0.4), (40.0, 0.2))
"""Degrees of freedom of the errors, with what speaks for them beforehand."""
BETWEEN = (0.03, 0.12, 0.25, 0.42, 0.65, 0.95, 1.35, 1.9, 2.7, 3.8)
"""Spread between groups, in units of the robust scatter."""
BETWEEN_PRIOR = 1.2
STEP = 0.06
POINTS = 601
"""Levels stand so many scatters apart, and at most so many of them are weighed."""
REACH = 7.0
"""The grid of levels goes so many scatters beyond the lowest and the highest group."""
DRAWS = 2048


@dataclass(frozen=True)
class Levels:
    """What is known of the level of each group, in the order of their codes.

    ``at`` are values, shape (g,); ``chance`` how likely each level lies there, shape (k, g), rows
    adding up to 1; ``beats[a, b]`` is the chance that a is above b; ``best`` that each is the
    highest of all. ``scatter`` is the spread of single records, ``between`` that of groups, middles
    both.
    """

    at: Floats
    chance: Floats
    beats: Floats
    best: Floats
    scatter: float
    between: float

    def quantile(self, group: int, p: float) -> float:
        """The value a group's level lies under with a chance."""
        rising = np.cumsum(self.chance[group])
        middle = rising - self.chance[group] / 2
        return float(np.interp(p, middle, self.at))

    def interval(self, group: int, level: float = 0.8) -> Interval:
        """Interval of a group's level."""
        low, high = (self.quantile(group, p) for p in ((1 - level) / 2, (1 + level) / 2))
        return Interval(level, low, high)

    def middle(self, group: int) -> float:
        """The middle of what is known of a group's level."""
        return self.quantile(group, 0.5)

    def chance_above(self, group: int, value: float) -> float:
        """The chance that a group's level is above a value."""
        rising = np.cumsum(self.chance[group])
        return float(1 - np.interp(value, self.at, rising - self.chance[group] / 2, 0.0, 1.0))


def pool_levels(
    values: ArrayLike, group: ArrayLike, usual: float, weight: ArrayLike | None = None
) -> Levels:
    """Pool the levels of groups.

    Args:
        values: shape (n,), one record each, any sign.
        group: shape (n,), codes 0..k-1, each occurring at least once.
        usual: scatter of records to be expected before any is seen, above zero; it counts for four
            records, so a dozen outweigh it.
        weight: shape (n,), how much of its scatter's square a record has, over the usual record's:
            2 is as good as two records; default all 1.

    Raises:
        NothingToSay: no records, shapes that do not fit, or a scatter that is none.
    """
    y = np.asarray(values, dtype=float)
    g = np.asarray(group, dtype=np.int64)
    w = np.ones(len(y)) if weight is None else np.asarray(weight, dtype=float)
    if not len(y) or y.shape != g.shape or y.shape != w.shape:
        raise NothingToSay("there are no records to pool, or their groups do not fit them")
    if not (usual > 0 and np.isfinite(y).all() and (w > 0).all()):
        raise NothingToSay("a record, its weight or the usual scatter is no number to pool by")
    count = int(g.max()) + 1
    unit = _robust(y, g, w, usual)
    middles = np.array([np.median(y[g == k]) for k in range(count)])
    centre = float(np.median(middles))
    ends = (middles.min() - centre) / unit - REACH, (middles.max() - centre) / unit + REACH
    at = np.linspace(*ends, min(POINTS, int((ends[1] - ends[0]) / STEP) + 1))
    grid = _weighed(at, (y - centre) / unit, g, w, usual / unit)
    drawn = _drawn(grid, at)
    higher = (drawn[:, :, None] > drawn[:, None, :]).mean(axis=0)
    best = np.bincount(drawn.argmax(axis=1), minlength=count) / DRAWS
    scatter = np.repeat(NOISE, len(TAILS))
    return Levels(
        centre + unit * at,
        _chances(grid),
        np.asarray(higher + 0.5 * np.eye(count), dtype=float),
        np.asarray(best, dtype=float),
        unit * float(grid.weight.sum(axis=0) @ scatter),
        unit * float(grid.weight.sum(axis=1) @ np.array(BETWEEN)),
    )


@dataclass(frozen=True)
class _Grid:
    """What the records say at each point: scatter with its tails (s) by spread of groups (t).

    ``seen`` how well each level explains each group's records, shape (s, k, g); ``given`` the same
    for a common level, groups' own levels integrated, shape (t, s, k, g); ``kernels`` the chances
    of levels for a common one, shape (t, g, g); ``weight`` of the points, shape (t, s);
    ``common`` chances of the common level at each, shape (t, s, g).
    """

    seen: Floats
    given: Floats
    kernels: Floats
    weight: Floats
    common: Floats


def _weighed(at: Floats, y: Floats, g: Codes, w: Floats, usual: float) -> _Grid:
    kernels = np.stack([_kernel(at, tau) for tau in BETWEEN])
    points = [(sigma, df, tail) for sigma in NOISE for df, tail in TAILS]
    likely = [_likelihood(at, y, g, w, sigma, df) for sigma, df, _ in points]
    seen = np.stack([one for one, _ in likely])
    before = np.array([np.log(tail) + _noise_prior(sigma, usual) for sigma, _, tail in points])
    scale = np.array([factor for _, factor in likely])
    given = np.maximum(np.einsum("skl,tlm->tskm", seen, kernels, optimize=True), 1e-300)
    logs = np.log(given).sum(axis=2)
    top = logs.max(axis=2, keepdims=True)
    common = np.exp(logs - top)
    evidence = np.log(common.sum(axis=2)) + top[:, :, 0] + before + scale
    evidence += np.array([_between_prior(tau) for tau in BETWEEN])[:, None]
    weight = np.exp(evidence - evidence.max())
    return _Grid(
        seen, given, kernels, weight / weight.sum(), common / common.sum(axis=2, keepdims=True)
    )


def _chances(grid: _Grid) -> Floats:
    """The chance of each level of each group, shape (k, g): a level needs only its common one."""
    share = grid.common[:, :, None, :] * grid.weight[:, :, None, None] / grid.given
    back = np.einsum("tlm,tskm->skl", grid.kernels, share, optimize=True)
    chance = (grid.seen * back).sum(axis=0)
    return np.asarray(chance / chance.sum(axis=1, keepdims=True), dtype=float)


def _drawn(grid: _Grid, at: Floats) -> Floats:
    """Levels of all groups drawn together, shape (draws, k): a point, a common level, the levels.

    Quasi-random with a fixed seed, so that the same records always give the same odds.
    """
    count = grid.seen.shape[1]
    uniform = qmc.Sobol(count + 2, seed=np.random.default_rng(0)).random(DRAWS)
    spreads, scatters = grid.weight.shape
    point = np.searchsorted(np.cumsum(grid.weight.ravel()), uniform[:, 0]).clip(
        max=spreads * scatters - 1
    )
    t, s = np.divmod(point, scatters)
    rising = np.cumsum(grid.common[t, s], axis=1)
    common = (rising < uniform[:, 1:2]).sum(axis=1).clip(max=len(at) - 1)
    chance = grid.seen[s] * grid.kernels[t, :, common][:, None, :]
    rising = np.cumsum(chance, axis=2)
    wanted = uniform[:, 2:, None] * rising[:, :, -1:]
    cell = (rising < wanted).sum(axis=2).clip(max=len(at) - 1)
    inside = np.take_along_axis(chance, cell[:, :, None], axis=2)[:, :, 0]
    before = np.take_along_axis(rising, cell[:, :, None], axis=2)[:, :, 0] - inside
    part = (wanted[:, :, 0] - before) / np.maximum(inside, 1e-300)
    return np.asarray(at[cell] + (at[1] - at[0]) * (part - 0.5), dtype=float)


def _likelihood(
    at: Floats, y: Floats, g: Codes, w: Floats, sigma: float, df: float
) -> tuple[Floats, float]:
    """How well each level explains its group's records, shape (k, g), and a common log factor."""
    off = np.square((y[:, None] - at[None, :]) * np.sqrt(w)[:, None] / sigma)
    member = np.eye(int(g.max()) + 1)[g].T
    logs = np.stack(
        [
            np.log(share)
            + member @ (-(df + 1) / 2 * np.log1p(off / (ratio**2 * df)) - np.log(ratio))
            for ratio, share in OWN_NOISE
        ]
    )
    top = logs.max(axis=(0, 2))
    seen = np.exp(logs - top[None, :, None]).sum(axis=0)
    whole = special.gammaln((df + 1) / 2) - special.gammaln(df / 2) - np.log(df) / 2 - np.log(sigma)
    return np.asarray(seen, dtype=float), float(top.sum() + len(y) * whole)


def _kernel(at: Floats, tau: float) -> Floats:
    """Chances of the levels, shape (levels, m), for each common level m on the same grid.

    A spread narrower than the grid's step still adds up to 1, on the nearest points.
    """
    step = at[1] - at[0]
    edges = np.concatenate([at - step / 2, [at[-1] + step / 2]])
    rising = special.ndtr((edges[:, None] - at[None, :]) / tau)
    return np.asarray(np.diff(rising, axis=0), dtype=float)


def _robust(y: Floats, g: Codes, w: Floats, usual: float) -> float:
    """Scatter of records about their group's middle, drawn towards the usual one."""
    middles = np.array([np.median(y[g == k]) for k in range(int(g.max()) + 1)])
    off = np.abs(y - middles[g]) * np.sqrt(w)
    free = max(len(y) - len(middles), 0)
    # Half the middle records are at their own median, with no distance: those tell nothing.
    told = off[off > 0] if free else off[:0]
    seen = 1.4826 * float(np.median(told)) if len(told) else 0.0
    return float(np.sqrt((free * seen**2 + NOISE_RECORDS * usual**2) / (free + NOISE_RECORDS)))


def _noise_prior(sigma: float, usual: float) -> float:
    """Log of a scaled inverse chi-square of the scatter, on a grid of even steps in the log."""
    return float(-NOISE_RECORDS * np.log(sigma) - NOISE_RECORDS / 2 * (usual / sigma) ** 2)


def _between_prior(tau: float) -> float:
    """Log of a half-normal, times the stretch the grid point stands for."""
    grid = np.array(BETWEEN)
    k = BETWEEN.index(tau)
    edges = np.concatenate(
        [[0.0], (grid[1:] + grid[:-1]) / 2, [grid[-1] + (grid[-1] - grid[-2]) / 2]]
    )
    return float(np.log(edges[k + 1] - edges[k]) - 0.5 * (tau / BETWEEN_PRIOR) ** 2)

"""Pooling of log ratios: brute-force posterior, planted overruns, honest odds."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from costlearn.errors import NothingToSay
from costlearn.models import pooling
from costlearn.models.distribution import Codes, Floats
from costlearn.models.pooling import called_over, pool


def firm(
    rng: np.random.Generator, jobs: int, truth: Floats, noise: float = 0.25, shared: float = 0.1
) -> tuple[Floats, Codes, Codes]:
    """Every job has every phase: phase mean + what the job has in common + own noise."""
    k = len(truth)
    job = np.repeat(np.arange(jobs), k)
    group = np.tile(np.arange(k), jobs)
    both = rng.normal(0, shared, jobs)[job] + rng.normal(0, noise, jobs * k)
    return truth[group] + both, group, job


def test_posterior_is_that_of_the_full_covariance_matrix(monkeypatch: pytest.MonkeyPatch):
    """One grid point: condition the joint normal of y and the group means, job effects and all."""
    tau, omega = 0.1, 0.14
    monkeypatch.setattr(pooling, "BETWEEN", (tau,))
    monkeypatch.setattr(pooling, "SHARED", (omega,))
    monkeypatch.setattr(pooling, "_width", lambda grid, value: 1.0)
    rng = np.random.default_rng(4)
    y, g, j = firm(rng, 6, np.array([0.0, 0.1, 0.3]))
    keep = rng.random(len(y)) < 0.8
    y, g, j = y[keep], g[keep], j[keep]
    found = pool(y, g, j)
    noise = np.array([one.noise for one in found.groups])
    k = 3
    prior = tau**2 * np.eye(k) + pooling.COMMON_SD**2
    in_group = np.eye(k)[g]
    in_job = np.eye(6)[j]
    cover = in_group @ prior @ in_group.T + omega**2 * in_job @ in_job.T + np.diag(noise[g] ** 2)
    gain = prior @ in_group.T @ np.linalg.inv(cover)
    mean = gain @ y
    variance = np.diag(prior - gain @ in_group @ prior)
    assert [one.mean for one in found.groups] == pytest.approx(mean, rel=1e-8)
    assert [one.sd for one in found.groups] == pytest.approx(np.sqrt(variance), rel=1e-8)


def test_weights_of_the_grid_are_the_marginal_density_of_the_records(
    monkeypatch: pytest.MonkeyPatch,
):
    """Two grid points for tau: their odds are those of two multivariate normals, priors aside."""
    monkeypatch.setattr(pooling, "SHARED", (0.1,))
    monkeypatch.setattr(pooling, "_width", lambda grid, value: 1.0)
    y, g, j = firm(np.random.default_rng(6), 5, np.array([0.0, 0.0, 0.5]))
    taus = (0.05, 0.3)
    monkeypatch.setattr(pooling, "BETWEEN", taus)
    found = pool(y, g, j)
    noise = np.array([one.noise for one in found.groups])
    in_group, in_job = np.eye(3)[g], np.eye(5)[j]
    logs = []
    for tau in taus:
        prior = tau**2 * np.eye(3) + pooling.COMMON_SD**2
        cover = in_group @ prior @ in_group.T + 0.01 * in_job @ in_job.T + np.diag(noise[g] ** 2)
        density = stats.multivariate_normal(np.zeros(len(y)), cover).logpdf(y)
        logs.append(density - 0.5 * (tau / pooling.BETWEEN_PRIOR) ** 2)
    weight = np.exp(np.array(logs) - max(logs))
    weight /= weight.sum()
    assert found.between**2 == pytest.approx(weight @ np.array(taus) ** 2, rel=1e-6)


def test_grid_cells_cover_the_axis_without_gaps():
    for grid in (pooling.BETWEEN, pooling.SHARED):
        widths = [pooling._width(grid, value) for value in grid]
        last = grid[-1] + (grid[-1] - grid[-2]) / 2
        assert sum(widths) == pytest.approx(last)
        assert min(widths) > 0


def test_planted_overruns_are_found():
    truth = np.log([1.0, 1.0, 1.0, 1.35, 1.0, 1.0, 0.8, 1.0])
    found = pool(*firm(np.random.default_rng(1), 60, truth, noise=0.2))
    means = np.array([g.mean for g in found.groups])
    assert np.abs(means - truth).max() < 0.07
    assert int(np.argmax(means)) == 3
    assert int(np.argmin(means)) == 6
    assert found.groups[3].chance_above(1.05) > 0.99
    assert found.groups[6].chance_above(1.0) < 0.01
    assert found.shared == pytest.approx(0.1, abs=0.05)
    assert [g.count for g in found.groups] == [60] * 8


def test_no_winners_curse():
    """8 alike phases, 5 jobs, 60 firms: the worst-looking one reads high raw, and barely pooled."""
    raw, pooled = [], []
    for seed in range(60):
        found = pool(*firm(np.random.default_rng(seed), 5, np.zeros(8)))
        worst = int(np.argmax([g.mean for g in found.groups]))
        raw.append(found.groups[worst].raw)
        pooled.append(found.groups[worst].mean)
    assert np.mean(raw) > 0.12
    assert np.mean(pooled) < 0.06


def test_a_job_bad_everywhere_is_not_held_against_one_phase():
    """Phase 2 was recorded only in the job where everything doubled: that is the job's doing."""
    rng = np.random.default_rng(2)
    y, g, j = firm(rng, 8, np.zeros(4), noise=0.05, shared=0.02)
    y[j == 7] += np.log(2)
    keep = (g != 2) | (j == 7)
    found = pool(y[keep], g[keep], j[keep])
    assert found.groups[2].raw > 0.6
    assert found.groups[2].mean < 0.5 * found.groups[2].raw


def test_raw_is_the_plain_mean_and_means_lie_between_it_and_the_common_one():
    y, g, j = firm(np.random.default_rng(9), 6, np.array([0.0, 0.4, 0.1, 0.0]), shared=0.01)
    found = pool(y, g, j)
    for k, one in enumerate(found.groups):
        assert one.raw == pytest.approx(y[g == k].mean())
    worst = found.groups[1]
    assert found.common < worst.mean < worst.raw


def test_chances_are_kept():
    """150 firms whose phases truly scatter by .15: of the overruns called likely at 10 % steps,
    that share is true. Bands hold 3 spreads of a share of the records in each step."""
    said: list[float] = []
    true: list[bool] = []
    inside: list[bool] = []
    for seed in range(150):
        rng = np.random.default_rng(1000 + seed)
        truth = rng.normal(0.05, 0.12, 6)
        for one, real in zip(pool(*firm(rng, 8, truth)).groups, truth, strict=True):
            said.append(one.chance_above(1.05))
            true.append(bool(np.exp(real) > 1.05))
            inside.append(one.interval(0.8).holds(float(np.exp(real))))
    chance, fact = np.array(said), np.array(true, dtype=float)
    for low, high in ((0.0, 0.2), (0.2, 0.5), (0.5, 0.8), (0.8, 1.0)):
        chosen = (chance >= low) & (chance < high + 1e-9)
        assert chosen.sum() > 40
        spread = np.sqrt(0.25 / chosen.sum())
        assert fact[chosen].mean() == pytest.approx(chance[chosen].mean(), abs=3 * spread)
    assert np.mean(inside) == pytest.approx(0.8, abs=0.05)


def test_next_record_holds_its_share_and_is_wider_than_the_mean():
    held = []
    for seed in range(80):
        rng = np.random.default_rng(500 + seed)
        truth = rng.normal(0.05, 0.12, 5)
        found = pool(*firm(rng, 10, truth))
        fresh = truth + rng.normal(0, 0.1) + rng.normal(0, 0.25, 5)
        for k in range(5):
            both = found.next_record(k), found.groups[k].interval()
            assert both[0].ratio > both[1].ratio
            held.append(both[0].holds(float(np.exp(fresh[k]))))
    assert np.mean(held) == pytest.approx(0.8, abs=0.07)


def test_chances_agree_with_the_intervals():
    found = pool(*firm(np.random.default_rng(3), 7, np.array([0.0, 0.2])))
    one = found.groups[1]
    assert one.chance_above(one.interval(0.8).low) == pytest.approx(0.9)
    assert found.chance_next_above(1, found.next_record(1, 0.5).high) == pytest.approx(0.25)


def test_records_of_one_group_and_of_one_record():
    found = pool([0.1, 0.3, 0.2], [0, 0, 0], [0, 1, 2])
    assert 0.1 < found.groups[0].mean < 0.25
    single = pool([0.2], [0], [0])
    assert np.isfinite(single.groups[0].sd)
    assert single.groups[0].df == 4


def test_nothing_to_pool_is_said():
    with pytest.raises(NothingToSay):
        pool([], [], [])
    with pytest.raises(NothingToSay):
        pool([0.1, 0.2], [0], [0, 1])


def test_next_records_are_drawn_as_their_intervals_say_and_hang_together():
    """A job effect of .3 over noise of .1: correlation near .09 / (.09 + .01) = .9."""
    y, g, j = firm(np.random.default_rng(8), 30, np.array([0.0, 0.1, 0.2]), 0.1, 0.3)
    found = pool(y, g, j)
    drawn = found.draw_next(seed=2)
    assert drawn.shape == (pooling.DRAWS, 3)
    for k in range(3):
        said = found.next_record(k, 0.8)
        assert np.quantile(drawn[:, k], [0.1, 0.9]) == pytest.approx(
            [said.low, said.high], rel=0.02
        )
    ties = np.corrcoef(np.log(drawn).T)
    assert ties[0, 1] == pytest.approx(0.85, abs=0.1)
    assert np.array_equal(drawn, found.draw_next(seed=2))


def test_means_hang_together_and_their_spreads_are_the_diagonal():
    found = pool(*firm(np.random.default_rng(8), 6, np.zeros(4)))
    assert np.sqrt(np.diag(found.cover)) == pytest.approx([g.sd for g in found.groups])
    assert found.cover[0, 1] > 0


def test_calls_need_the_chance_and_the_correction():
    """Chances .04 under and 9 of .9: alone it passes .05, among ten not (.04 > .2 / 10)."""
    y, g, j = firm(np.random.default_rng(1), 40, np.log([1.0, 1.0, 1.3, 1.0]), noise=0.2)
    found = pool(y, g, j)
    assert called_over(found, 1.05) == (False, False, True, False)

    def with_luck(*luck: float) -> pooling.PooledGroups:
        groups = tuple(
            replace(found.groups[0], mean=float(np.log(1.05) + stats.t.isf(p, 1e6)), sd=1.0, df=1e6)
            for p in luck
        )
        return replace(found, groups=groups)

    assert called_over(with_luck(0.04), 1.05) == (True,)
    assert called_over(with_luck(0.06), 1.05) == (False,)
    assert called_over(with_luck(0.04, *[0.9] * 9), 1.05) == (False,) * 10
    assert called_over(with_luck(0.015, *[0.9] * 9), 1.05) == (True, *[False] * 9)

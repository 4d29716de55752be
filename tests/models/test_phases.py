"""Phases drawn together: rows sum to the total, the total keeps its own distribution."""

import numpy as np
import pytest

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Draws, LogSpread, Multipliers
from costlearn.models.phases import (
    DRAWS,
    PhaseChance,
    draw_matrix,
    draw_together,
    shared_factor,
)

T12 = Multipliers.from_errors([], 12.0)


def lands(middle: float, scale: float = 0.25) -> LogSpread:
    return LogSpread(float(np.log(middle)), scale, T12)


PHASES = (
    PhaseChance("demo", lands(1500), 1.0),
    PhaseChance("plumbing", lands(3000), 0.9),
    PhaseChance("tile", lands(5000, 0.35), 1.0),
    PhaseChance("glass", lands(1800), 0.3),
)
TOTAL = lands(12_000, 0.15)


def test_rows_sum_to_draws_of_the_total():
    matrix = draw_matrix(PHASES, 0.3, TOTAL)
    assert matrix.shape == (DRAWS, 4)
    assert (matrix >= 0).all()
    sums = np.sort(matrix.sum(axis=1))
    ranks = (np.arange(DRAWS) + 0.5) / DRAWS
    assert sums == pytest.approx(TOTAL.quantiles(ranks), rel=1e-12)
    for p in (0.1, 0.5, 0.9):
        assert np.quantile(sums, p) == pytest.approx(TOTAL.quantile(p), rel=1e-3)


def test_total_far_from_the_sum_of_phases_still_rules():
    total = lands(30_000, 0.05)
    sums = draw_matrix(PHASES, 0.3, total).sum(axis=1)
    assert np.median(sums) == pytest.approx(30_000, rel=1e-3)


def test_order_of_the_sums_is_kept():
    """The draw whose phases sum to the k-th smallest takes the k-th quantile of the total: the
    shares of a row are those of its phases, so large shares of tile go with large totals."""
    matrix = draw_matrix(PHASES, 0.0, TOTAL)
    share = matrix[:, 2] / matrix.sum(axis=1)
    assert np.corrcoef(share, matrix.sum(axis=1))[0, 1] > 0.1


def test_each_phase_occurs_as_often_as_its_chance():
    matrix = draw_matrix(PHASES, 0.3, TOTAL)
    occurs = (matrix > 0).mean(axis=0)
    assert occurs == pytest.approx([1.0, 0.9, 1.0, 0.3], abs=0.01)


def test_some_phase_always_occurs():
    rare = [PhaseChance("a", lands(100), 0.02), PhaseChance("b", lands(100), 0.01)]
    matrix = draw_matrix(rare, 0.0, lands(500))
    assert (matrix.sum(axis=1) > 0).all()
    assert (matrix[:, 0] > 0).mean() > 0.9


def test_phases_of_a_job_move_together_as_much_as_said():
    alike = [PhaseChance(name, lands(1000, 0.3), 1.0) for name in ("a", "b")]
    wide = LogSpread(np.log(2000), 0.3, T12)
    apart = draw_matrix(alike, 0.0, wide.wider(0.7))
    tied = draw_matrix(alike, 0.8, wide.wider(0.95))
    assert np.corrcoef(np.log(tied).T)[0, 1] > np.corrcoef(np.log(apart).T)[0, 1] + 0.4


def test_p90s_of_phases_add_to_more_than_the_p90_of_the_total():
    """Not every phase goes badly at once, so adding the bad cases overstates the bad total."""
    found = draw_together(PHASES[:3], 0.2, lands(9800, 0.18))
    assert sum(d.quantile(0.9) for d in found) > lands(9800, 0.18).quantile(0.9) * 1.03


def test_draws_come_back_in_order_of_the_phases_and_repeat():
    found = draw_together(PHASES, 0.3, TOTAL, seed=5)
    assert all(isinstance(d, Draws) for d in found)
    again = draw_together(PHASES, 0.3, TOTAL, seed=5)
    assert found == again
    assert found != draw_together(PHASES, 0.3, TOTAL, seed=6)
    assert found[2].median == max(d.median for d in found)
    assert found[3].quantile(0.5) == 0.0


def test_one_phase_is_the_total():
    matrix = draw_matrix([PHASES[0]], 0.3, TOTAL)
    assert np.median(matrix) == pytest.approx(12_000, rel=1e-3)


def test_shared_factor_by_hand():
    """One job with errors 1 and 2: product 2; with 5 jobs of .2: (1 x 2 + 5 x .2) / 6."""
    assert shared_factor(np.array([[1.0, 2.0]])) == pytest.approx(3 / 6)
    # three errors 1, 1, 1 make three pairs of product 1; the second job has one phase: no pair
    errors = np.array([[1.0, 1.0, 1.0], [0.5, np.nan, np.nan]])
    assert shared_factor(errors) == pytest.approx((1 + 1) / 6)
    assert shared_factor(np.full((3, 2), np.nan)) == pytest.approx(0.2)


def test_shared_factor_stays_within_bounds():
    assert shared_factor(np.tile([2.5, 2.5], (60, 1))) == 0.9
    assert shared_factor(np.tile([2.0, -2.0], (60, 1))) == 0.0
    wild = np.array([[50.0, 50.0]])
    assert shared_factor(wild) == pytest.approx(min(0.9, (9 + 1) / 6))


def test_shared_factor_recovers_a_planted_one():
    rng = np.random.default_rng(0)
    common = rng.normal(size=(400, 1))
    errors = np.sqrt(0.4) * common + np.sqrt(0.6) * rng.normal(size=(400, 8))
    errors[rng.random(errors.shape) < 0.3] = np.nan
    assert shared_factor(errors) == pytest.approx(0.4, abs=0.06)


def test_no_phases_cannot_be_drawn():
    with pytest.raises(NothingToSay):
        draw_matrix([], 0.3, TOTAL)
    with pytest.raises(NothingToSay):
        draw_together([], 0.3, TOTAL)

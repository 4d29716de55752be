"""The short form of the benchmark of overrun calls holds its bars in every world."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))

import overruns as bench

FIRMS = 80
JOBS = (5, 8, 20)


@pytest.fixture(scope="module")
def rows():
    return [bench.measure(w, n, FIRMS) for w in bench.WORLDS for n in JOBS]


def test_the_truth_of_the_rough_world_is_the_mean_of_its_records():
    """20,000 jobs: a mean of noise about .3 scatters by .002; 5 spreads allowed."""
    rng = np.random.default_rng(3)
    (y, _), truth = bench.WORLDS[1].draw(rng, 20_000, bench.some_over(rng))
    assert y.mean(axis=0) == pytest.approx(truth, abs=0.012)


def test_pooled_intervals_hold_eight_in_ten(rows):
    """Bar 77 to 84 %, here with 800 phases a cell (in tens from one firm): 3 spreads wider."""
    for r in rows:
        assert 0.77 - 0.045 <= r.coverage <= 0.84 + 0.045, r
    assert np.mean([r.coverage for r in rows]) == pytest.approx(0.815, abs=0.03)


def test_the_top_phase_is_neither_inflated_nor_belittled(rows):
    """Bar .04 from 8 jobs up; the mean of 80 firms scatters by about .01; raw is inflated."""
    for r in rows:
        if r.jobs >= 8:
            assert abs(r.top_bias) <= 0.055, r
            assert r.top_bias_raw > r.top_bias, r
    assert np.mean([abs(r.top_bias) for r in rows if r.jobs >= 8]) <= 0.04


def test_pooling_errs_less_than_the_raw_records(rows):
    for r in rows:
        assert r.rmse < r.rmse_raw, r


def test_few_firms_are_told_of_an_overrun_that_is_none(rows):
    """Bar 5 %: of all 720 firms at most 36."""
    assert np.mean([r.wrong for r in rows]) <= 0.05


def test_calls_find_what_plain_tests_find_at_the_same_rate_of_error(rows):
    """Plain tests at a rate of 5 % raise at least as many false calls; power is no worse than
    theirs less 5 points of scatter."""
    ours, plain = (
        np.mean([r.power for r in rows if r.jobs == 20]),
        np.mean([r.power_raw[0] for r in rows if r.jobs == 20]),
    )
    assert ours >= plain - 0.05
    assert np.mean([r.wrong for r in rows]) <= np.mean([r.wrong_raw[1] for r in rows])

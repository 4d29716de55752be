"""The law of the rest of a job, by hand, and the odds it gives."""

import numpy as np
import pytest
from scipy import stats

from costlearn.errors import NothingToSay
from costlearn.models.distribution import LogSpread, Multipliers
from costlearn.models.midjob import (
    Cut,
    Topped,
    carried_over,
    cut,
    fit_carry,
    fit_fixed,
    phase_factors,
    phase_spreads,
    rest_draws,
    spread_shares,
)
from costlearn.models.phases import PhaseChance

NONE = float("nan")


def plain(centre: float = 0.0, scale: float = 0.2, df: float = 30.0) -> LogSpread:
    return LogSpread(centre, scale, Multipliers.from_errors((), df))


def jobs(carried: list[float], rest: list[float]) -> Cut:
    n = len(carried)
    return Cut(np.array(carried), np.array(rest), np.full(n, 0.5), tuple(range(n)))


def test_jobs_are_cut_into_what_is_done_and_the_rest():
    """Job 1: done 100 of 80, rest 300 of 300. Job 2: the part-done phase splits 50:50."""
    actual = np.array([[100.0, 300.0], [40.0, 60.0]])
    budget = np.array([[80.0, 300.0], [40.0, 40.0]])
    found = cut(actual, budget, np.array([1.0, 0.0]))
    assert found.carried == pytest.approx(np.log([1.25, 1.0]))
    assert found.rest == pytest.approx(np.log([1.0, 1.5]))
    assert found.share == pytest.approx([80 / 380, 0.5])
    half = cut(actual, budget, np.array([1.0, 0.5]))
    # job 2: done 40 + 30 of 40 + 20, rest 30 of 20
    assert half.carried[1] == pytest.approx(np.log(70 / 60))
    assert half.rest[1] == pytest.approx(np.log(30 / 20))


def test_quiet_phases_tell_most_of_a_job():
    """Ratios 2 and 1, spreads .1 and .2: weights 100 and 25, so 4/5 log 2; half done: 2/3 log 2."""
    actual, budget = np.array([[200.0, 100.0, 50.0]]), np.full((1, 3), 100.0)
    spreads, done = np.array([0.1, 0.2, 0.1]), np.array([1.0, 1.0, 0.0])
    found = cut(actual, budget, done, spreads)
    assert found.carried == pytest.approx(0.8 * np.log(2))
    assert found.rest == pytest.approx(np.log(0.5))
    half = np.array([0.5, 1.0, 0.0])
    parts = carried_over(actual * half, budget * half, half, spreads)
    assert parts == pytest.approx(50 / 75 * np.log(2))
    assert np.isnan(carried_over(actual, np.full((1, 3), NONE), done, spreads)[0])
    assert np.isnan(carried_over(actual, budget, np.zeros(3))[0])


def test_missing_figures_are_left_out_never_zero():
    """A planned phase with no actual enters neither side; an unplanned one adds its actual."""
    actual = np.array([[100.0, NONE, 50.0], [100.0, 20.0, NONE]])
    budget = np.array([[100.0, 70.0, 50.0], [100.0, NONE, 30.0]])
    found = cut(actual, budget, np.array([1.0, 0.0, 0.0]))
    assert found.which == (0,)  # the second job has no planned phase left that has an actual
    assert found.rest == pytest.approx([0.0])
    both = cut(actual, budget, np.array([1.0, 1.0, 0.0]))
    assert both.carried[0] == pytest.approx(0.0)


def test_the_fit_is_the_conjugate_one():
    """By hand: three jobs with c = (-1, 0, 1), so that level and carry do not mix.

    With y = rest - .4 c, level: mean (sum y) / (3 + 1/9); carry: precision 2 + 1/1.44,
    shift (-y1 + y3) / (2 + 1/1.44). rest = (-.3, .1, .8): y = (.1, .1, .4).
    """
    law = fit_carry(jobs([-1, 0, 1], [-0.3, 0.1, 0.8]))
    assert law.level == pytest.approx(0.6 / (3 + 1 / 9))
    assert law.carry == pytest.approx(0.4 + 0.3 / (2 + 1 / 1.44))
    misfit = 0.18 - 0.6**2 / (3 + 1 / 9) - 0.3**2 / (2 + 1 / 1.44)
    assert law.noise == pytest.approx(np.sqrt((2 * 0.04 + misfit) / 5))
    assert law.df == 5
    ahead = law.spread(0.5)
    assert ahead.centre == pytest.approx(law.level + 0.5 * law.carry)
    wide = 1 + 1 / (3 + 1 / 9) + 0.25 / (2 + 1 / 1.44)
    assert ahead.scale == pytest.approx(law.noise * np.sqrt(wide))
    reach = stats.t.ppf(0.9, 5) * ahead.scale
    assert ahead.quantile(0.9) == pytest.approx(np.exp(ahead.centre + reach), rel=1e-3)


def test_many_jobs_outweigh_the_first_guess_of_the_carry():
    rng = np.random.default_rng(4)
    c = rng.normal(0, 0.3, 400)
    law = fit_carry(jobs(c.tolist(), (0.1 + 0.9 * c + rng.normal(0, 0.1, 400)).tolist()))
    assert law.carry == pytest.approx(0.9, abs=0.05)
    assert law.level == pytest.approx(0.1, abs=0.02)
    assert law.noise == pytest.approx(0.1, abs=0.015)


def test_fixed_carries_by_hand():
    """Carry 1, no level: the residual of rest - c alone makes the spread."""
    found = jobs([0.1, 0.2, 0.3], [0.1, 0.3, 0.3])
    index = fit_fixed(found, 1.0, level=False)
    assert (index.level, index.carry) == (0.0, 1.0)
    assert index.noise == pytest.approx(np.sqrt((2 * 0.04 + 0.01) / 5))
    assert index.spread(0.4).median == pytest.approx(np.exp(0.4))
    quoted = fit_fixed(found, 0.0)
    assert quoted.level == pytest.approx(0.7 / (3 + 1 / 9))
    assert quoted.spread(5.0).centre == quoted.level


@pytest.mark.parametrize("fit", [fit_carry, lambda found: fit_fixed(found, 1.0)])
def test_two_jobs_say_nothing(fit):
    with pytest.raises(NothingToSay, match="2 finished jobs"):
        fit(jobs([0.0, 0.1], [0.0, 0.1]))


def test_spent_and_rest_add_up():
    ends = Topped(1000.0, plain().times(500.0))
    assert ends.median == pytest.approx(1500.0)
    assert ends.cdf(1500.0) == pytest.approx(0.5)
    assert ends.quantile(0.9) == pytest.approx(1000 + 500 * plain().quantile(0.9))
    assert ends.cdf(999.0) == 0.0
    draws = ends.sample(4000, seed=3)
    assert np.mean(draws <= ends.quantile(0.8)) == pytest.approx(0.8, abs=0.03)


def test_nothing_ends_under_what_is_taken_already():
    """Spread given that it is above a floor at its own middle: the upper half, stretched to 1."""
    ends = Topped(1000.0, plain().times(500.0), floor=1500.0)
    assert ends.cdf(1499.0) == 0.0
    assert ends.quantile(0.0001) >= 1500.0
    assert ends.median == pytest.approx(1000 + 500 * plain().quantile(0.75), rel=1e-6)
    assert ends.cdf(ends.quantile(0.3)) == pytest.approx(0.3, abs=1e-6)
    hopeless = Topped(0.0, plain().times(10.0), floor=1e6)
    assert hopeless.median == 1e6


def test_plans_are_corrected_by_their_pooled_ratio():
    rng = np.random.default_rng(1)
    plan = np.full((40, 3), 100.0)
    actual = plan * np.exp(rng.normal([0.0, 0.3, 0.0], 0.1, (40, 3)))
    actual[:, 2] = NONE
    found = phase_factors(actual, plan)
    assert found[0] == pytest.approx(1.0, abs=0.06)
    assert found[1] == pytest.approx(np.exp(0.3), abs=0.08)
    assert found[0] < found[2] < found[1]  # on record nowhere: the common ratio
    assert phase_factors(np.full((0, 2), NONE), np.full((0, 2), NONE)).tolist() == [1.0, 1.0]


def test_spreads_and_shares_by_hand():
    """One record a phase: the usual .2; shares go by (budget x spread)^2."""
    plan = np.full((1, 2), 100.0)
    assert phase_spreads(plan * 1.1, plan) == pytest.approx([0.2, 0.2])
    shares = spread_shares(np.array([300.0, 100.0, NONE]), np.array([0.1, 0.3, 0.2]))
    assert shares == pytest.approx([0.5, 0.5, 0.0])
    assert spread_shares(np.zeros(2), np.ones(2)).tolist() == [0.0, 0.0]


def test_phases_to_come_follow_those_finished_through_what_they_share():
    """Landed at their 90 % points, three phases pull the rest up; at 0 sharing they say nothing."""
    high = [(plain(), plain().quantile(0.9))] * 3
    left = [PhaseChance("tile", plain().times(100.0), 1.0)]
    alone = float(np.median(rest_draws(high, left, 0.0)))
    pulled = float(np.median(rest_draws(high, left, 0.4)))
    assert alone == pytest.approx(100.0, rel=0.02)
    # middle of the shared factor: sqrt(.4)/.6 x 3 x 1.2816 / (1 + 3 x .4/.6), times sqrt(.4)
    shift = 0.4 / 0.6 * 3 * 1.2816 / 3
    assert pulled == pytest.approx(100 * plain().quantile(stats.norm.cdf(shift)), rel=0.03)
    seldom = rest_draws([], [PhaseChance("vent", plain(), 0.25)], 0.2)
    assert np.mean(seldom > 0) == pytest.approx(0.25, abs=0.02)
    with pytest.raises(NothingToSay, match="no phases left"):
        rest_draws(high, [], 0.2)

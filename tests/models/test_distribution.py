"""Predictive distributions: inverses, monotone multipliers, their two limits."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from costlearn.errors import NothingToSay
from costlearn.models.distribution import LEVELS, Draws, Interval, LogSpread, Multipliers

ERRORS = st.lists(st.floats(-6, 6), min_size=0, max_size=60)
NO_ERRORS: list[float] = []


def spread(errors: list[float] | None = None, df: float = 12.0) -> LogSpread:
    return LogSpread(np.log(18_000), 0.2, Multipliers.from_errors(errors or NO_ERRORS, df))


@settings(deadline=None, max_examples=60)
@given(ERRORS, st.floats(2, 80))
def test_multipliers_start_at_nothing_and_never_fall(errors: list[float], df: float):
    reach = np.array(Multipliers.from_errors(errors, df).reach)
    assert reach[0] == 0
    assert (np.diff(reach) >= 0).all()
    assert np.isfinite(reach).all()


@settings(deadline=None, max_examples=60)
@given(ERRORS, st.floats(0.0005, 0.9995), st.floats(2, 80))
def test_chance_of_a_quantile_is_the_chance_asked(errors: list[float], p: float, df: float):
    found = spread(errors, df)
    assert found.cdf(found.quantile(p)) == pytest.approx(p, abs=1e-6)


@settings(deadline=None, max_examples=60)
@given(ERRORS, st.floats(0.001, 0.999), st.floats(0.0001, 0.5))
def test_quantiles_rise_with_the_chance(errors: list[float], p: float, more: float):
    found = spread(errors)
    higher = min(p + more, 0.9995)
    assert found.quantile(p) <= found.quantile(higher) * (1 + 1e-12)


@pytest.mark.parametrize("p", [1e-6, 2e-5, 0.99998, 0.999999])
def test_far_tails_are_inverse_too(p: float):
    """Past the last tabulated level the t distribution carries on from the reach there."""
    for errors in (NO_ERRORS, [4.0] * 30, [0.1] * 30):
        found = spread(errors)
        chance = found.cdf(found.quantile(p))
        assert min(chance, 1 - chance) == pytest.approx(min(p, 1 - p), rel=1e-6)


def test_without_errors_it_is_the_t_interval():
    found = Multipliers.from_errors(NO_ERRORS, 7.0)
    for level in (0.5, 0.8, 0.9, 0.95, 0.99):
        assert found.at(level) == pytest.approx(stats.t.ppf((1 + level) / 2, 7))
    for level in (0.99995, 0.999999):
        assert found.at(level) == pytest.approx(stats.t.ppf((1 + level) / 2, 7))


def test_with_very_many_errors_it_is_the_order_statistic():
    """40,000 errors, uniform on -3..3: 80 % of them lie within 2.4, whatever the t says."""
    errors = np.linspace(-3, 3, 40_001)
    found = Multipliers.from_errors(errors, 12.0)
    assert found.at(0.8) == pytest.approx(2.4, abs=0.002)
    assert found.at(0.5) == pytest.approx(1.5, abs=0.002)


def test_few_errors_by_hand():
    """Four errors of size 1, 2, 3, 4 against a t worth 4 jobs; 60 % is rank .6 x 5 = 3."""
    found = Multipliers.from_errors([-2, 1, 4, -3], 9.0, weight=4.0)
    unit = stats.t.ppf([0.8, 0.95], 9)
    assert found.at(0.6) == pytest.approx((4 * 3 + 4 * unit[0]) / 8)
    last = stats.t.ppf((1 + 4 / 5) / 2, 9)
    assert found.at(0.9) == pytest.approx((4 * 4 * unit[1] / last + 4 * unit[1]) / 8)


def test_weight_is_how_many_jobs_the_theory_counts_for():
    errors = [3.0] * 20
    light, heavy = (Multipliers.from_errors(errors, 12, w).at(0.8) for w in (1.0, 1e9))
    assert heavy == pytest.approx(stats.t.ppf(0.9, 12), rel=1e-6)
    assert light > 2.5


def test_median_interval_and_ratio():
    found = spread()
    assert found.median == pytest.approx(18_000)
    assert found.quantile(0.5) == pytest.approx(18_000)
    one = found.interval(0.8)
    assert one.low * one.high == pytest.approx(18_000**2)
    assert one.ratio == pytest.approx(np.exp(2 * 0.2 * stats.t.ppf(0.9, 12)))
    assert one.holds(one.low)
    assert one.holds(one.high)
    assert not one.holds(one.high + 1)
    assert Interval(0.8, 10, 25).ratio == 2.5


def test_chances_of_many_at_once_are_those_of_each():
    found = spread([0.4, -1.2, 2.2])
    chances = [0.02, 0.3, 0.5, 0.9, 0.99]
    assert found.quantiles(chances) == pytest.approx([found.quantile(p) for p in chances])


def test_nothing_costs_less_than_nothing():
    assert spread().cdf(0.0) == 0.0
    assert spread().cdf(-5.0) == 0.0
    assert 0 < spread().cdf(1.0) < 1e-3
    assert 1 - 1e-3 < spread().cdf(1e9) <= 1


@pytest.mark.parametrize("p", [0.0, 1.0, -0.2, 1.7, float("nan")])
def test_impossible_chances_are_refused(p: float):
    with pytest.raises(NothingToSay):
        spread().quantile(p)


def test_draws_follow_the_quantiles_and_repeat():
    found = spread([0.4, -1.2, 2.2])
    draws = found.sample(20_000, seed=4)
    assert (draws == found.sample(20_000, seed=4)).all()
    assert (draws != found.sample(20_000, seed=5)).any()
    for p in (0.1, 0.5, 0.9):
        assert np.mean(draws <= found.quantile(p)) == pytest.approx(p, abs=0.012)


def test_times_and_wider():
    found = spread()
    dearer, wider = found.times(1.1), found.wider(1.5)
    assert dearer.quantile(0.9) == pytest.approx(1.1 * found.quantile(0.9))
    assert wider.median == pytest.approx(found.median)
    assert np.log(wider.interval().ratio) == pytest.approx(1.5 * np.log(found.interval().ratio))


def test_draws_by_hand():
    found = Draws.of([4.0, 1.0, 3.0, 2.0, 5.0])
    assert found.values == (1.0, 2.0, 3.0, 4.0, 5.0)
    assert found.median == 3.0
    assert found.cdf(3.0) == 0.6
    assert found.cdf(0.5) == 0.0
    assert found.cdf(9.0) == 1.0
    assert found.quantile(0.25) == 2.0
    assert (found.interval(0.5).low, found.interval(0.5).high) == (2.0, 4.0)
    assert set(found.sample(50, seed=1).tolist()) <= {1.0, 2.0, 3.0, 4.0, 5.0}


@pytest.mark.parametrize("values", [[], [1.0, float("nan")], [1.0, float("inf")]])
def test_draws_that_are_none_are_refused(values: list[float]):
    with pytest.raises(NothingToSay):
        Draws.of(values)


def test_levels_tabulated_hold_the_ones_shown():
    for level in (0.5, 0.8, 0.9):
        assert np.isclose(LEVELS, level, atol=1e-12).any()

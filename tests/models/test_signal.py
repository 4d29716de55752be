"""Signal or luck: chart limits and corrections for looking at many things."""

import math

import numpy as np
import pytest

from costlearn.errors import NothingToSay
from costlearn.models.signal import (
    ChartLimits,
    d2,
    false_discoveries,
    luck_above,
    run_rules,
    single_value_limits,
)


def test_mean_range_of_two_normals_is_two_over_root_pi():
    assert d2(2) == pytest.approx(2 / np.sqrt(np.pi), abs=1e-10)


def test_mean_range_of_three_normals_is_half_as_much_again():
    """E(max) of three is 3 / (2 sqrt pi), and the range has twice that mean."""
    assert d2(3) == pytest.approx(3 / np.sqrt(np.pi), abs=1e-10)


def test_mean_range_agrees_with_draws():
    draws = np.random.default_rng(1).normal(size=(200_000, 6))
    assert np.ptp(draws, axis=1).mean() == pytest.approx(d2(6), abs=0.01)


@pytest.mark.parametrize("size", [1, 0, -3])
def test_fewer_than_two_values_have_no_range(size: int):
    with pytest.raises(NothingToSay):
        d2(size)


def test_limits_by_hand():
    """1, 3, 2, 2: ranges 2, 1, 0, mean 1; middle 2; reach 3 sqrt(pi) / 2."""
    found = single_value_limits([1.0, 3.0, 2.0, 2.0])
    reach = 3 * np.sqrt(np.pi) / 2
    assert (found.middle, found.mean_range) == (2.0, 1.0)
    assert (found.low, found.high) == pytest.approx((2 - reach, 2 + reach))
    assert found.outside == ()


def test_a_value_far_off_is_named_by_its_place():
    values = [10.0, 10.2, 9.9, 10.1, 9.8, 10.0, 16.0, 10.1, 9.9, 10.2, 9.8, 10.0]
    assert single_value_limits(values).outside == (6,)


def test_steady_values_seldom_lie_outside():
    """Normal values: 3 in 1,000 outside three spreads; limits from 200 ranges come near."""
    rng = np.random.default_rng(3)
    outside = sum(len(single_value_limits(rng.normal(size=200)).outside) for _ in range(50))
    assert outside / 10_000 == pytest.approx(0.0027, abs=0.002)


def test_one_value_makes_no_chart():
    with pytest.raises(NothingToSay):
        single_value_limits([1.0])


def test_false_discoveries_by_hand():
    """Four p-values at 10 %: .01 <= .025, .04 <= .05, .09 > .075, .2 > .1: two stay.

    Adjusted: .04, .08, .12, .2.
    """
    found = false_discoveries([0.09, 0.01, 0.2, 0.04])
    assert found.rejected == (False, True, False, True)
    assert found.adjusted == pytest.approx((0.12, 0.04, 0.2, 0.08))


def test_a_later_p_value_can_carry_an_earlier_one():
    """.06 alone fails its .05, yet .09 passes its .1, and carries it."""
    assert false_discoveries([0.06, 0.09], rate=0.1).rejected == (True, True)


def test_no_tests_no_correction():
    with pytest.raises(NothingToSay):
        false_discoveries([])


def test_the_chance_of_luck_above_a_level_is_students() -> None:
    # t = 2 / (1 / sqrt 3) with 2 degrees of freedom, whose tail has the closed form
    # 1/2 - t / (2 sqrt(t^2 + 2)): worked out by hand.
    t = 2 * math.sqrt(3)
    expected = 0.5 - t / (2 * math.sqrt(t * t + 2))
    assert luck_above([1.0, 2.0, 3.0], 0.0) == pytest.approx(expected, rel=1e-9)
    assert luck_above([1.0, 2.0, 3.0], 4.0) == pytest.approx(1 - expected, rel=1e-9)


def test_values_that_never_vary_leave_nothing_to_luck() -> None:
    assert luck_above([0.2, 0.2, 0.2], 0.1) == 0.0
    assert luck_above([0.1, 0.1], 0.1) == 1.0
    with pytest.raises(NothingToSay):
        luck_above([0.3], 0.1)


def test_a_moving_range_has_a_limit_of_its_own():
    """1, 3, 2, 2: mean range 1; D4 of two is 3.2666 (recomputed; tables print 3.267)."""
    found = single_value_limits([1.0, 3.0, 2.0, 2.0])
    assert found.range_high == pytest.approx(3.2666, abs=1e-4)
    assert found.spread == pytest.approx(np.sqrt(np.pi) / 2)


def limits(spread: float = 1.0) -> ChartLimits:
    """Limits about zero, with a spread stated."""
    return ChartLimits(0.0, spread, -3 * spread, 3 * spread, (), spread, 3.27 * spread)


@pytest.mark.parametrize(
    ("values", "spoken"),
    [
        ([0.1, 3.1], [("1 beyond 3 spreads", 1, True)]),
        ([2.1, 0.1, 2.1], [("2 of 3 beyond 2 spreads", 2, True)]),
        ([2.1, 0.1, -2.1], []),
        ([2.1, 2.1, 0.1], []),
        ([-1.1, -1.1, 0.1, -1.1, -1.1], [("4 of 5 beyond 1 spread", 4, False)]),
        ([0.1] * 7, []),
        ([0.1] * 8, [("8 in a row on one side", 7, True)]),
        ([-0.1] * 9, [("8 in a row on one side", i, False) for i in (7, 8)]),
        ([], []),
    ],
)
def test_run_rules_by_hand(values, spoken):
    found = run_rules(values, limits())
    assert [(f.rule, f.at, f.above) for f in found] == spoken


def test_two_of_three_need_not_wait_for_a_third():
    assert [f.at for f in run_rules([0.1, 2.1, 2.1, -0.1, 0.1], limits())] == [2]


def test_run_rules_speak_about_once_in_90_steady_values():
    """Average run length of the four together: 91.75 (Technometrics 29, 1987, from memory)."""
    rng = np.random.default_rng(11)
    lengths = []
    for _ in range(400):
        found = run_rules(rng.normal(size=800), limits())
        lengths.append(found[0].at + 1 if found else 800)
    assert np.mean(lengths) == pytest.approx(91.75, rel=0.2)


def test_values_that_never_vary_break_no_rule():
    same = single_value_limits([1.0] * 9)
    assert run_rules([1.0] * 9, same) == ()

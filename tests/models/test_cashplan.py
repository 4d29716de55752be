"""Payments against spending: small cases by hand, the stated chance by fresh draws."""

import numpy as np
import pytest

from costlearn.errors import NothingToSay
from costlearn.models.cashplan import Course, Terms, levels_for, smallest_payments


def certain(*spend: float, before=None, days=10.0, delay=0.0) -> Course:
    """Parts that take just this, one after another, each of ten days."""
    ends = days * np.arange(1, len(spend) + 1)
    share = np.zeros(len(spend)) if before is None else np.asarray(before, dtype=float)
    return Course(np.tile(spend, (50, 1)).astype(float), ends - days, ends, share, delay)


def uncertain(seed: int, draws: int, parts: int = 6) -> Course:
    """Parts with a shared factor, heavy to the right; half of the third is bought before it."""
    rng = np.random.default_rng(seed)
    whole = rng.normal(0, 0.1, (draws, 1))
    spend = 3000 * np.exp(whole + rng.normal(0, 0.35, (draws, parts)))
    spend[:, 1] *= rng.random(draws) < 0.8
    ends = np.arange(1.0, parts + 1)
    before = np.array([0, 0, 0.5, 0, 0.2, 0][:parts])
    return Course(spend, ends - 1, ends, before)


def lowest(plan, course: Course, milestones) -> np.ndarray:
    """The lowest cash of each draw, looked at often and just before every payment."""
    times = np.unique(np.concatenate([np.linspace(0, course.end, 500), milestones, [course.end]]))
    return (plan.paid(times, milestones) - course.spent(times)).min(axis=1)


def test_what_has_gone_out_by_hand():
    course = certain(1000, 3000, before=[0.2, 0.5])
    # At the start a fifth of the first; after 5 days half of its other 800; at day 10 all of it
    # and half of the second; at day 15 half of the other 1500.
    assert course.spent([0, 5, 10, 15, 20])[0] == pytest.approx([200, 600, 2500, 3250, 4000])


def test_supplier_terms_put_off_what_was_bought():
    course = certain(1000, 3000, before=[0.2, 0.5], delay=5.0)
    assert course.spent([0, 4.9, 5, 10, 15, 20])[0] == pytest.approx(
        [0, 392, 600, 1000, 3250, 4000]
    )
    late = certain(1000, before=[1.0], delay=30.0)
    assert late.spent([10])[0] == 0, "the bill comes after the end"


def test_a_part_of_no_length_goes_out_at_once():
    course = Course(np.array([[500.0, 100.0]]), np.zeros(2), np.array([0.0, 4.0]), np.zeros(2))
    assert course.spent([0, 2, 4])[0] == pytest.approx([500, 550, 600])


def test_certain_spending_asks_for_just_what_each_stretch_takes():
    plan = smallest_payments(certain(1000, 3000, 2000), [10, 20], Terms(8000))
    # One payment between asks 4000 at once; with two, none is over 3000.
    assert (plan.deposit, plan.after, plan.progress, plan.final) == (
        1000,
        (0, 1),
        (3000, 2000),
        2000,
    )
    assert (plan.keeps, plan.carry, plan.carry_until) == (1.0, 0.0, None)


def test_a_job_that_takes_little_of_its_price_needs_no_payment_between():
    plan = smallest_payments(certain(500, 500, 500), [10, 20], Terms(9000))
    assert (plan.deposit, plan.progress, plan.final) == (1500, (), 7500)


def test_a_cap_that_the_first_part_keeps_within_moves_the_first_payment_forward():
    free = smallest_payments(certain(*[500] * 8), range(10, 80, 10), Terms(5000, step=1))
    assert free.deposit == 1000
    capped = smallest_payments(certain(*[500] * 8), range(10, 80, 10), Terms(5000, 700))
    assert capped.deposit == 500 and capped.after[0] == 0
    assert capped.carry == 0 and capped.keeps == 1.0
    assert capped.deposit + sum(capped.progress) + capped.final == 5000


def test_what_the_firm_carries_under_a_cap_by_hand():
    # The first part takes 1000 over 10 days; 800 are paid before. From day 8 to day 10 own money
    # is out, 200 at the most, until the payment at the end of that part.
    plan = smallest_payments(certain(1000, 3000, 2000), [10, 20], Terms(8000, 800))
    assert (plan.deposit, plan.progress, plan.final) == (800, (3200, 2000), 2000)
    assert plan.keeps == 0
    assert (plan.carry, plan.carry_until) == (200, 0)
    assert plan.carry_time == pytest.approx(2.0, abs=0.1)


def test_the_carry_under_a_cap_with_two_equally_likely_costs():
    # Half of the jobs take 1000 in the first part, half 2000: nine in ten are held by 2000.
    course = certain(1000, 500)
    course.spend[::2, 0] = 2000
    plan = smallest_payments(course, [10], Terms(4000, 1500))
    assert (plan.deposit, plan.keeps) == (1500, 0.5)
    assert plan.carry == 500
    assert plan.carry_time == pytest.approx(2.5, abs=0.1), "2000 over 10 days: 1500 after 7.5"


def test_a_holdback_is_carried_at_the_end():
    # 90 % of 6500 is 5850; the work takes 6000: the last 150 are out for 150 / 2000 of 10 days.
    plan = smallest_payments(certain(1000, 3000, 2000), [10, 20], Terms(6500, held_back=650))
    assert plan.deposit + sum(plan.progress) == 5850
    assert plan.final == 650
    assert (plan.carry, plan.carry_until) == (150, 2)
    assert plan.carry_time == pytest.approx(0.75, abs=0.1)


def test_a_price_too_low_has_no_plan():
    with pytest.raises(NothingToSay, match="too seldom"):
        smallest_payments(certain(1000, 3000), [10], Terms(3999))


def test_levels_hold_all_moments_at_once():
    # Ten draws; the largest of each moment is in another draw, so letting go the largest at both
    # moments would lose two draws of ten.
    spent = np.array([[10.0, 20.0]] * 8 + [[12.0, 20.0], [10.0, 23.0]])
    assert levels_for(spent, 0.9) == pytest.approx([12, 23])
    assert levels_for(spent, 0.8) == pytest.approx([10, 20])
    assert levels_for(spent[:, :1], 0.9) == pytest.approx([10])
    for wrong in (0.0, 1.0):
        with pytest.raises(NothingToSay):
            levels_for(spent, wrong)


@pytest.mark.parametrize("price", [40_000, 28_000, 26_000.37])
def test_payments_are_round_and_sum_to_the_price_to_the_cent(price):
    plan = smallest_payments(uncertain(1, 2000), [1, 2, 3, 4, 5], Terms(price, step=100))
    before = [plan.deposit, *plan.progress]
    assert all(a > 0 and a % 100 == 0 for a in before)
    assert round((sum(before) + plan.final) * 100) == round(price * 100)
    assert plan.final >= 0


@pytest.mark.parametrize("sure", [0.8, 0.9])
def test_cash_stays_above_zero_as_often_as_stated_in_fresh_draws(sure):
    milestones = [1, 2, 3, 4, 5]
    plan = smallest_payments(uncertain(1, 4096), milestones, Terms(30_000), sure)
    fresh = uncertain(2, 40_000)
    kept = np.mean(lowest(plan, fresh, milestones) >= 0)
    assert kept == pytest.approx(sure, abs=0.015)
    assert plan.keeps == pytest.approx(sure, abs=0.01)


@pytest.mark.parametrize("terms", [Terms(30_000, 1000), Terms(24_000, held_back=3600)])
def test_with_the_carry_in_hand_cash_stays_above_zero_as_often_as_stated(terms):
    milestones = [1, 2, 3, 4, 5]
    plan = smallest_payments(uncertain(1, 4096), milestones, terms)
    assert plan.keeps < 0.85 and plan.carry > 0
    low = lowest(plan, uncertain(2, 40_000), milestones)
    assert np.mean(low >= 0) == pytest.approx(plan.keeps, abs=0.02)
    assert np.mean(low >= -plan.carry) == pytest.approx(0.9, abs=0.015)


def test_looser_terms_never_ask_for_more_own_money():
    milestones = [1, 2, 3, 4, 5]
    carries = [
        smallest_payments(uncertain(1, 2000), milestones, Terms(30_000, cap)).carry
        for cap in (0, 1000, 2000, 3000, 6000)
    ]
    assert carries == sorted(carries, reverse=True)
    assert carries[0] > carries[-1] == 0

"""A year with more hands: by hand, and the closed forms against the simulation."""

from dataclasses import replace

import numpy as np
import pytest

from costlearn.models.crew_year import (
    ALONE,
    Hands,
    Mix,
    YearCosts,
    gain,
    knowing_better,
    pays_more,
    turns,
    year,
)

MIX = Mix(alone=16.0, wait=4.0, contribution=16_000.0, demand=40.0)
COSTS = YearCosts(days=200.0, wage=300.0, overhead=46_000.0)
ALL_YEAR = Hands("all year", 0.6, 0.6, 1, True)
BY_DAY = Hands("by the day", 0.6, 0.6)
SOME = Hands("some phases", 0.8, 0.3)


def test_a_year_alone_by_hand():
    """200 / 20 = 10 jobs; 10 x 16,000 - 46,000 left; 160 days on site."""
    found = year(MIX, ALONE, COSTS)
    assert (found.jobs, found.income, found.own_days) == pytest.approx((10, 114_000, 160))


def test_a_second_person_all_year_by_hand():
    """200 / (9.6 + 4) = 14.7059 jobs; wage 200 x 300, whatever he does."""
    found = year(MIX, ALL_YEAR, COSTS)
    jobs = 200 / 13.6
    assert found.jobs == pytest.approx(jobs)
    assert found.income == pytest.approx(jobs * 16_000 - 60_000 - 46_000)
    assert found.own_days == pytest.approx(jobs * 9.6)


def test_idle_days_and_a_vehicle_come_on_top_of_the_wage():
    more = replace(COSTS, idle=15.0, extra=5_000.0)
    less = year(MIX, ALL_YEAR, COSTS).income - year(MIX, ALL_YEAR, more).income
    assert less == pytest.approx(15 * 300 + 5_000)
    assert year(MIX, BY_DAY, more).income == pytest.approx(year(MIX, BY_DAY, COSTS).income)


def test_a_helper_by_the_day_is_paid_for_his_days_on_site():
    """All phases: 14.7059 jobs of 9.6 days; some phases: 16.8 days a job, 4.8 of them his."""
    assert gain(MIX, BY_DAY, COSTS) == pytest.approx(
        (200 / 13.6 - 10) * 16_000 - 200 / 13.6 * 9.6 * 300
    )
    jobs = 200 / (16 * 0.8 + 4)
    assert gain(MIX, SOME, COSTS) == pytest.approx((jobs - 10) * 16_000 - jobs * 4.8 * 300)
    waiting = replace(COSTS, paid_waiting=True)
    assert gain(MIX, SOME, waiting) == pytest.approx(gain(MIX, SOME, COSTS) - jobs * 4 * 300)


def test_without_demand_days_gained_are_worth_what_a_free_day_is():
    """4 jobs: alone 80 days, with two 54.4; 25.6 days freed at 100, helper 60,000 either way."""
    few = replace(MIX, demand=4.0)
    assert gain(few, ALL_YEAR, COSTS) == pytest.approx(-60_000)
    assert gain(few, ALL_YEAR, replace(COSTS, free_day=100.0)) == pytest.approx(-60_000 + 2_560)


def test_weeks_to_full_speed_cost_half_their_days_at_the_old_pace():
    """12 weeks = 60 days: 30 days at 20 a job, 170 at 13.6."""
    found = year(MIX, ALL_YEAR, replace(COSTS, ramp=60.0))
    assert found.jobs == pytest.approx(30 / 20 + 170 / 13.6)
    assert found.own_days == pytest.approx(30 / 20 * 16 + 170 / 13.6 * 9.6)


def test_waits_that_other_work_fills_are_not_lost():
    assert year(MIX, ALONE, replace(COSTS, lost=0.0)).jobs == pytest.approx(200 / 16)


CASES = [
    (ALL_YEAR, COSTS),
    (ALL_YEAR, replace(COSTS, idle=10.0, extra=4_000.0, ramp=40.0)),
    (BY_DAY, COSTS),
    (BY_DAY, replace(COSTS, ramp=40.0)),
    (BY_DAY, replace(COSTS, paid_waiting=True)),
    (SOME, COSTS),
]


@pytest.mark.parametrize(("hands", "costs"), CASES)
def test_at_each_break_even_the_year_leaves_as_much_as_alone(hands: Hands, costs: YearCosts):
    found = turns(MIX, hands, costs)
    assert found.wage is not None and found.demand is not None
    assert gain(MIX, hands, replace(costs, wage=found.wage)) == pytest.approx(0, abs=1e-6)
    assert gain(replace(MIX, demand=found.demand), hands, costs) == pytest.approx(0, abs=1e-6)
    if hands is not SOME:
        assert found.speedup is not None
        at = replace(hands, factor=1 / found.speedup, helped=1 / found.speedup)
        assert gain(MIX, at, costs) == pytest.approx(0, abs=1e-6)
    else:
        assert found.speedup is None, "help on some phases has no one speed-up"


@pytest.mark.parametrize("free", [0.0, 150.0])
@pytest.mark.parametrize("hands", [ALL_YEAR, BY_DAY, SOME])
def test_the_gain_turns_its_sign_at_the_demand_and_not_before(hands: Hands, free: float):
    costs = replace(COSTS, free_day=free)
    demand = turns(MIX, hands, costs).demand
    assert demand is not None
    assert gain(replace(MIX, demand=demand - 0.3), hands, costs) < 0
    assert gain(replace(MIX, demand=demand + 0.3), hands, costs) > 0


def test_by_the_day_with_days_worth_what_they_earn_it_is_one_plus_wage_over_a_day():
    """Without waits and ramp the year's break-even is the job's: s = 1 + H / (O + W).

    A day alone leaves c / a = 600 (the owner's day and overhead), a helper 150: 1.25, as derived
    for a single job in ``tests/models/test_crew.py``.
    """
    mix = Mix(alone=10.0, wait=0.0, contribution=6_000.0, demand=1_000.0)
    found = turns(mix, BY_DAY, YearCosts(days=200.0, wage=150.0))
    assert found.speedup == pytest.approx(1.25)


def test_extra_jobs_that_pay_for_a_year_are_cost_over_contribution():
    """Printed exercise of contribution break-even: fixed 20,000 / (400 - 250) = 133.33 units.

    Here the "fixed cost" is a helper's year, 200 days at 100, and a job leaves 150.
    """
    mix = Mix(alone=1.0, wait=0.0, contribution=150.0, demand=1_000.0)
    found = turns(mix, Hands("all year", 0.5, 0.5, 1, True), YearCosts(days=200.0, wage=100.0))
    assert found.extra_jobs == pytest.approx(133.333, abs=0.001)
    assert found.demand == pytest.approx(200 + 133.333, abs=0.001)
    assert found.speedup == pytest.approx(333.333 / 200, abs=0.001)


def test_where_nothing_within_reach_turns_it_nothing_is_said():
    few = replace(MIX, demand=10.5)
    assert turns(few, ALL_YEAR, COSTS).speedup is None, "half a job more cannot pay 60,000"
    poor = replace(MIX, contribution=1_000.0)
    assert turns(poor, ALL_YEAR, COSTS).demand is None
    assert turns(replace(MIX, contribution=0.0), ALL_YEAR, COSTS).extra_jobs is None
    same = Hands("no faster", 1.0, 1.0, 1, True)
    assert turns(MIX, same, COSTS).demand is None


@pytest.mark.parametrize("hands", [ALL_YEAR, BY_DAY])
def test_the_simulation_agrees_with_the_closed_form(hands: Hands):
    """At the break-even speed-up half of the simulated years gain and half lose.

    Mix and effect scatter by a few percent about the middle figures; 4,000 years scatter the share
    by .8 points, and the curve of the gain bends it by less than 2.
    """
    at = turns(MIX, hands, COSTS).speedup
    assert at is not None
    rng = np.random.default_rng(3)

    def around(middle: float, spread: float) -> np.ndarray:
        return middle * np.exp(rng.normal(0, spread, 4000))

    factor = around(1 / at, 0.05)
    mix = Mix(around(16.0, 0.05), around(4.0, 0.1), around(16_000.0, 0.03), 40.0)
    gains = gain(mix, replace(hands, factor=factor, helped=factor), COSTS)
    assert pays_more(np.asarray(gains)) == pytest.approx(0.5, abs=0.035)
    better = replace(hands, factor=factor * 0.8, helped=factor * 0.8)
    assert pays_more(np.asarray(gain(mix, better, COSTS))) > 0.9


def test_knowing_better_by_hand():
    """Two choices: nothing, or a gain of 1,000 for each -.1 below a mean of 0.

    Spread .1, five jobs of noise .1 x sqrt 5: what they show has spread .1 / sqrt 2, so the mean
    of max(0, gain) is 10,000 x .0707 x .39894 = 282; today's choice earns nothing. The sign of
    what they show changes the choice in half the cases.
    """
    grid = np.linspace(-1, 1, 401)
    rows = np.array([np.zeros(401), -10_000 * grid])
    worth, changes = knowing_better(rows, grid, 0.0, 0.1, 0.1 * np.sqrt(5), 5, 1)
    assert worth == pytest.approx(282, rel=0.08)
    assert changes == pytest.approx(0.5, abs=0.05)


def test_knowing_better_is_worth_nothing_where_the_choice_is_clear():
    grid = np.linspace(-1, 1, 401)
    rows = np.array([np.zeros(401), 5_000 - 1_000 * grid])
    worth, changes = knowing_better(rows, grid, -0.4, 0.05, 0.2, 5, 1)
    assert worth == pytest.approx(0, abs=1e-6)
    assert changes == 0.0

"""Index arithmetic of running jobs beside printed worked examples."""

import pytest

from costlearn.models.earned import Earned


def test_the_wall():
    """Source: a worked example of a wall published on the web, looked up (title not kept).

    BAC 4000, PV 3000, EV 2000, AC 2500. Printed: CV -500, SV -1000, CPI .80, SPI .67, EAC 5000 and
    4500, VAC -1000, TCPI 1.33 and .80. The page prints 6287 for the third EAC because it cut SPI to
    .66; unrounded it is 6250.
    """
    wall = Earned(budget=4000, earned=2000, spent=2500, planned=3000)
    assert wall.cost_variance == -500
    assert wall.schedule_variance == -1000
    assert wall.cost_index == pytest.approx(0.8)
    assert wall.schedule_index == pytest.approx(0.666667, abs=5e-7)
    assert wall.at_index == pytest.approx(5000)
    assert wall.at_plan == 4500
    assert wall.at_both == pytest.approx(6250)
    # as the page did it: 2500 + 2000 / (.8 x .66), printed without decimals
    cut_short = 2500 + 2000 / (0.8 * 0.66)
    assert cut_short == pytest.approx(6287, abs=1)
    assert wall.variance_at_end == pytest.approx(-1000)
    assert wall.to_complete == pytest.approx(2500)
    assert wall.needed_for_budget == pytest.approx(1.333333, abs=5e-7)
    assert wall.needed_for_end == pytest.approx(0.8)


def test_a_second_example():
    """Source: a second published example, looked up (title not kept).

    BAC 40,000, PV 10,000, EV 6,000, AC 8,000. Printed: CV -2,000, SV -4,000, CPI .75, SPI .60,
    TCPI 1.0625; EACs recomputed.
    """
    found = Earned(budget=40_000, earned=6_000, spent=8_000, planned=10_000)
    assert (found.cost_variance, found.schedule_variance) == (-2000, -4000)
    assert found.cost_index == pytest.approx(0.75)
    assert found.schedule_index == pytest.approx(0.60)
    assert found.needed_for_budget == pytest.approx(1.0625)
    assert found.at_index == pytest.approx(53_333.33, abs=0.005)
    assert found.at_plan == 42_000
    # 8,000 + 34,000 / .45
    assert found.at_both == pytest.approx(83_555.56, abs=0.005)


def test_a_third_example():
    """Source: a third published example, looked up (title not kept).

    PV 261 k, AC 270 k, EV 272 k. Printed: CV +2 k, SV +11 k, CPI 1.0074, SPI 1.0421; its
    budget is not given and not used here.
    """
    found = Earned(budget=400, earned=272, spent=270, planned=261)
    assert (found.cost_variance, found.schedule_variance) == (2, 11)
    assert found.cost_index == pytest.approx(1.0074, abs=5e-5)
    assert found.schedule_index == pytest.approx(1.0421, abs=5e-5)


def test_an_index_of_nothing_is_none():
    begun = Earned(budget=100, earned=0, spent=0)
    assert begun.cost_index is None
    assert begun.at_index is None
    assert begun.at_both is None
    assert begun.schedule_index is None
    assert begun.schedule_variance is None
    assert begun.at_plan == 100
    over = Earned(budget=100, earned=50, spent=120)
    assert over.needed_for_budget is None
    assert over.at_index == pytest.approx(240)
    done = Earned(budget=100, earned=100, spent=90)
    assert done.needed_for_end is None
    assert done.variance_at_end == pytest.approx(10)

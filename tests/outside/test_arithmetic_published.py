"""The arithmetic of price, crew days, charts and many tests beside published worked examples."""

from datetime import date

import pytest

from costlearn.features.prices import PriceIndex
from costlearn.firm import Firm
from costlearn.models.crew import DayCosts, break_even_speedup, job_days_cost
from costlearn.models.ladder import (
    break_even_count,
    labour_variance,
    margin_from_markup,
    margin_of,
    markup_from_margin,
    markup_of,
)
from costlearn.models.signal import d2, false_discoveries, single_value_limits

# Source: NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.2, flow rate data.
FLOW = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)


def test_limits_of_the_handbooks_flow_rates():
    """Printed: mean 50.81, mean moving range 1.8778, limits 55.8041 and 45.8159 (d2 = 1.128)."""
    found = single_value_limits(FLOW)
    assert found.middle == pytest.approx(50.81)
    assert found.mean_range == pytest.approx(1.8778, abs=5e-5)
    # the handbook divides by 1.128, we by 1.12838: up to .0017 apart
    assert (found.low, found.high) == pytest.approx((45.8159, 55.8041), abs=0.0018)
    as_printed = 3 * found.mean_range / 1.128
    assert (50.81 - as_printed, 50.81 + as_printed) == pytest.approx((45.8159, 55.8041), abs=5e-5)
    assert found.outside == ()
    # limit of the moving range: 3.2666 x 1.8778 (tables print 3.267), recomputed
    assert found.range_high == pytest.approx(6.1347, abs=1e-3)


# Source: table of control chart factors d2 (printed alike on several table pages, e.g. ASTM Manual
# on Presentation of Data and Control Chart Analysis; title from memory); five decimals recomputed.
@pytest.mark.parametrize(
    ("size", "printed", "fine"),
    [
        (2, 1.128, 1.12838),
        (3, 1.693, 1.69257),
        (4, 2.059, 2.05875),
        (5, 2.326, 2.32593),
        (6, 2.534, 2.53441),
        (7, 2.704, 2.70436),
        (8, 2.847, 2.84720),
        (9, 2.970, 2.97003),
        (10, 3.078, 3.07751),
    ],
)
def test_mean_ranges_of_normal_samples(size: int, printed: float, fine: float):
    assert d2(size) == pytest.approx(printed, abs=6e-4)
    assert d2(size) == pytest.approx(fine, abs=6e-6)
    assert 3 / d2(2) == pytest.approx(2.6587, abs=5e-5)


# Source: Controlling the False Discovery Rate, Journal of the Royal Statistical Society B 57
# (1995) 289-300, section 4 (section from memory): fifteen p-values of a heart treatment trial.
TRIAL = (
    *(0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344),
    *(0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0000),
)


def test_false_discoveries_of_the_heart_trial():
    """Printed: at 5 % the first four are kept (fourth: .0095 <= .0133). Adjusted: recomputed."""
    found = false_discoveries(TRIAL, rate=0.05)
    assert found.rejected == (True,) * 4 + (False,) * 11
    adjusted = (
        *(0.0015, 0.0030, 0.0095, 0.035625, 0.0603, 0.06386, 0.06386, 0.0645),
        *(0.0765, 0.4860, 0.58118, 0.71488, 0.75323, 0.81321, 1.0),
    )
    assert found.adjusted == pytest.approx(adjusted, abs=6e-6)
    mixed = false_discoveries(TRIAL[::-1], rate=0.05)
    assert mixed.adjusted[::-1] == pytest.approx(found.adjusted)


# Source: standard-cost examples of accounting textbooks, looked up (titles not kept), recomputed.
@pytest.mark.parametrize(
    ("actual", "paid", "planned", "rate", "expected"),
    [
        # 2,000 units at .8 h and 6.75 an hour: 237 unfavourable, 135 favourable, 102 unfavourable
        (1580, 6.90, 1600, 6.75, (237, -135, 102)),
        # 2,960 unfavourable, 1,600 favourable
        (14_800, 8.20, 15_000, 8.00, (2960, -1600, 1360)),
    ],
)
def test_labour_variances(
    actual: float, paid: float, planned: float, rate: float, expected: tuple[float, float, float]
):
    found = labour_variance(actual, paid, planned, rate)
    assert (found.rate, found.efficiency, found.total) == pytest.approx(expected)


# Source: columns of the remodelling trade press, looked up (50 % -> 33 %, 67 % -> 40 %; factor
# 1.49 for a 33 % margin; 300,000 on 600,000); the other rows recomputed.
@pytest.mark.parametrize(
    ("margin", "markup"),
    [
        (10, 11.11),
        (15, 17.65),
        (20, 25),
        (25, 33.33),
        (28, 38.89),
        (30, 42.86),
        (33, 49.25),
        (35, 53.85),
        (40, 66.67),
        (50, 100),
    ],
)
def test_margin_to_markup(margin: float, markup: float):
    assert 100 * markup_from_margin(margin / 100) == pytest.approx(markup, abs=0.005)


@pytest.mark.parametrize(
    ("markup", "margin"),
    [(20, 16.67), (25, 20), (33, 24.81), (50, 33.33), (67, 40.12), (100, 50)],
)
def test_markup_to_margin(markup: float, margin: float):
    assert 100 * margin_from_markup(markup / 100) == pytest.approx(margin, abs=0.005)


def test_factor_for_a_third_of_volume():
    """Volume 1.2 M, overhead 324 k and net 72 k: margin 33 %, factor 1.4925 (printed 1.49)."""
    margin = margin_of(1200, 1200 - 324 - 72)
    assert margin == pytest.approx(0.33)
    assert 1 + markup_from_margin(margin) == pytest.approx(1.4925, abs=5e-5)


def test_half_markup_on_six_hundred_thousand():
    assert markup_of(900, 600) == pytest.approx(0.5)
    assert margin_of(900, 600) == pytest.approx(0.3333, abs=5e-5)


# Source: cost-volume-profit examples of accounting textbooks, looked up (titles not kept),
# recomputed.
@pytest.mark.parametrize(
    ("fixed", "price", "variable", "units"), [(20_000, 400, 250, 133.3333), (4500, 2, 0.5, 3000)]
)
def test_break_even_units(fixed: float, price: float, variable: float, units: float):
    """Printed 134 whole units (53,333.33 in sales); 6,000 in sales, which is 3,000 at 2.00."""
    found = break_even_count(fixed, price, variable)
    assert found == pytest.approx(units, abs=5e-5)
    assert found * price == pytest.approx({20_000: 53_333.33, 4500: 6000}[int(fixed)], abs=0.01)


def test_what_a_crew_day_must_bring():
    """Source: a trade column, looked up: overhead 200, helper 150, owner 400 make 750 a day."""
    day = DayCosts(owner=400, helper=150, overhead=200)
    assert job_days_cost(1, 0, 1.0, day) == 750
    # derived from the same three figures: 1 + 150 / 600
    assert break_even_speedup(day) == pytest.approx(1.25)


def test_overhead_of_a_working_day():
    """Source: a trade column, looked up: 91,000 over 243 days is 374.49, 74.90 an hour at 5."""
    firm = Firm(overhead_per_year=91_000, working_days_per_year=243)
    assert firm.overhead_per_day == pytest.approx(374.49, abs=0.005)
    assert (firm.overhead_per_day or 0) / 5 == pytest.approx(74.90, abs=0.005)


# Source: US Bureau of Labor Statistics, CPI-U, US city average, all items, annual averages,
# 1982-84 = 100. A consumer index, used here for its arithmetic only.
CPI = {
    "2019-07-01": 255.657,
    "2020-07-01": 258.811,
    "2021-07-01": 270.970,
    "2022-07-01": 292.655,
    "2023-07-01": 304.702,
    "2024-07-01": 313.689,
}


def test_price_index_factors():
    """Yearly changes as published: 2021 4.7 %, 2022 8.0 %, 2023 4.1 %, 2024 2.9 or 3.0 %."""
    index = PriceIndex.of(CPI)
    assert index is not None

    def factor(then: int, now: int) -> float:
        return index.factor(date(then, 7, 1), date(now, 7, 1))

    assert factor(2019, 2024) == pytest.approx(1.22699, abs=5e-6)
    changes = [100 * (factor(y - 1, y) - 1) for y in range(2021, 2025)]
    assert changes == pytest.approx([4.70, 8.00, 4.12, 2.95], abs=0.005)

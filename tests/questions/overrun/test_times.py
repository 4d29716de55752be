"""When: charts, changes that luck does not explain, learning with its other readings."""

from datetime import date, timedelta

import numpy as np
import pytest
from making import bathrooms, phased

from costlearn.questions.overrun.overruns import overruns
from costlearn.questions.overrun.records import Record
from costlearn.questions.overrun.times import FEWEST_CHARTED, against, times_of

FIRST = date(2022, 1, 3)


def records(ratios, phase="tile", target="cost", dated=True) -> list[Record]:
    return [
        Record(
            f"j{i:02d}",
            phase,
            100.0,
            100.0 * r,
            False,
            day=FIRST + timedelta(days=30 * i) if dated else None,
        )
        for i, r in enumerate(ratios)
    ]


def noisy(seed: int, count: int, sd: float = 0.06) -> np.ndarray:
    return np.exp(np.random.default_rng(seed).normal(0, sd, count))


def test_a_change_since_a_date_is_told_with_both_levels():
    ratios = noisy(1, 30) * np.where(np.arange(30) >= 18, 1.25, 1.0)
    steady = {p: records(noisy(i, 30), p) for i, p in enumerate(("demo", "paint", "board"), 2)}
    found = times_of({"cost": [*records(ratios), *(r for rs in steady.values() for r in rs)]})
    (change,) = found.changes
    assert change.phase == "tile"
    assert abs((change.since - (FIRST + timedelta(days=540))).days) <= 60
    assert change.before == pytest.approx(1.0, abs=0.05)
    assert 1.12 < change.after < 1.3
    assert change.luck <= 0.05
    assert change.sentence.startswith(f"Since {change.since:%B %Y} tile and grout runs")
    assert found.looked_at == 4


def test_steady_firms_are_told_of_no_change():
    """25 firms, 6 phases, two targets, 5 %: one expected; 4 is below three spreads up."""
    told = 0
    for seed in range(25):
        past = phased(bathrooms(16, seed), seed + 70)
        found = overruns(past)
        told += bool(found.times.changes)
        if not found.times.changes:
            assert any("none is clearer than luck" in n for n in found.grounds.notes)
    assert told <= 4


def test_a_chart_has_limits_and_names_odd_jobs():
    ratios = [1.0, 1.02, 0.98, 1.01, 0.99, 1.0, 1.02, 1.6, 1.0, 0.99]
    found = times_of({"cost": records(ratios)})
    (chart,) = found.charts
    assert chart.jobs[7] == "j07"
    assert chart.outside == (7,)
    assert ("j07", "1 beyond 3 spreads", True) in [(o.job, o.rule, o.above) for o in chart.odd]
    assert chart.low < chart.middle < chart.high


def test_jobs_are_put_in_the_order_of_their_dates():
    mixed = records(noisy(3, 12))[::-1]
    (chart,) = times_of({"cost": mixed}).charts
    assert list(chart.jobs) == sorted(chart.jobs)


def test_undated_jobs_have_a_chart_and_no_change():
    ratios = noisy(1, 30) * np.where(np.arange(30) >= 18, 1.5, 1.0)
    found = times_of({"cost": records(ratios, dated=False)})
    assert len(found.charts) == 1
    assert found.changes == ()
    assert found.looked_at == 0


def test_few_records_and_equal_ones_have_no_chart():
    assert times_of({"cost": records(noisy(1, FEWEST_CHARTED - 1))}).charts == ()
    assert times_of({"cost": records([1.0] * 12)}).charts == ()
    assert times_of({}).charts == ()


def test_learning_is_told_with_its_other_readings():
    ratios = np.arange(1, 25) ** np.log2(0.85) * noisy(5, 24, 0.08)
    found = times_of({"person_days": records(ratios, target="person_days")})
    (one,) = found.learned
    assert one.slope.low < 0.85 < one.slope.high
    assert "another mix of jobs" in one.sentence
    assert "prices" in one.sentence
    assert times_of({"cost": records(ratios)}).learned == (), "cost follows prices"


def test_no_learning_is_claimed_of_steady_firms():
    """60 firms with one phase at 5 %: 3 expected, 8 is three spreads up."""
    told = sum(
        bool(times_of({"person_days": records(noisy(s, 20), target="person_days")}).learned)
        for s in range(60)
    )
    assert told <= 8


@pytest.mark.parametrize(
    ("ratio", "said"), [(1.12, "12 % over plan"), (0.9, "10 % under plan"), (1.002, "on plan")]
)
def test_ratios_in_words(ratio, said):
    assert against(ratio) == said

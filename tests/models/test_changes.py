"""Steps in several series and learning curves: planted ones found, luck called luck."""

import numpy as np
import pytest

from costlearn.errors import NothingToSay
from costlearn.models import changes
from costlearn.models.changes import average_times, learning_slope, steps, unit_times, whole_time


@pytest.fixture
def few_shuffles(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(changes, "SHUFFLES", 199)


def steady(seed: int, jobs: int = 24, series: int = 6, heavy: bool = False):
    """Series that never change, with a job effect in common and a third of the records missing."""
    rng = np.random.default_rng(seed)
    noise = rng.standard_t(3, (jobs, series)) if heavy else rng.normal(size=(jobs, series))
    table = 0.1 * rng.normal(size=(jobs, 1)) + 0.15 * noise
    table[rng.random(table.shape) < 0.3] = np.nan
    return table


def test_a_planted_step_is_found_at_its_place():
    rng = np.random.default_rng(1)
    table = rng.normal(0, 0.05, (30, 4))
    table[18:, 2] += 0.3
    found = {s.series: s for s in steps(table)}
    assert set(found) == {0, 1, 2, 3}
    step = found[2]
    assert step.at == 18
    assert step.luck == pytest.approx(0.001), "nothing of 999 shuffles comes near"
    assert (step.count_before, step.count_after) == (18, 12)
    assert step.before == pytest.approx(table[:18, 2].mean())
    assert step.after == pytest.approx(table[18:, 2].mean())
    assert 0 < step.shift < step.after - step.before, "drawn towards no step"
    assert min(found[k].luck for k in (0, 1, 3)) > 0.05


@pytest.mark.parametrize("heavy", [False, True])
def test_steady_firms_are_seldom_told_of_a_step(few_shuffles: None, heavy: bool):
    """120 firms at the 5 % level: 6 expected; 13 is three spreads of sqrt(120 x .05 x .95) up."""
    told = sum(
        min((s.luck for s in steps(steady(seed, heavy=heavy))), default=1.0) <= 0.05
        for seed in range(120)
    )
    assert told <= 13


def test_chances_of_luck_are_even_in_steady_firms(few_shuffles: None):
    """The least chance of a firm is a p-value: half of 120 lie under one half, within 3 sd."""
    least = [min(s.luck for s in steps(steady(500 + seed))) for seed in range(120)]
    assert np.mean(np.array(least) <= 0.5) == pytest.approx(0.5, abs=3 * np.sqrt(0.25 / 120))


def test_most_real_steps_are_told(few_shuffles: None):
    """A step of 25 % in one of six series, noise 15 %, 40 jobs: t is about 4."""
    told = 0
    for seed in range(20):
        table = steady(100 + seed, jobs=40)
        table[20:, 3] += 0.25
        told += any(s.series == 3 and s.luck <= 0.05 for s in steps(table))
    assert told >= 12


def test_short_series_and_none_are_left_alone():
    table = np.full((10, 2), np.nan)
    table[:7, 0] = np.linspace(0, 1, 7)
    assert steps(table) == ()
    assert steps(np.empty((0, 3))) == ()
    assert steps(np.ones((12, 1))) == (), "values that never vary have no step"


def test_the_same_seed_gives_the_same_answer():
    assert steps(steady(3)) == steps(steady(3))


def test_a_long_history_is_looked_at_in_blocks(few_shuffles: None):
    rng = np.random.default_rng(2)
    table = rng.normal(0, 0.2, (5000, 3))
    table[3000:, 1] += 0.1
    found = {s.series: s for s in steps(table)}
    assert abs(found[1].at - 3000) <= 2 * 5000 / changes.PLACES
    assert found[1].luck == pytest.approx(1 / 200)
    assert found[1].after - found[1].before == pytest.approx(0.1, abs=0.02)


def test_a_learning_curve_without_noise_is_read_back():
    found = learning_slope(unit_times(100, 0.8, 12))
    assert found.ratio == pytest.approx(0.8)
    assert found.count == 12


def test_a_slope_holds_its_share():
    """Of 200 curves of slope .9 with 15 % noise, the 80 % interval holds .9 in 80 %, +- 3 sd."""
    held = 0
    for seed in range(200):
        noise = np.exp(np.random.default_rng(seed).normal(0, 0.15, 15))
        found = learning_slope(unit_times(5, 0.9, 15) * noise)
        held += found.low <= 0.9 <= found.high
    assert held / 200 == pytest.approx(0.8, abs=3 * np.sqrt(0.16 / 200))


@pytest.mark.parametrize("times", [[1.0, 2.0, 3.0], [1.0, 2.0, 0.0, 3.0]])
def test_too_little_for_a_curve_is_said(times: list[float]):
    with pytest.raises(NothingToSay):
        learning_slope(times)


# Source: the unit and the running-average learning curve, documentation of an R package on
# learning curves (vignette of CRAN's learningCurve); values recomputed, 80 % curve from 100.
def test_units_of_an_80_percent_curve():
    printed = [100, 80, 70.210, 64, 59.564, 56.168, 53.449, 51.2]
    assert unit_times(100, 0.8, 8) == pytest.approx(printed, abs=6e-4)
    assert unit_times(100, 0.8, 8).sum() == pytest.approx(534.591, abs=1e-3)


def test_units_of_a_curve_of_running_averages():
    printed = [100, 60, 50.631, 45.369, 41.819, 39.191, 37.133, 35.457]
    assert average_times(100, 0.8, 8) == pytest.approx(printed, abs=6e-4)


def test_a_million_units_at_85_percent():
    """Same source: exact 5,119,612, by the midpoint formula 5,119,614."""
    assert unit_times(100, 0.85, 1_000_000).sum() == pytest.approx(5_119_612, abs=1)
    assert whole_time(100, 0.85, 1_000_000) == pytest.approx(5_119_614, abs=1)

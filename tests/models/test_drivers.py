"""What goes with a high ratio: planted causes found, and silence where the jobs cannot tell."""

import numpy as np
import pytest

from costlearn.errors import NothingToSay
from costlearn.models.drivers import EACH_SIDE, FEWEST_JOBS, drivers

NAMES = tuple(f"c{i}" for i in range(12))


def firm(seed: int, jobs: int = 24, worth: float = 0.0, heavy: bool = False):
    """Twelve yes/no candidates, of which the first adds ``worth`` log points."""
    rng = np.random.default_rng(seed)
    x = (rng.random((jobs, len(NAMES))) < 0.4).astype(float)
    noise = rng.standard_t(3, jobs) * 0.08 if heavy else rng.normal(0, 0.12, jobs)
    return worth * x[:, 0] + noise, x


def clear(seed: int, **values) -> list[str]:
    y, x = firm(seed, **values)
    return [d.name for d in drivers(y, x, NAMES) if d.clear]


@pytest.mark.parametrize("heavy", [False, True])
def test_firms_without_causes_are_told_of_none(heavy: bool):
    """200 firms: 5 % would be 10; 3 spreads of sqrt(200 x .05 x .95) above that is 19."""
    told = sum(bool(clear(seed, heavy=heavy)) for seed in range(200))
    assert told <= 19


def test_a_strong_cause_is_found_and_its_size_held():
    found = [clear(seed, jobs=40, worth=0.3) for seed in range(30)]
    assert sum("c0" in f for f in found) >= 26
    held = 0
    for seed in range(30):
        y, x = firm(seed, jobs=40, worth=0.3)
        first = next(d for d in drivers(y, x, NAMES) if d.name == "c0")
        held += first.interval.holds(float(np.exp(0.3)))
        assert first.raw > 1
    assert held >= 17, "80 % of 30 less three spreads of sqrt(30 x .8 x .2)"


def test_an_effect_is_drawn_towards_none():
    y, x = firm(3, jobs=14, worth=0.15)
    first = next(d for d in drivers(y, x, NAMES) if d.name == "c0")
    assert 1 < first.ratio < first.raw


def test_candidates_without_two_sides_and_too_few_jobs_are_silent():
    y, x = firm(1, jobs=24)
    x[:, 0] = 1.0
    x[:, 1] = 0.0
    x[: EACH_SIDE - 1, 1] = 1.0
    x[:, 2] = np.nan
    looked = {d.name for d in drivers(y, x, NAMES)}
    assert looked == set(NAMES[3:])
    short_y, short_x = firm(1, jobs=FEWEST_JOBS - 1, worth=2.0)
    assert drivers(short_y, short_x, NAMES) == ()


def test_blanks_are_no_jobs_with_it():
    y, x = firm(5, jobs=20)
    x[:, 0] = 0.0
    x[:5, 0] = 1.0
    x[5:8, 0] = np.nan
    (one,) = (d for d in drivers(y, x, NAMES) if d.name == "c0")
    assert one.jobs == 5


def test_ratios_that_never_vary_have_no_driver():
    _, x = firm(2)
    assert not any(d.clear for d in drivers(np.full(24, 0.1), x, NAMES))


def test_shapes_that_do_not_fit_are_said():
    with pytest.raises(NothingToSay):
        drivers(np.zeros(12), np.zeros((12, 3)), NAMES)

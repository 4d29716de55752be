"""Levels of groups pooled: closed forms, coverage and shrinkage in simulated worlds, odd rows."""

import numpy as np
import pytest
from scipy import stats

from costlearn.errors import NothingToSay
from costlearn.models import levels
from costlearn.models.distribution import Codes, Floats
from costlearn.models.levels import pool_levels

COUNTS = (14, 6, 3)


def world(rng: np.random.Generator) -> tuple[Floats, Codes, Floats]:
    """Three kinds of unequal count; between 40 and 200 apart, scatter of its own, fat tails."""
    g = np.repeat(np.arange(3), COUNTS)
    truth = 300 + rng.uniform(40, 200) * rng.standard_normal(3)
    scatter = 100 * np.exp(rng.normal(0, 0.2, 3))
    return truth, g, truth[g] + scatter[g] * rng.standard_t(rng.choice([3, 5, 30]), len(g))


@pytest.fixture(scope="module")
def tried() -> dict[str, Floats]:
    """320 simulated firms: what was held, and how far off pooled and plain means are."""
    rng = np.random.default_rng(20)
    held, off, plain, said, true = [], [], [], [], []
    for _ in range(320):
        truth, g, y = world(rng)
        found = pool_levels(y, g, 100.0)
        held.append([found.interval(k).holds(truth[k]) for k in range(3)])
        off.append([found.middle(k) - truth[k] for k in range(3)])
        plain.append([y[g == k].mean() - truth[k] for k in range(3)])
        said.append(found.beats[1, 0])
        true.append(truth[1] > truth[0])
    lists = {"held": held, "off": off, "plain": plain, "said": said, "true": true}
    return {k: np.array(v, dtype=float) for k, v in lists.items()}


def test_intervals_of_80_hold_80(tried: dict[str, Floats]):
    """960 levels; their standard error is 1.3 points."""
    assert 0.76 <= tried["held"].mean() <= 0.84
    assert all(0.74 <= share <= 0.87 for share in tried["held"].mean(axis=0))


def test_small_groups_gain_most_from_the_others(tried: dict[str, Floats]):
    pooled, plain = (np.sqrt(np.mean(tried[k] ** 2, axis=0)) for k in ("off", "plain"))
    assert (pooled < plain).all()
    assert pooled[2] < 0.85 * plain[2]


def test_odds_are_honest(tried: dict[str, Floats]):
    """Where the odds were high, they came true about as often as said."""
    said, true = tried["said"], tried["true"]
    surer = np.maximum(said, 1 - said)
    right = np.where(said > 0.5, true, 1 - true)
    error = np.sqrt((surer * (1 - surer)).mean() / len(surer))
    assert abs(surer.mean() - right.mean()) < 3 * error
    assert surer.mean() > 0.75


def test_with_one_point_of_each_grid_it_is_the_normal_closed_form(monkeypatch: pytest.MonkeyPatch):
    """Errors as good as normal, one scatter, one spread: the textbook posterior."""
    monkeypatch.setattr(levels, "TAILS", ((1e7, 1.0),))
    monkeypatch.setattr(levels, "OWN_NOISE", ((1.0, 1.0),))
    monkeypatch.setattr(levels, "NOISE", np.array([1.0]))
    monkeypatch.setattr(levels, "BETWEEN", (0.65,))
    monkeypatch.setattr(levels, "_between_prior", lambda tau: 0.0)
    rng = np.random.default_rng(3)
    g = np.repeat([0, 1, 2], [7, 4, 2])
    w = rng.uniform(0.5, 2, len(g))
    y = rng.normal(5, 1, len(g)) + g
    found = pool_levels(y, g, 1.0, w)
    noise, tau = found.scatter, found.between
    cover = tau**2 * np.equal.outer(g, g) + np.diag(noise**2 / w)
    # A common level of which nothing is known: a very wide normal.
    cover += (50 * noise) ** 2
    centre = np.median([np.median(y[g == k]) for k in range(3)])
    for k in range(3):
        with_group = tau**2 * (g == k) + (50 * noise) ** 2
        gain = np.linalg.solve(cover, with_group)
        mean = centre + gain @ (y - centre)
        sd = np.sqrt(tau**2 + (50 * noise) ** 2 - gain @ with_group)
        assert found.middle(k) == pytest.approx(mean, abs=0.01 * noise)
        low, high = stats.norm.ppf([0.1, 0.9], mean, sd)
        interval = found.interval(k)
        assert [interval.low, interval.high] == pytest.approx([low, high], abs=0.02 * noise)
        above = stats.norm.sf(5.5, mean, sd)
        assert found.chance_above(k, 5.5) == pytest.approx(above, abs=0.01)


def test_odds_and_intervals_are_of_one_piece():
    _, g, y = world(np.random.default_rng(8))
    found = pool_levels(y, g, 100.0)
    assert found.beats + found.beats.T == pytest.approx(np.ones((3, 3)))
    assert found.best.sum() == pytest.approx(1)
    assert found.chance.sum(axis=1) == pytest.approx(np.ones(3))
    for k in range(3):
        assert found.chance_above(k, found.quantile(k, 0.3)) == pytest.approx(0.7, abs=0.01)
        one = found.interval(k, 0.5)
        assert found.interval(k).low < one.low < found.middle(k) < one.high


def test_the_money_and_the_order_of_groups_do_not_matter():
    _, g, y = world(np.random.default_rng(5))
    one = pool_levels(y, g, 100.0)
    other = pool_levels(7 * y - 900, 2 - g, 700.0)
    for k in range(3):
        assert other.middle(2 - k) == pytest.approx(7 * one.middle(k) - 900, abs=0.5)
    assert other.beats[0, 1] == pytest.approx(one.beats[2, 1], abs=0.02)


def test_one_record_far_off_hardly_moves_its_group():
    rng = np.random.default_rng(2)
    g = np.repeat([0, 1], [9, 9])
    y = rng.normal(300, 50, 18)
    before = pool_levels(y, g, 60.0)
    y[0] = 5000.0
    after = pool_levels(y, g, 60.0)
    assert abs(after.middle(0) - before.middle(0)) < 25
    assert y[:9].mean() - before.middle(0) > 400


def test_a_group_of_one_lucky_record_is_drawn_in_and_wide():
    y = [300.0, 310, 290, 305, 295, 320, 280, 900]
    found = pool_levels(y, [0, 0, 0, 0, 0, 0, 0, 1], 60.0)
    lucky, many = found.interval(1), found.interval(0)
    assert found.middle(1) < 900
    assert lucky.high - lucky.low > 3 * (many.high - many.low)


@pytest.mark.parametrize("y", [[250.0] * 9, [0.0] * 9, [-80.0] * 9])
def test_records_all_alike_leave_the_usual_scatter(y: list[float]):
    found = pool_levels(y, [0] * 5 + [1] * 4, 60.0)
    one = found.interval(0)
    assert one.low < y[0] < one.high
    assert 10 < one.high - one.low < 120
    assert found.beats[0, 1] == pytest.approx(0.5, abs=0.02)


def test_a_single_group_and_a_single_record_are_answered_widely():
    alone = pool_levels([300.0], [0], 60.0).interval(0)
    assert alone.low < 300 < alone.high
    assert alone.high - alone.low > 120
    assert pool_levels([300.0, 200.0], [0, 0], 60.0).best == pytest.approx([1.0])


def test_the_same_records_give_the_same_odds():
    _, g, y = world(np.random.default_rng(1))
    assert (pool_levels(y, g, 90.0).beats == pool_levels(y, g, 90.0).beats).all()


@pytest.mark.parametrize(
    ("y", "g", "usual", "w"),
    [
        ([], [], 1.0, None),
        ([1.0], [0, 0], 1.0, None),
        ([1.0, np.nan], [0, 0], 1.0, None),
        ([1.0, 2.0], [0, 0], 0.0, None),
        ([1.0, 2.0], [0, 0], 1.0, [1.0, 0.0]),
        ([1.0, 2.0], [0, 0], 1.0, [1.0]),
    ],
)
def test_what_cannot_be_pooled_is_refused(y, g, usual, w):
    with pytest.raises(NothingToSay):
        pool_levels(y, g, usual, w)

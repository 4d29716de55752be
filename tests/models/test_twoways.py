"""Two versions of one job: the difference agrees with draws from the whole posterior."""

from dataclasses import replace

import numpy as np
import pytest

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Multipliers
from costlearn.models.mixture import from_belief
from costlearn.models.regression import PriorRegression, Term
from costlearn.models.twoways import joined, two_ways

TERMS = (
    Term("size", 0.45, 2.0, shrunk=False, role="size"),
    Term("niche", 0.05, 1.0),
    Term("floor", 0.05, 1.0),
    Term("grade", 0.06, 1.0),
)
FIRST = np.array([4.1, 1.0, 0.0, 1.0])
SECOND = np.array([4.1, 1.0, 1.0, 2.0])


def jobs(count: int, seed: int = 3) -> tuple[np.ndarray, np.ndarray]:
    """Invented jobs whose logarithm is linear in four columns."""
    rng = np.random.default_rng(seed)
    columns = np.column_stack(
        [
            rng.normal(4.0, 0.4, count),
            rng.integers(0, 2, count),
            rng.integers(0, 2, count),
            rng.integers(0, 3, count),
        ]
    ).astype(float)
    effect = np.array([0.5, 0.08, 0.12, 0.1])
    return columns, np.exp(7.5 + columns @ effect + rng.normal(0, 0.15, count))


def fitted(count: int = 20) -> PriorRegression:
    columns, total = jobs(count)
    return PriorRegression(TERMS).fit(columns, total)


def drawn(model: PriorRegression, first: np.ndarray, second: np.ndarray, size: int) -> np.ndarray:
    """Both totals out of the posterior: a member, its noise, its effects, one error for both."""
    rng = np.random.default_rng(12)
    post = model.posterior_
    rows = np.column_stack([np.ones(2), np.stack([first, second]) - model.means_])
    roots = [np.linalg.cholesky(a) for a in post.inverse]
    member = rng.choice(len(post.weight), size, p=post.weight)
    noise = np.sqrt(post.variance[member] * model.df_ / rng.chisquare(model.df_, size))
    found = np.empty((size, 2))
    for m in np.unique(member):
        here = member == m
        unit = rng.normal(size=(int(here.sum()), rows.shape[1]))
        effect = post.effect[m] + noise[here, None] * (unit @ roots[m % len(roots)].T)
        error = noise[here] * rng.normal(size=int(here.sum()))
        found[here] = effect @ rows.T + error[:, None]
    return np.exp(found)


@pytest.mark.parametrize("count", [6, 20, 60])
def test_the_difference_agrees_with_draws_from_the_posterior(count: int):
    """Against plain simulation of the same posterior, with no closed form in between."""
    model = fitted(count)
    ways = two_ways(model, FIRST, SECOND)
    plain = Multipliers.from_errors((), model.df_)
    ways = replace(ways, level=replace(ways.level, multipliers=plain))
    pair = drawn(model, FIRST, SECOND, 400_000)
    gap = pair[:, 1] - pair[:, 0]
    low, middle, high = np.quantile(gap, [0.1, 0.5, 0.9])
    found = ways.interval(0.8)
    width = high - low
    assert abs(found.low - low) < 0.02 * width
    assert abs(ways.median - middle) < 0.02 * width
    assert abs(found.high - high) < 0.02 * width
    assert ways.chance_more == pytest.approx(float((gap > 0).mean()), abs=0.003)


def test_the_range_is_far_narrower_than_two_ranges_taken_off_each_other():
    model = fitted()
    one, other = model.distribution(FIRST).interval(), model.distribution(SECOND).interval()
    apart = (other.high - one.low) - (other.low - one.high)
    found = two_ways(model, FIRST, SECOND).interval()
    assert found.high - found.low < 0.4 * apart


def test_alike_versions_differ_by_exactly_nothing():
    ways = two_ways(fitted(), FIRST, FIRST)
    assert ways.chance_more is None
    assert (ways.interval().low, ways.median, ways.interval().high) == (0.0, 0.0, 0.0)


def test_the_level_of_alike_versions_is_the_prediction_itself():
    model = fitted()
    one = model.distribution(FIRST)
    level = two_ways(model, FIRST, FIRST).level
    assert level.centre == pytest.approx(one.centre)
    assert level.scale == pytest.approx(one.scale)


def test_the_other_way_round_is_the_same_with_its_sign_turned():
    model = fitted()
    there, back = two_ways(model, FIRST, SECOND), two_ways(model, SECOND, FIRST)
    assert there.interval().low == pytest.approx(-back.interval().high)
    assert there.median == pytest.approx(-back.median)
    assert there.chance_more == pytest.approx(1 - (back.chance_more or 0.0))


def test_what_both_leave_unsaid_widens_the_level_and_not_the_step():
    model = fitted()
    blank = np.array([1, 3])
    said = two_ways(model, FIRST, SECOND)
    first, second = FIRST.copy(), SECOND.copy()
    second[3] = first[3]
    same_grade = two_ways(model, first, second)
    first[blank] = second[blank] = np.nan
    unsaid = two_ways(model, first, second)
    assert unsaid.level.scale > said.level.scale
    assert unsaid.steps.mean == pytest.approx(same_grade.steps.mean)
    assert unsaid.steps.scale == pytest.approx(same_grade.steps.scale)


def test_a_column_only_one_version_says_is_refused():
    second = SECOND.copy()
    second[3] = np.nan
    with pytest.raises(NothingToSay, match="one version says a column"):
        two_ways(fitted(), FIRST, second)


def test_known_factors_move_the_middle_and_leave_the_spread():
    ways = two_ways(fitted(), FIRST, FIRST)
    moved = ways.times(10_000.0, 12_000.0)
    assert moved.steps.mean == pytest.approx(np.log(1.2))
    assert moved.steps.fixed
    assert moved.chance_more == 1.0
    assert moved.times(12_000.0, 10_000.0).steps.mean == pytest.approx(0.0, abs=1e-12)


def test_wider_spreads_keep_the_middle():
    ways = two_ways(fitted(), FIRST, SECOND)
    wide = ways.wider(1.5, 2.0)
    assert wide.steps.scale == pytest.approx(2 * ways.steps.scale)
    assert wide.steps.mean == pytest.approx(ways.steps.mean)
    assert wide.interval().low < ways.interval().low < ways.interval().high < wide.interval().high


def test_a_mixture_lies_where_the_mixture_of_single_predictions_lies():
    """Centres of both versions, averaged by ``models.mixture``, give level and step again."""
    columns, total = jobs(15)
    beliefs = 500 * columns[:, 0] ** 2
    model = PriorRegression(TERMS).fit(columns, total)
    said = [
        from_belief(columns, TERMS, total, beliefs, row, 9_000.0, 0.3) for row in (FIRST, SECOND)
    ]
    items = [model.distribution(row) for row in (FIRST, SECOND)]
    from costlearn.models.mixture import belief_model

    rated = two_ways(belief_model(columns, TERMS, total, beliefs, 0.3), FIRST, SECOND)
    rated = rated.times(9_000.0, 9_000.0)
    both = joined([two_ways(model, FIRST, SECOND), rated], [0.3, 0.7], items[0])
    centres = [0.3 * i.centre + 0.7 * s.centre for i, s in zip(items, said, strict=True)]
    assert both.level.centre == pytest.approx(np.mean(centres))
    assert both.steps.mean == pytest.approx(centres[1] - centres[0])

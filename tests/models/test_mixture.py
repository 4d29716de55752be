"""Mixing the contractor's quote with the records: weights, averages, and what it is worth."""

import numpy as np
import pytest
from scipy import stats

from costlearn.errors import NothingToSay
from costlearn.models.distribution import Floats, Multipliers
from costlearn.models.mixture import Member, mix, one_number, subset, with_quote
from costlearn.models.regression import LeaveOneOut, PriorRegression, Term, with_expert

TERMS = (Term("size", 0.45, 2.0, shrunk=False, role="size"), Term("item", 0.05))


def firm(n: int, seed: int, slip: float = 0.1) -> tuple[Floats, Floats, Floats]:
    """Jobs whose quotes run 20 % low and scatter by ``slip``."""
    rng = np.random.default_rng(seed)
    columns = np.column_stack([rng.normal(4, 0.4, n), rng.integers(0, 2, n)])
    truth = 7 + columns @ [0.5, 0.2]
    cost = np.exp(truth + rng.normal(0, 0.1, n))
    return columns, cost, np.exp(truth - np.log(1.2) + rng.normal(0, slip, n))


def member(name: str, centre: Floats, observed: Floats, scale: float = 0.2) -> Member:
    loo = LeaveOneOut(centre, np.full(len(centre), scale), observed, 10.0)
    return Member(name, 9.0 if name == "good" else 10.0, scale, 10.0, loo)


def test_one_number_by_hand():
    """Quotes all low by the same quarter: with a constant ratio the number is that ratio."""
    quote = np.array([8000.0, 12_000, 20_000, 9000, 15_000, 30_000, 11_000, 14_000])
    found = one_number(quote * 1.25, quote, 10_000.0)
    # prior a ~ N(0, (2 sigma)^2): the mean ratio is drawn to 0 by 1 / (1 + 4 n) of itself
    assert found.centre == pytest.approx(np.log(10_000) + np.log(1.25) * 32 / 33)
    assert found.df == 3 + 8
    assert found.loo.observed == pytest.approx(np.log(quote * 1.25))
    left = np.log(quote) + np.log(1.25) * 28 / 29
    assert found.loo.centre == pytest.approx(left)


def test_members_alike_share_the_weight():
    rng = np.random.default_rng(0)
    observed = rng.normal(9, 0.3, 12)
    centre = observed + rng.normal(0, 0.1, 12)
    found = mix([member("good", centre, observed), member("bad", centre, observed)])
    assert found.weights == pytest.approx({"good": 0.5, "bad": 0.5})
    assert found.spread.centre == pytest.approx(9.5)


def test_a_member_that_is_always_right_takes_all_but_its_pseudo_job():
    """n jobs all for one member: weight (n + 1) / (n + 2), the other keeps 1 / (n + 2)."""
    observed = np.linspace(9, 10, 18)
    found = mix([member("good", observed, observed), member("bad", observed + 9, observed)])
    assert found.weights == pytest.approx({"good": 19 / 20, "bad": 1 / 20}, abs=1e-3)


def test_weights_add_up_and_are_the_best_on_a_fine_grid():
    rng = np.random.default_rng(3)
    observed = rng.normal(9, 0.3, 15)
    good = member("good", observed + rng.normal(0, 0.15, 15), observed)
    bad = member("bad", observed + rng.normal(0, 0.3, 15), observed, 0.3)
    found = mix([good, bad])
    assert sum(found.weights.values()) == pytest.approx(1)

    def density(m: Member) -> Floats:
        return stats.t.pdf(m.loo.errors, 10) / m.loo.scale

    grid = np.linspace(0.001, 0.999, 999)
    logs = [
        np.log(w * density(good) + (1 - w) * density(bad)).sum() + np.log(w) + np.log(1 - w)
        for w in grid
    ]
    assert found.weights["good"] == pytest.approx(grid[int(np.argmax(logs))], abs=0.002)


def test_centres_and_scales_are_averaged_and_the_multipliers_are_its_own():
    rng = np.random.default_rng(5)
    observed = rng.normal(9, 0.3, 9)
    members = [
        member("good", observed + rng.normal(0, 0.2, 9), observed, 0.2),
        member("bad", observed + rng.normal(0, 0.2, 9), observed, 0.4),
    ]
    found = mix(members)
    w = np.array(list(found.weights.values()))
    assert found.spread.scale == pytest.approx(w @ [0.2, 0.4])
    centre = w @ np.stack([m.loo.centre for m in members])
    assert found.loo.centre == pytest.approx(centre)
    expected = (observed - centre) / (w @ [0.2, 0.4])
    assert found.spread.multipliers == Multipliers.from_errors(expected, 10.0)


def test_degrees_of_freedom_are_the_smallest():
    observed = np.linspace(9, 10, 5)
    one = member("good", observed, observed)
    few = Member("bad", 9.0, 0.2, 4.0, one.loo)
    assert mix([one, few]).spread.multipliers.df == 4.0


def test_a_mixture_of_one_is_that_one():
    observed = np.linspace(9, 10, 6)
    found = mix([member("good", observed + 0.1, observed)])
    assert found.weights == {"good": 1.0}
    assert found.spread.centre == 9.0


def test_with_quote_gives_the_regression_on_quote_and_items_and_the_one_number():
    columns, cost, quote = firm(14, 1)
    row = np.array([4.2, 1.0])
    joined, number = with_quote(columns, TERMS, cost, quote, row, 15_000.0)
    alone = PriorRegression(with_expert(TERMS)).fit(np.column_stack([columns, np.log(quote)]), cost)
    expected = alone.distribution(np.append(row, np.log(15_000.0)))
    assert (joined.name, number.name) == ("regression", "number")
    assert (joined.centre, joined.scale) == pytest.approx((expected.centre, expected.scale))
    assert number.centre == pytest.approx(one_number(cost, quote, 15_000.0).centre)


def test_quotes_that_run_low_are_corrected_and_narrow_the_interval():
    """Size unknown, 150 jobs asked: errors are smaller than without, and 20 % low no more."""
    columns, cost, quote = firm(20, 2, slip=0.05)
    new_columns, new_cost, new_quote = firm(150, 3, slip=0.05)
    blind = PriorRegression(TERMS[1:]).fit(columns[:, 1:], cost)
    off_blind = np.log(new_cost / blind.predict(new_columns[:, 1:]))
    found = [
        mix(with_quote(columns[:, 1:], TERMS[1:], cost, quote, row, number)).spread.median
        for row, number in zip(new_columns[:, 1:], new_quote, strict=True)
    ]
    off = np.log(new_cost / found)
    assert np.std(off) < 0.75 * np.std(off_blind)
    assert abs(np.mean(off)) < 0.06


def test_subset_keeps_the_jobs_asked_for():
    loo = LeaveOneOut(np.arange(4.0), np.arange(4.0) + 1, np.arange(4.0) + 2, 7.0)
    found = subset(loo, np.array([True, False, True, False]))
    assert found.centre.tolist() == [0.0, 2.0]
    assert found.scale.tolist() == [1.0, 3.0]
    assert found.observed.tolist() == [2.0, 4.0]
    assert found.df == 7.0


def test_nothing_or_different_jobs_cannot_be_mixed():
    observed = np.linspace(9, 10, 6)
    with pytest.raises(NothingToSay):
        mix([])
    with pytest.raises(NothingToSay, match="different jobs"):
        mix([member("good", observed, observed), member("bad", observed[:4], observed[:4])])

"""The regression beside a dense conjugate computation, plain least squares, and real refits."""

from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats
from sklearn.base import clone
from sklearn.model_selection import KFold, cross_val_predict

from costlearn.errors import NothingToSay
from costlearn.models import regression
from costlearn.models.distribution import Floats, LogSpread, Multipliers
from costlearn.models.regression import (
    GRID,
    Effect,
    LeaveOneOut,
    PriorRegression,
    Term,
    expert_spread,
    start_spread,
    with_expert,
)

TERMS = (
    Term("size", 0.45, 2.0, shrunk=False, role="size"),
    Term("item", 0.05),
    Term("lights", 0.05, 0.5),
)


def made(n: int, seed: int = 0) -> tuple[Floats, Floats]:
    """Jobs whose log cost is 9 + .5 size + .2 item + .03 lights, spread .15."""
    rng = np.random.default_rng(seed)
    columns = np.column_stack(
        [rng.normal(4, 0.4, n), rng.integers(0, 2, n), rng.integers(0, 5, n) / 3]
    )
    log_cost = 7 + columns @ [0.5, 0.2, 0.03] + rng.normal(0, 0.15, n)
    return columns, np.exp(log_cost)


def dense(
    columns: Floats, z: Floats, terms: tuple[Term, ...], shrink: float, s0: float
) -> tuple[Floats, Floats, float, float]:
    """Normal-inverse-chi-square update by the text book, through the marginal distribution of z.

    z ~ t(nu0; X mu, s0^2 (I + X V X')): no formula is shared with the code under test.
    Returns posterior mean, the matrix V_post, s^2, and the log density of z.
    """
    n = len(z)
    x = np.column_stack([np.ones(n), columns - columns.mean(axis=0)])
    mu = np.array([np.median(z), *(t.mean for t in terms)])
    sd = np.array([8.0, *(t.sd * (shrink if t.shrunk else 1) for t in terms)])
    prior = np.diag(sd**2)
    marginal = np.eye(n) + x @ prior @ x.T
    gain = prior @ x.T @ np.linalg.inv(marginal)
    off = z - x @ mu
    mean = mu + gain @ off
    cover = prior - gain @ x @ prior
    s2 = (3 * s0**2 + off @ np.linalg.solve(marginal, off)) / (3 + n)
    density = stats.multivariate_t(loc=x @ mu, shape=s0**2 * marginal, df=3).logpdf(z)
    return mean, cover, float(s2), float(density)


def meant(terms: tuple[Term, ...], share: float) -> tuple[Term, ...]:
    """The terms with so much of the prior means of shrunk columns."""
    return tuple(replace(t, mean=t.mean * share) if t.shrunk else t for t in terms)


MEMBERS = [(share, chance, shrink) for share, chance in ((1, 0.8), (0, 0.2)) for shrink in GRID]
"""By hand: prior means as stated, 4 chances in 5, or none, each over the whole grid."""


def joined(columns: Floats, z: Floats, terms: tuple[Term, ...], s0: float, row: Floats):
    """Predictive centre and scale of a row, over the whole grid, by the dense computation."""
    x = np.concatenate(([1.0], row - columns.mean(axis=0)))
    parts = [dense(columns, z, meant(terms, m), shrink, s0) for m, _, shrink in MEMBERS]
    log_prior = [np.log(c) - 0.5 * np.log(shrink / 0.6) ** 2 for _, c, shrink in MEMBERS]
    logs = np.array([p[3] for p in parts]) + log_prior
    weight = np.exp(logs - logs.max())
    weight /= weight.sum()
    centres = np.array([x @ p[0] for p in parts])
    variances = np.array([p[2] * (1 + x @ p[1] @ x) for p in parts])
    centre = weight @ centres
    return centre, np.sqrt(weight @ (variances + (centres - centre) ** 2)), weight


@pytest.mark.parametrize("n", [1, 2, 3, 12])
def test_prediction_is_that_of_the_dense_conjugate_computation(n: int):
    columns, cost = made(n)
    row = np.array([4.3, 1.0, 1.0])
    model = PriorRegression(TERMS, start_spread=0.2).fit(columns, cost)
    centre, scale, weight = joined(columns, np.log(cost), TERMS, 0.2, row)
    found = model.distribution(row)
    assert found.centre == pytest.approx(centre, rel=1e-9)
    assert found.scale == pytest.approx(scale, rel=1e-9)
    assert model.posterior_.weight == pytest.approx(weight, abs=1e-9)
    assert found.multipliers.df == 3 + n


def test_one_shrinkage_alone_gives_the_dense_posterior(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(regression, "GRID", (0.6,))
    monkeypatch.setattr(regression, "MEANINGS", ((1.0, 1.0),))
    columns, cost = made(9, seed=3)
    model = PriorRegression(TERMS, start_spread=0.25).fit(columns, cost)
    mean, cover, s2, _ = dense(columns, np.log(cost), TERMS, 0.6, 0.25)
    for i, effect in enumerate(model.effects(), start=1):
        assert effect.mean == pytest.approx(mean[i], rel=1e-9)
        assert effect.sd == pytest.approx(np.sqrt(s2 * cover[i, i]), rel=1e-9)
    both = model.combined([1.0, 2.0, 0.0])
    amounts = np.array([0.0, 1.0, 2.0, 0.0])
    assert both.mean == pytest.approx(amounts @ mean, rel=1e-9)
    assert both.sd == pytest.approx(np.sqrt(s2 * amounts @ cover @ amounts), rel=1e-9)


def test_prior_means_give_way_together_where_no_item_does_anything():
    """12 idle columns, each thought worth .3: their means are dropped, others keep theirs."""
    rng = np.random.default_rng(4)
    columns = np.column_stack([rng.normal(4, 0.4, 20), rng.integers(0, 2, (20, 12))])
    cost = np.exp(7 + 0.5 * columns[:, 0] + rng.normal(0, 0.1, 20))
    items = tuple(Term(f"x{i}", 0.3) for i in range(12))
    size, drift = replace(TERMS[0], name="size"), Term("drift", 0.1, 0.5, role="drift")
    model = PriorRegression((size, *items)).fit(columns, cost)
    half = len(model.posterior_.weight) // 2
    assert model.posterior_.weight[half:].sum() > 0.99
    assert np.mean([e.mean for e in model.effects()[1:]]) == pytest.approx(0.0, abs=0.05)
    sure = PriorRegression((size, drift)).fit(columns[:, :2], cost)
    assert len(sure.posterior_.weight) == len(GRID), "neither size nor drift is in doubt"


def test_vague_priors_and_many_jobs_give_plain_least_squares():
    columns, cost = made(400, seed=1)
    vague = tuple(replace(t, mean=0.0, sd=1e3, shrunk=False) for t in TERMS)
    model = PriorRegression(vague, intercept_sd=1e3).fit(columns, cost)
    plain = sm.OLS(np.log(cost), sm.add_constant(columns)).fit()
    for effect, mean, sd in zip(model.effects(), plain.params[1:], plain.bse[1:], strict=True):
        assert effect.mean == pytest.approx(mean, abs=1e-6)
        assert effect.sd == pytest.approx(sd, rel=0.02)
    row = np.array([[4.3, 1.0, 1.0]])
    expected = plain.get_prediction(sm.add_constant(row, has_constant="add")).predicted_mean
    assert model.predict(row) == pytest.approx(np.exp(expected), rel=1e-6)


def test_leave_one_out_is_that_of_really_leaving_out():
    """Each job refitted away with centring, prior, start and shrinkage weights held."""
    n = 11
    columns, cost = made(n, seed=5)
    model = PriorRegression(TERMS, start_spread=0.2).fit(columns, cost)
    z, weight = np.log(cost), model.posterior_.weight
    x = np.column_stack([np.ones(n), columns - columns.mean(axis=0)])
    for out in range(n):
        keep = np.arange(n) != out
        centres, variances = [], []
        for share, _, shrink in MEMBERS:
            mu = np.array([np.median(z), *(t.mean for t in meant(TERMS, share))])
            sd = np.array([8.0, *(t.sd * (shrink if t.shrunk else 1) for t in TERMS)])
            marginal = np.eye(n - 1) + (x[keep] * sd**2) @ x[keep].T
            off = z[keep] - x[keep] @ mu
            toward = np.linalg.solve(marginal, x[keep] * sd**2 @ np.eye(4) @ x[out])
            centres.append(x[out] @ mu + toward @ off)
            grown = 1 + (x[out] * sd**2) @ x[out] - (x[keep] * sd**2 @ x[out]) @ toward
            s2 = (3 * 0.2**2 + off @ np.linalg.solve(marginal, off)) / (3 + n - 1)
            variances.append(s2 * grown)
        centre = weight @ centres
        scale = np.sqrt(weight @ (np.array(variances) + (np.array(centres) - centre) ** 2))
        assert model.loo_.centre[out] == pytest.approx(centre, rel=1e-9)
        assert model.loo_.scale[out] == pytest.approx(scale, rel=1e-9)
    assert model.loo_.residuals == pytest.approx(z - model.loo_.centre)
    assert model.loo_.errors == pytest.approx((z - model.loo_.centre) / model.loo_.scale)


def test_multipliers_come_from_the_models_own_leave_one_out_errors():
    columns, cost = made(15)
    model = PriorRegression(TERMS).fit(columns, cost)
    assert model.multipliers_ == Multipliers.from_errors(model.loo_.errors, 18.0)
    ends = model.predict_interval(columns[:2], 0.8)
    one = model.distribution(columns[1]).interval(0.8)
    assert ends[1] == pytest.approx([one.low, one.high])


def test_item_never_seen_keeps_its_prior_and_widens():
    columns, cost = made(14, seed=2)
    columns[:, 1] = 0.0
    model = PriorRegression(TERMS).fit(columns, cost)
    never = model.effects()[1]
    half = len(model.posterior_.weight) // 2
    stated = float(model.posterior_.weight[:half].sum())
    assert 0 < stated < 1
    assert never.mean == pytest.approx(0.05 * stated, abs=1e-12)
    without, with_it = np.array([4.0, 0.0, 1.0]), np.array([4.0, 1.0, 1.0])
    assert model.distribution(with_it).scale > model.distribution(without).scale
    added = model.distribution(with_it).centre - model.distribution(without).centre
    assert added == pytest.approx(0.05 * stated, abs=1e-12)
    assert model.leverage(with_it) > model.leverage(without)


def test_a_column_never_seen_changes_nothing_for_jobs_without_it():
    columns, cost = made(14, seed=2)
    columns[:, 1] = 0.0
    full = PriorRegression(TERMS, start_spread=0.2).fit(columns, cost)
    short = PriorRegression((TERMS[0], TERMS[2]), start_spread=0.2).fit(columns[:, [0, 2]], cost)
    assert full.predict([[4.1, 0.0, 1.0]]) == pytest.approx(short.predict([[4.1, 1.0]]), rel=1e-10)


def test_value_not_said_widens_and_stays_in_the_middle(monkeypatch: pytest.MonkeyPatch):
    """The column could be anything its history was: variance + spread^2 x (effect^2 + its own)."""
    monkeypatch.setattr(regression, "GRID", (0.6,))
    columns, cost = made(7, seed=4)
    model = PriorRegression(TERMS).fit(columns, cost)
    said = model.distribution([4.0, columns[:, 1].mean(), 1.0])
    unsaid = model.distribution([4.0, np.nan, 1.0])
    effect = model.effects()[1]
    expected = said.scale**2 + columns[:, 1].var() * (effect.mean**2 + effect.sd**2)
    assert unsaid.centre == pytest.approx(said.centre)
    assert unsaid.scale == pytest.approx(np.sqrt(expected), rel=1e-9)
    assert unsaid.scale > said.scale


def test_values_not_said_in_the_history_are_read_as_the_mean_of_those_said():
    columns, cost = made(12, seed=6)
    holes = columns.copy()
    holes[2, 1] = np.nan
    filled = columns.copy()
    filled[2, 1] = np.delete(columns[:, 1], 2).mean()
    start = {"start_spread": 0.2}
    one = PriorRegression(TERMS, **start).fit(holes, cost).predict([[4.2, 1, 1]])
    two = PriorRegression(TERMS, **start).fit(filled, cost).predict([[4.2, 1, 1]])
    assert one == pytest.approx(two, rel=1e-12)


def test_a_size_that_nobody_wrote_down_still_fits():
    columns, cost = made(10)
    columns[:, 0] = np.nan
    model = PriorRegression(TERMS).fit(columns, cost)
    assert np.isfinite(model.predict(columns)).all()
    assert model.start_spread_ == pytest.approx(start_spread(np.log(cost)))


def test_one_job_alone_gives_a_very_wide_interval_about_it():
    model = PriorRegression(TERMS).fit([[4.0, 0.0, 0.0]], [15_000.0])
    found = model.distribution(np.array([4.0, 0.0, 0.0]))
    assert found.median == pytest.approx(15_000)
    assert found.interval(0.8).ratio > 1.5


def test_more_jobs_narrow_the_interval_and_it_holds_its_share():
    """1,000 next jobs of the law that made the history: 80 % intervals hold 80 % within 4 %."""
    new_columns, new_cost = made(1000, seed=77)
    widths, held = [], []
    for n in (4, 40, 200):
        ends = PriorRegression(TERMS).fit(*made(n, seed=8)).predict_interval(new_columns)
        many = [PriorRegression(TERMS).fit(*made(n, seed=k)) for k in range(10)]
        ratios = [m.predict_interval(new_columns[:50]) for m in many]
        widths.append(float(np.mean([np.median(r[:, 1] / r[:, 0]) for r in ratios])))
        held.append(float(np.mean((ends[:, 0] <= new_cost) & (new_cost <= ends[:, 1]))))
    assert widths[0] > widths[2]
    assert held[2] == pytest.approx(0.8, abs=0.05)


def test_estimator_is_a_good_citizen_of_scikit_learn():
    columns, cost = made(30)
    model = PriorRegression(TERMS, start_spread=0.2, intercept_sd=5.0)
    copy = clone(model)
    assert copy.get_params() == model.get_params()
    assert set(model.get_params()) == {
        "terms",
        "start_spread",
        "intercept",
        "intercept_sd",
        "noise_df",
        "start_share",
    }
    found = cross_val_predict(model, columns, cost, cv=KFold(5))
    first = clone(model).fit(columns[6:], cost[6:]).predict(columns[:6])
    assert found[:6] == pytest.approx(first)
    assert model.set_params(intercept_sd=2.0).intercept_sd == 2.0
    assert 0.3 < model.fit(columns, cost).score(columns, cost) < 1


def test_columns_without_priors_get_plain_ones():
    columns, cost = made(20)
    model = PriorRegression().fit(columns, cost)
    assert [e.name for e in model.effects()] == ["x0", "x1", "x2"]


def test_start_spread_by_hand():
    """Logs 0, .2, .4: variance .04; .6 sqrt((3 x .04 + 4 x .09) / 7)."""
    assert start_spread(np.array([0.0, 0.2, 0.4])) == pytest.approx(0.6 * np.sqrt(0.48 / 7))
    assert start_spread(np.array([1.7])) == pytest.approx(0.6 * np.sqrt(0.36 / 5))
    assert expert_spread(np.array([0.0, 0.2, 0.4])) == pytest.approx(0.9 * np.sqrt(0.28 / 7))


def test_noise_starts_from_what_size_leaves():
    """Costs exactly proportional to size^.6 leave nothing, so only the usual spread is left."""
    size = np.log(np.array([30.0, 50, 80, 120]))
    cost = np.exp(8 + 0.6 * size)
    model = PriorRegression(TERMS[:1]).fit(size[:, None], cost)
    assert model.start_spread_ == pytest.approx(0.6 * np.sqrt(4 * 0.09 / 8))


def test_expert_takes_over_the_prior_means_and_stands_last():
    terms = with_expert(TERMS, mean=0.8)
    assert [t.mean for t in terms] == pytest.approx([0.09, 0.01, 0.01, 0.8])
    assert (terms[-1].name, terms[-1].role, terms[-1].shrunk) == ("quote", "expert", False)
    assert [t.sd for t in terms[:-1]] == [t.sd for t in TERMS]


def test_exact_quotes_lower_the_start_of_the_noise():
    columns, cost = made(20)
    quoted = np.column_stack([columns, np.log(cost * 1.1)])
    model = PriorRegression(with_expert(TERMS)).fit(quoted, cost)
    assert model.start_spread_ == pytest.approx(0.9 * np.sqrt(4 * 0.04 / 24))


def test_long_tables_are_predicted_in_parts_alike(monkeypatch: pytest.MonkeyPatch):
    columns, cost = made(25)
    whole = PriorRegression(TERMS).fit(columns, cost)
    monkeypatch.setattr(regression, "CHUNK", 4)
    parts = PriorRegression(TERMS).fit(columns, cost)
    assert parts.loo_.scale == pytest.approx(whole.loo_.scale, rel=1e-12)
    assert parts.predict_interval(columns) == pytest.approx(whole.predict_interval(columns))


def test_scaling_all_totals_scales_the_prediction():
    columns, cost = made(18)
    one = PriorRegression(TERMS).fit(columns, cost).predict_interval(columns)
    ten = PriorRegression(TERMS).fit(columns, cost * 10).predict_interval(columns)
    assert ten == pytest.approx(10 * one)


def test_order_of_the_jobs_does_not_matter():
    columns, cost = made(18)
    there = PriorRegression(TERMS).fit(columns, cost).distribution(columns[0])
    back = PriorRegression(TERMS).fit(columns[::-1], cost[::-1]).distribution(columns[0])
    assert isinstance(there, LogSpread)
    assert back.centre == pytest.approx(there.centre)
    assert back.interval(0.8).high == pytest.approx(there.interval(0.8).high)


@pytest.mark.parametrize(
    ("columns", "cost"),
    [
        (np.ones((0, 3)), np.ones(0)),
        (np.ones((2, 3)), np.ones(3)),
        (np.ones(3), np.ones(3)),
        (np.ones((2, 3)), np.array([1.0, 0.0])),
        (np.ones((2, 3)), np.array([1.0, -5.0])),
        (np.ones((2, 3)), np.array([1.0, np.nan])),
        (np.ones((2, 3)), np.array([1.0, np.inf])),
        (np.ones((2, 2)), np.array([1.0, 2.0])),
    ],
    ids=["none", "lengths", "flat", "zero", "negative", "nan", "infinite", "priors"],
)
def test_what_cannot_be_learned_from_is_said(columns: Floats, cost: Floats):
    with pytest.raises(NothingToSay):
        PriorRegression(TERMS).fit(columns, cost)


def test_rows_of_another_width_cannot_be_predicted():
    model = PriorRegression(TERMS).fit(*made(5))
    with pytest.raises(NothingToSay, match="rows of 3 columns"):
        model.predict(np.ones((2, 2)))


def test_reach_and_density_are_those_of_students_t() -> None:
    # With 2 degrees of freedom the quantile is (2p - 1) / sqrt(2p(1 - p)), the density at the
    # middle 1 / (2 sqrt 2): worked out by hand.
    effect = Effect("wall tile", 0.1, 0.5, 2.0)
    assert effect.reach(0.8) == pytest.approx(0.5 * 0.8 / np.sqrt(2 * 0.9 * 0.1), rel=1e-9)
    met = np.array([3.0, 4.0])
    loo = LeaveOneOut(met, np.array([1.0, 2.0]), met, 2.0)
    middle = np.log(1 / (2 * np.sqrt(2)))
    assert loo.density == pytest.approx(middle - np.log(2) / 2, rel=1e-9)

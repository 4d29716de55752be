"""What is carried of a fit is enough to make it anew: effects, variances, tails."""

import numpy as np
import pytest
from scipy import special

from costlearn.models.carried import carried_fit, carried_table
from costlearn.models.distribution import LEVELS, Multipliers
from costlearn.models.regression import GRID, PriorRegression, Term

TERMS = (
    Term("size", 0.45, 2.0, shrunk=False, role="size"),
    Term("item", 0.05, 1.0),
    Term("never", 0.05, 0.85, shrunk=False),
    Term("years", 0.12, 0.5, role="drift"),
)


def made(seed: int = 3, n: int = 12) -> tuple[np.ndarray, np.ndarray]:
    """Invented columns, one that no job tells apart and one with gaps, and totals."""
    rng = np.random.default_rng(seed)
    columns = np.column_stack(
        [rng.normal(4, 0.3, n), rng.integers(0, 2, n), np.zeros(n), rng.normal(0, 1, n)]
    )
    total = np.exp(7 + 0.6 * columns[:, 0] + 0.1 * columns[:, 1] + rng.normal(0, 0.1, n))
    columns[::5, 3] = np.nan
    return columns, total


def test_effects_come_back_from_columns_priors_and_cross_products():
    columns, total = made()
    model = PriorRegression(TERMS).fit(columns, total)
    fit = carried_fit(model, columns, total, TERMS)
    assert fit.shares == (1.0, 0.0)
    assert len(fit.weight) == 2 * len(GRID)
    centred = np.where(np.isnan(columns), 0.0, columns - model.means_)
    design = np.column_stack([np.ones(len(total)), centred])
    found = []
    for share, cross in zip(fit.shares, fit.cross, strict=True):
        prior = [fit.level, *(share * t.mean if t.name == "item" else t.mean for t in TERMS)]
        for step in GRID:
            sd = [fit.intercept_sd, *(t.sd * (step if t.shrunk else 1.0) for t in TERMS)]
            whole = design.T @ design + np.diag(np.array(sd) ** -2.0)
            found.append(prior + np.linalg.solve(whole, np.array(cross)))
    assert np.array(found) == pytest.approx(model.posterior_.effect, rel=1e-9, abs=1e-12)
    assert fit.wide == pytest.approx(special.stdtrit(15, 0.9))


def test_a_column_that_no_job_tells_apart_moves_nothing_but_its_own_prior():
    columns, total = made()
    with_it = PriorRegression(TERMS).fit(columns, total)
    keep = [0, 1, 3]
    without = PriorRegression([TERMS[i] for i in keep]).fit(columns[:, keep], total)
    row = np.array([4.2, 1.0, 0.0, 0.3])
    one, other = with_it.distribution(row), without.distribution(row[keep])
    assert one.centre == pytest.approx(other.centre, rel=1e-12)
    assert one.scale == pytest.approx(other.scale, rel=1e-12)
    assert with_it.multipliers_.reach == pytest.approx(without.multipliers_.reach, rel=1e-9)
    assert with_it.effects()[2].mean == pytest.approx(0.05)


def test_one_meaning_is_carried_where_no_prior_mean_is_doubtful():
    columns, total = made()
    terms = [Term("size", 0.45, 2.0, shrunk=False, role="size")]
    model = PriorRegression(terms).fit(columns[:, :1], total)
    fit = carried_fit(model, columns[:, :1], total, terms)
    assert fit.shares == (1.0,) and len(fit.cross) == 1


def test_a_table_goes_on_past_its_last_level():
    table = carried_table(Multipliers.from_errors((0.5, -1.0, 2.0), 6.0))
    assert len(table.reach) == len(LEVELS)
    assert special.stdtr(6.0, table.top) == pytest.approx((1 + LEVELS[-1]) / 2)
    beta = special.gamma(3) * special.gamma(0.5) / special.gamma(3.5)
    assert np.exp(table.log_beta) == pytest.approx(beta)

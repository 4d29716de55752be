"""Combinations of effects with job factors taken out: the same as with a column for each job."""

import numpy as np
import pytest

from costlearn.models.contrasts import contrasts
from costlearn.models.regression import PriorRegression, Term


def records(jobs: int = 12, each: int = 5, seed: int = 2):
    rng = np.random.default_rng(seed)
    where = np.repeat(np.arange(jobs), each)
    columns = rng.normal(size=(jobs * each, 3))
    own = rng.normal(0, 0.1, jobs)[where]
    log_days = 1.0 + columns @ [0.4, -0.3, 0.1] + own + rng.normal(0, 0.2, jobs * each)
    return columns, log_days, where


TERMS = (Term("a", 0.1, 2.0, shrunk=False), Term("b", 0.0, 1.0), Term("c", 0.05, 0.5))


def test_taking_job_factors_out_equals_a_column_for_each_job():
    """N(0, (.5 x noise)^2) for each job, as columns or integrated out: one model."""
    columns, log_days, where = records()
    level = float(np.median(log_days))
    one = np.column_stack([np.ones(len(log_days)), columns])
    terms = (Term("level", level, 8.0, shrunk=False), *TERMS)
    found = contrasts(one, log_days, terms, np.eye(4)[1:], 0.25, groups=where, share=0.5)
    middle = columns.mean(axis=0)
    each = np.hstack([columns, np.eye(12)[where]])
    jobs = tuple(Term(f"job {k}", 0.0, 0.5, shrunk=False) for k in range(12))
    plain = PriorRegression((*TERMS, *jobs), start_spread=0.25).fit(each, np.exp(log_days))
    effects = [plain.combined(np.eye(15)[k]) for k in range(3)]
    assert found.mean == pytest.approx([e.mean for e in effects], abs=0.004), middle
    assert np.sqrt(np.diag(found.covariance)) == pytest.approx([e.sd for e in effects], rel=0.02)
    assert found.df == effects[0].df
    assert found.noise == pytest.approx(plain.noise, rel=0.02)


def test_combinations_are_known_together():
    columns, log_days, where = records()
    one = np.column_stack([np.ones(len(log_days)), columns])
    terms = (Term("level", float(np.median(log_days)), 8.0, shrunk=False), *TERMS)
    wanted = np.array([[0, 1, 0, 0], [0, 0, 1, 0], [0, 1, 1, 0]], dtype=float)
    found = contrasts(one, log_days, terms, wanted, 0.25, groups=where, share=0.5)
    mean, spread = found.times(np.array([1.0, 1.0, 0.0]))
    assert mean == pytest.approx(found.mean[2])
    assert spread == pytest.approx(np.sqrt(found.covariance[2, 2]))


def test_more_records_than_the_grid_needs_find_the_truth():
    columns, log_days, where = records(200, 5, 4)
    one = np.column_stack([np.ones(len(log_days)), columns])
    terms = (Term("level", 1.0, 8.0, shrunk=False), *TERMS)
    found = contrasts(one, log_days, terms, np.eye(4)[1:], 0.25, groups=where, share=0.5)
    assert found.mean == pytest.approx([0.4, -0.3, 0.1], abs=0.025)
    assert found.noise == pytest.approx(0.2, abs=0.02)

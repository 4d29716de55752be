"""The protocol of scikit-learn without its base classes."""

import subprocess
import sys

import numpy as np
import pytest
from scipy import stats
from sklearn.base import clone, is_regressor
from sklearn.model_selection import KFold, cross_val_score

from costlearn.errors import NothingToSay
from costlearn.models.distribution import log_density
from costlearn.models.estimator import Regressor
from costlearn.models.regression import PriorRegression


def test_scikit_learn_takes_it_for_a_regressor_and_cross_validates_it():
    rng = np.random.default_rng(1)
    columns = rng.normal(size=(60, 2))
    total = np.exp(1 + columns @ [0.5, 0.2] + rng.normal(0, 0.1, 60))
    model = PriorRegression(intercept_sd=5.0)
    assert is_regressor(model)
    assert clone(model).intercept_sd == 5.0
    assert cross_val_score(model, columns, total, cv=KFold(4)).mean() > 0.8


def test_parameters_are_those_of_its_making():
    model = PriorRegression()
    assert "intercept_sd=8.0" in repr(model)
    with pytest.raises(NothingToSay, match="'slope' is no parameter"):
        model.set_params(slope=1.0)
    with pytest.raises(NothingToSay, match="does not predict"):
        Regressor().predict([[1.0]])


def test_score_is_the_share_of_variance_foretold():
    """Off by 1 at each of 1, 3, 5: 1 - 3 / 8."""

    class Off(Regressor):
        def predict(self, X):
            return np.asarray(X)[:, 0] + 1

    assert Off().score([[1.0], [3.0], [5.0]], [1.0, 3.0, 5.0]) == pytest.approx(1 - 3 / 8)


def test_log_density_is_that_of_students_t():
    errors = np.linspace(-6, 6, 25)
    for df in (3.0, 11.5, 400.0):
        assert log_density(errors, df) == pytest.approx(stats.t.logpdf(errors, df))


def test_the_crew_question_loads_neither_scikit_learn_nor_all_of_scipys_statistics():
    """Both take half a second; the answer itself a tenth."""
    code = (
        "import sys, costlearn.questions.crewing.crew\n"
        "print([m for m in ('sklearn', 'scipy.stats', 'statsmodels') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"

"""The regression beside certified and printed least-squares results.

The regression has priors and a logarithm; least squares has neither. Both agree in one limit, and
there it is checked: priors of a spread of a million noise scales, prior degrees of freedom minus
the number of coefficients (so that the noise has n - p of them), no calibration by leave-one-out,
and totals exp(y / c), whose logarithm is y in units of c.
"""

import numpy as np
import pytest
import statsmodels.api as sm
from statsmodels.datasets import longley

from costlearn.models.distribution import Floats, Interval, LogSpread, Multipliers
from costlearn.models.regression import SIZE_POWER, PriorRegression, Term


def numbers(text: str) -> Floats:
    """Figures written one after the other."""
    return np.array([float(word) for word in text.split()])


def vague_fit(columns: Floats, y: Floats, unit: float) -> PriorRegression:
    """The regression in its least-squares limit, on totals exp(y / unit)."""
    p = columns.shape[1]
    terms = tuple(Term(f"x{i}", 0.0, 1e6, shrunk=False) for i in range(p))
    model = PriorRegression(terms, start_spread=1e-9, intercept_sd=1e6, noise_df=-(p + 1))
    return model.fit(columns, np.exp(y / unit))


def line(model: PriorRegression, unit: float) -> Floats:
    """Intercept at 0 and slopes, in the unit of y."""
    slopes = np.array([e.mean for e in model.effects()])
    at_mean = model.posterior_.weight @ model.posterior_.effect[:, 0]
    return unit * np.concatenate(([at_mean - model.means_ @ slopes], slopes))


def t_interval(model: PriorRegression, row: list[float], level: float, unit: float) -> Interval:
    """The plain t prediction interval of a row, in the unit of y."""
    one = model.distribution(row)
    plain = LogSpread(one.centre, one.scale, Multipliers.from_errors([], model.df_))
    found = plain.interval(level)
    return Interval(level, unit * float(np.log(found.low)), unit * float(np.log(found.high)))


# Source: Introduction to Linear Regression Analysis, rocket propellant data (shear strength, psi,
# against age of the propellant, weeks); title from memory, the data found alike in three files.
AGE = numbers(
    """
    15.5 23.75 8 17 5.5 19 24 2.5 7.5 11 13 3.75
    25 9.75 22 18 6 12.5 2 21.5
    """
)
STRENGTH = numbers(
    """
    2158.7 1678.15 2316 2061.3 2207.5 1708.3 1784.7 2575 2357.9 2256.7 2165.2 2399.55
    1779.8 2336.75 1765.3 2053.5 2414.4 2200.5 2654.2 1753.7
    """
)


@pytest.fixture(scope="module")
def propellant() -> PriorRegression:
    return vague_fit(AGE[:, None], STRENGTH, 100.0)


def test_propellant_line(propellant: PriorRegression):
    """Printed: y = 2627.82 - 37.15 x."""
    assert line(propellant, 100.0) == pytest.approx([2627.82, -37.15], abs=0.005)


def test_propellant_95_percent_prediction_interval_as_printed(propellant: PriorRegression):
    """Printed at x = 10: 2048.32 to 2464.32, worked with rounded slopes, hence +-0.2."""
    found = t_interval(propellant, [10.0], 0.95, 100.0)
    assert (found.low, found.high) == pytest.approx((2048.32, 2464.32), abs=0.2)


@pytest.mark.parametrize(
    ("level", "low", "high"),
    [(0.95, 2048.38, 2464.19), (0.9, 2084.69, 2427.88), (0.8, 2124.63, 2387.94)],
)
def test_propellant_prediction_intervals_unrounded(
    propellant: PriorRegression, level: float, low: float, high: float
):
    """Recomputed from the same data with nothing rounded."""
    found = t_interval(propellant, [10.0], level, 100.0)
    assert (found.low, found.high) == pytest.approx((low, high), abs=0.006)


def test_propellant_agrees_with_statsmodels(propellant: PriorRegression):
    fit = sm.OLS(STRENGTH, sm.add_constant(AGE)).fit()
    assert line(propellant, 100.0) == pytest.approx(fit.params, rel=1e-8)
    # printed mean square error 9244.59, from rounded slopes; unrounded 9236.381
    assert propellant.posterior_.variance * 100.0**2 == pytest.approx(fit.mse_resid, rel=1e-8)
    assert fit.mse_resid == pytest.approx(9236.381, abs=0.001)
    table = fit.get_prediction([[1.0, 3.0], [1.0, 30.0]]).summary_frame(alpha=0.2)
    for row, low, high in zip(
        (3.0, 30.0), table["obs_ci_lower"], table["obs_ci_upper"], strict=True
    ):
        found = t_interval(propellant, [row], 0.8, 100.0)
        assert (found.low, found.high) == pytest.approx((low, high), rel=1e-8)


def test_propellant_leave_one_out_errors_are_the_studentised_residuals():
    """Leaving a job out by the hat matrix is exact; statsmodels refits by its own formula.

    Centring is not redone without the job, so a vague intercept takes it up and nothing is lost.
    """
    model = vague_fit(AGE[:, None], STRENGTH, 100.0)
    fit = sm.OLS(STRENGTH, sm.add_constant(AGE)).fit()
    influence = fit.get_influence()
    assert 100 * model.loo_.residuals == pytest.approx(influence.resid_press, rel=1e-7)
    assert model.loo_.errors == pytest.approx(influence.resid_studentized_external, rel=1e-7)


# Source: NIST Statistical Reference Datasets, linear regression, data set "Norris" (calibration of
# ozone monitors), 36 pairs and certified values.
NORRIS_Y = numbers(
    """
    0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3
    0.1 778.1 668.8 339.3 448.9 10.8 557.7 228.3 998.0 888.8 119.6 0.3
    0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2
    """
)
NORRIS_X = numbers(
    """
    0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4
    0.6 775.5 666.9 338.0 447.5 11.6 556.0 228.1 995.8 887.6 120.2 0.3
    0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5
    """
)


def test_norris_certified_line_and_spread():
    model = vague_fit(NORRIS_X[:, None], NORRIS_Y, 100.0)
    found = line(model, 100.0)
    assert found[1] == pytest.approx(1.00211681802045, rel=1e-10)
    assert found[0] == pytest.approx(-0.262323073774029, rel=1e-6)
    slope = model.effects()[0]
    assert 100 * slope.sd == pytest.approx(0.429796848199937e-03, rel=1e-7)
    assert slope.df == 34
    assert 100 * np.sqrt(model.posterior_.variance) == pytest.approx(0.884796396144373, rel=1e-7)


def test_norris_certified_spread_of_the_intercept():
    """The line at x = 0 is combined from its middle and the slope: certified 0.232818234301152."""
    model = vague_fit(NORRIS_X[:, None], NORRIS_Y, 100.0)
    leverage = model.leverage([0.0])
    spread = 100 * np.sqrt(model.posterior_.variance[0] * leverage)
    assert spread == pytest.approx(0.232818234301152, rel=1e-7)


def test_norris_prediction_interval():
    """95 % at x = 500, recomputed from the certified data (not itself certified)."""
    found = t_interval(vague_fit(NORRIS_X[:, None], NORRIS_Y, 100.0), [500.0], 0.95, 100.0)
    assert (found.low, found.high) == pytest.approx((498.971794, 502.620378), abs=2e-6)


# Source: NIST Statistical Reference Datasets, linear regression, data set "Longley": certified
# coefficients and their standard deviations, in the order constant, GNP deflator, GNP,
# unemployed, armed forces, population, year. The data as statsmodels ships them.
LONGLEY = (
    (-3482258.63459582, 890420.383607373),
    (15.0618722713733, 84.9149257747669),
    (-0.358191792925910e-01, 0.334910077722432e-01),
    (-2.02022980381683, 0.488399681651699),
    (-1.03322686717359, 0.214274163161675),
    (-0.511041056535807e-01, 0.226073200069370),
    (1829.15146461355, 455.478499142212),
)


def test_longley_certified_values():
    """Six columns so alike that careless arithmetic loses every digit; five are asked for here."""
    data = longley.load_pandas()
    columns = data.exog.to_numpy(dtype=float)
    model = vague_fit(columns, data.endog.to_numpy(dtype=float), 1e4)
    assert line(model, 1e4) == pytest.approx([b for b, _ in LONGLEY], rel=1e-5)
    spreads = [1e4 * e.sd for e in model.effects()]
    assert spreads == pytest.approx([s for _, s in LONGLEY[1:]], rel=1e-5)
    # certified residual standard deviation 304.854073561965, 9 degrees of freedom
    assert 1e4 * np.sqrt(model.posterior_.variance) == pytest.approx(304.854073561965, rel=1e-5)
    assert model.df_ == 9


# Source: "six-tenths rule" of cost engineering, C2 = C1 (S2 / S1)^0.6; factors as printed in
# course notes (1.516 for double, 1.933 for triple the size), recomputed.
@pytest.mark.parametrize(("size", "factor"), [(2, 1.5157), (3, 1.9332), (10, 3.9811)])
def test_size_rule_that_starts_the_noise_is_the_six_tenths_rule(size: float, factor: float):
    assert size**SIZE_POWER == pytest.approx(factor, abs=5e-5)


# Source: split conformal prediction has a finite interval at level 1 - a from
# ceil((n + 1)(1 - a)) <= n jobs on: 4 for 80 %, 9 for 90 %, 19 for 95 % (documentation of the
# packages rtemis and conformalbayes; recomputed).
@pytest.mark.parametrize(("level", "fewest"), [(0.8, 4), (0.9, 9), (0.95, 19)])
def test_experience_alone_reaches_a_level_from_the_published_number_of_jobs(
    level: float, fewest: int
):
    """With theory worth nothing, the largest error is the reach at just that n; below, it is
    stretched beyond any error seen."""
    for n, stretched in ((fewest, False), (fewest - 1, True)):
        errors = np.arange(1, n + 1) / n
        reach = float(Multipliers.from_errors(errors, 12.0, weight=1e-12).at(level))
        assert (reach > 1 + 1e-6) is stretched

"""The usual rules and the libraries' methods, on the same histories as ours.

All predict the logarithm of the total from the same columns. Each gives intervals at the levels of
``scores.LEVELS``; those that know a whole distribution give its points too. Settings are the
libraries' own or the commonest, and were not tuned to these worlds. A library that is not installed
(extra ``bench``) leaves its method out with a printed reason.
"""

from __future__ import annotations

import importlib.util
import warnings
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import statsmodels.api as sm
from laws import Drivers, Floats
from ours import costlearn
from scipy import special
from scores import LEVELS, Said
from sklearn.ensemble import GradientBoostingRegressor
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import RBF, ConstantKernel, DotProduct, WhiteKernel
from sklearn.linear_model import BayesianRidge, RidgeCV
from sklearn.model_selection import LeaveOneOut
from sklearn.pipeline import make_pipeline
from sklearn.preprocessing import StandardScaler
from worlds import Sample

from costlearn.models.scoring import CHANCES

Method = Callable[[Sample, Sample, str, bool], Said | None]
ENDS = tuple(c for level in LEVELS for c in ((1 - level) / 2, (1 + level) / 2))


@dataclass(frozen=True)
class Competitor:
    """A method; ``share`` of the histories it is run on; the library it needs, if any.

    ``quotes``: "never" answers without quotes only, "always" with them only, "both" either.
    """

    name: str
    say: Method
    share: float = 1.0
    needs: str = ""
    quotes: str = "never"
    fits_each_job: bool = False
    targets: tuple[str, ...] = ("cost", "person_days", "elapsed_days")

    def answers(self, target: str, quoted: bool) -> bool:
        """True if it speaks of a target with, or without, a quote."""
        fits = self.quotes == "both" or (self.quotes == "always") == quoted
        return fits and target in self.targets

    def runs_on(self, number: int) -> bool:
        """True if the history of a number is one of its share."""
        return number % round(1 / self.share) == 0


def present(competitors: tuple[Competitor, ...]) -> tuple[list[Competitor], list[str]]:
    """Those whose library is installed, and a reason for each that is left out."""
    found, reasons = [], []
    for each in competitors:
        if each.needs and importlib.util.find_spec(each.needs) is None:
            reasons.append(f"{each.name} is left out: {each.needs} is not installed")
        else:
            found.append(each)
    return found, reasons


def columns_of(jobs: Drivers) -> Floats:
    """Everything recorded, shape (n, 15)."""
    return np.column_stack(
        [
            np.log(jobs.area),
            np.log1p(jobs.wall / 60),
            jobs.items,
            jobs.moved,
            jobs.grade,
            jobs.lights,
            np.log2(jobs.crew),
            jobs.date,
        ]
    )


def _t(middle: Floats, scale: Floats, df: float) -> Said:
    """From a t (or, with infinite df, normal) distribution of the logarithm."""
    reach = special.stdtrit(df, ENDS) if np.isfinite(df) else special.ndtri(ENDS)
    points = special.stdtrit(df, CHANCES) if np.isfinite(df) else special.ndtri(CHANCES)
    ends = np.exp(middle[:, None] + scale[:, None] * reach)
    return Said(_paired(ends), np.exp(middle[:, None] + scale[:, None] * points))


def _paired(ends: Floats) -> Floats:
    """From (jobs, 2 x levels) to (levels, jobs, 2)."""
    return np.stack([ends[:, 2 * k : 2 * k + 2] for k in range(len(LEVELS))])


# ---- rules of the trade, least squares --------------------------------------------------------


def per_square_foot(history: Sample, ahead: Sample, target: str, quoted: bool) -> Said:
    """So much a square foot: t interval of the log ratio."""
    return _times_one_number(history.actual[target], history.jobs.area, ahead.jobs.area)


def quote_alone(history: Sample, ahead: Sample, target: str, quoted: bool) -> Said:
    """The quote times one learned number: t interval of the log ratio."""
    return _times_one_number(history.actual[target], history.quote[target], ahead.quote[target])


def _times_one_number(total: Floats, guess: Floats, ahead: Floats) -> Said:
    rest = np.log(total / guess)
    n = len(rest)
    scale = np.std(rest, ddof=1) * np.sqrt(1 + 1 / n)
    return _t(rest.mean() + np.log(ahead), np.full(len(ahead), scale), n - 1)


def size_only(history: Sample, ahead: Sample, target: str, quoted: bool) -> Said | None:
    """Least squares on log area."""
    return _ols(
        np.log(history.jobs.area)[:, None],
        history.actual[target],
        np.log(ahead.jobs.area)[:, None],
    )


def least_squares(history: Sample, ahead: Sample, target: str, quoted: bool) -> Said | None:
    """Least squares on everything recorded, and on the log quote where there is one."""
    columns, rows = columns_of(history.jobs), columns_of(ahead.jobs)
    if quoted:
        columns = np.column_stack([columns, np.log(history.quote[target])])
        rows = np.column_stack([rows, np.log(ahead.quote[target])])
    return _ols(columns, history.actual[target], rows)


def _ols(columns: Floats, total: Floats, rows: Floats) -> Said | None:
    varies = np.ptp(columns, axis=0) > 0
    design = sm.add_constant(columns[:, varies], has_constant="add")
    if np.linalg.matrix_rank(design) < design.shape[1] or len(total) <= design.shape[1]:
        return None
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fit = sm.OLS(np.log(total), design).fit()
        found = fit.get_prediction(sm.add_constant(rows[:, varies], has_constant="add"))
    return _t(found.predicted_mean, found.se_obs, fit.df_resid)


# ---- libraries --------------------------------------------------------------------------------


def _ready(history: Sample, ahead: Sample, target: str) -> tuple[Floats, Floats, Floats]:
    """Columns, log totals and rows, columns brought to spread 1."""
    scaler = StandardScaler()
    columns = scaler.fit_transform(columns_of(history.jobs))
    return columns, np.log(history.actual[target]), scaler.transform(columns_of(ahead.jobs))


def ridge_jackknife(history: Sample, ahead: Sample, target: str, quoted: bool) -> Said | None:
    """MAPIE's jackknife+ about scikit-learn's ridge, its penalty chosen by leave-one-out."""
    from mapie.regression import CrossConformalRegressor

    columns, z, rows = _ready(history, ahead, target)
    ridge = make_pipeline(StandardScaler(), RidgeCV(alphas=np.logspace(-2, 3, 16)))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = CrossConformalRegressor(
            ridge, confidence_level=list(LEVELS), method="plus", cv=LeaveOneOut()
        )
        try:
            _, found = model.fit_conformalize(columns, z).predict_interval(rows)
        except ValueError:
            return None  # too few jobs for the level, by the library's own check
    ends = np.exp(np.moveaxis(found, 2, 0))
    return Said(ends) if np.isfinite(ends).all() else None


def quantile_forest(history: Sample, ahead: Sample, target: str, quoted: bool) -> Said:
    """Quantile regression forest, 200 trees."""
    from quantile_forest import RandomForestQuantileRegressor

    columns, z, rows = _ready(history, ahead, target)
    model = RandomForestQuantileRegressor(n_estimators=200, min_samples_leaf=2, random_state=0)
    found = np.exp(model.fit(columns, z).predict(rows, quantiles=[*ENDS, *CHANCES.tolist()]))
    return Said(_paired(found[:, : len(ENDS)]), found[:, len(ENDS) :])


def boosted_quantiles(history: Sample, ahead: Sample, target: str, quoted: bool) -> Said:
    """scikit-learn's boosted trees on the quantile loss, one model for each end."""
    columns, z, rows = _ready(history, ahead, target)
    ends = [
        GradientBoostingRegressor(
            loss="quantile", alpha=a, n_estimators=100, max_depth=2, random_state=0
        )
        .fit(columns, z)
        .predict(rows)
        for a in ENDS
    ]
    rising = np.sort(np.column_stack(ends), axis=1)
    return Said(_paired(np.exp(rising[:, [2, 3, 1, 4, 0, 5]])))


def natural_boosting(history: Sample, ahead: Sample, target: str, quoted: bool) -> Said | None:
    """NGBoost with a normal distribution of the logarithm."""
    from ngboost import NGBRegressor

    columns, z, rows = _ready(history, ahead, target)
    try:
        with warnings.catch_warnings(), np.errstate(all="ignore"):
            warnings.simplefilter("ignore")
            model = NGBRegressor(n_estimators=200, verbose=False, random_state=0).fit(columns, z)
            law = model.pred_dist(rows)
    except np.linalg.LinAlgError:
        return None
    said = _t(law.params["loc"], law.params["scale"], np.inf)
    return said if np.isfinite(said.ends).all() else None


def bayesian_ridge(history: Sample, ahead: Sample, target: str, quoted: bool) -> Said:
    """scikit-learn's Bayesian ridge."""
    columns, z, rows = _ready(history, ahead, target)
    middle, scale = BayesianRidge().fit(columns, z).predict(rows, return_std=True)
    return _t(middle, scale, np.inf)


def gaussian_process(history: Sample, ahead: Sample, target: str, quoted: bool) -> Said:
    """scikit-learn's Gaussian process: a plane and a smooth rest, with noise."""
    columns, z, rows = _ready(history, ahead, target)
    kernel = (
        ConstantKernel(0.1) * DotProduct(1.0)
        + ConstantKernel(0.3) * RBF(4.0, (0.5, 100.0))
        + WhiteKernel(0.2, (1e-3, 10.0))
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = GaussianProcessRegressor(kernel, normalize_y=True, random_state=0).fit(columns, z)
        middle, scale = model.predict(rows, return_std=True)
    return _t(middle, scale, np.inf)


OURS = Competitor("costlearn", costlearn, quotes="both", fits_each_job=True)
RULES = (
    Competitor("per sq ft", per_square_foot),
    Competitor("size only", size_only),
    Competitor("quote alone", quote_alone, quotes="always"),
    Competitor("least squares", least_squares, quotes="both"),
)
LIBRARIES = (
    Competitor("Bayesian ridge", bayesian_ridge),
    Competitor("ridge jackknife+", ridge_jackknife, 0.2, "mapie", targets=("cost",)),
    Competitor("Gaussian process", gaussian_process, 0.2, targets=("cost",)),
    Competitor("quantile forest", quantile_forest, 0.1, "quantile_forest", targets=("cost",)),
    Competitor("boosted quantiles", boosted_quantiles, 0.1, targets=("cost",)),
    Competitor("NGBoost", natural_boosting, 0.1, "ngboost", targets=("cost",)),
)
COMPETITORS = (OURS, *RULES, *LIBRARIES)

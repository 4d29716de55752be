"""How long a fit takes and how much memory it needs, beside two libraries in the same run.

Run ``python tests/bench/speed.py [--rows 1000000] [--repeat 5]``. Each figure is made in a process
of its own: fit, predictions with 80 % intervals of up to 1,000 further rows, and what each row's
prediction from the others is worth (leave-one-out). Times are the median of the repeats, data made
beforehand; ``peak`` is the largest resident memory of the process, data included. Ratios above 1
mean that costlearn is slower. Nothing here is asserted: a time belongs to a machine.

The libraries do the same work as far as they can: statsmodels' least squares with
``get_prediction`` and the hat diagonal of ``get_influence``; MAPIE's jackknife+ about ridge, which
fits each row's neighbours anew and is left out beyond 1,000 rows.
"""

from __future__ import annotations

import argparse
import importlib.util
import json
import resource
import subprocess
import sys
import time
import warnings
from collections.abc import Callable, Sequence

import numpy as np
from laws import Floats

COLUMNS = 16
PHASES = 14
MOST_AHEAD = 1000
MAPIE_ROWS = 1000

Work = Callable[[Floats, Floats, Floats], None]


def data(rows: int, totals: int) -> tuple[Floats, Floats, Floats]:
    """Columns (rows, 16), totals (rows, totals) and rows ahead: half yes/no, half sizes."""
    rng = np.random.default_rng(5)
    ahead = min(rows, MOST_AHEAD)
    columns = rng.normal(0, 0.5, (rows + ahead, COLUMNS))
    columns[:, ::2] = rng.random((rows + ahead, COLUMNS // 2)) < 0.3
    effects = rng.normal(0.06, 0.05, (COLUMNS, totals))
    total = np.exp(9 + columns[:rows] @ effects + rng.normal(0, 0.2, (rows, totals)))
    return columns[:rows], total, columns[rows:]


def ours(columns: Floats, total: Floats, ahead: Floats) -> None:
    """The regression: leave-one-out is part of each fit."""
    from costlearn.models.regression import PriorRegression

    for k in range(total.shape[1]):
        model = PriorRegression().fit(columns, total[:, k])
        model.predict_interval(ahead, 0.8)
        assert model.loo_.centre.shape == (len(columns),)


def least_squares(columns: Floats, total: Floats, ahead: Floats) -> None:
    """Statsmodels."""
    import statsmodels.api as sm

    design, rows = sm.add_constant(columns), sm.add_constant(ahead, has_constant="add")
    for k in range(total.shape[1]):
        fit = sm.OLS(np.log(total[:, k]), design).fit()
        fit.get_prediction(rows).conf_int(obs=True, alpha=0.2)
        assert fit.get_influence().hat_matrix_diag.shape == (len(columns),)


def jackknife(columns: Floats, total: Floats, ahead: Floats) -> None:
    """MAPIE."""
    from mapie.regression import CrossConformalRegressor
    from sklearn.linear_model import Ridge
    from sklearn.model_selection import LeaveOneOut

    for k in range(total.shape[1]):
        model = CrossConformalRegressor(Ridge(), confidence_level=0.8, cv=LeaveOneOut())
        model.fit_conformalize(columns, np.log(total[:, k])).predict_interval(ahead)


METHODS: dict[str, Work] = {"costlearn": ours, "statsmodels": least_squares, "MAPIE": jackknife}


def measure(method: str, rows: int, totals: int, repeat: int) -> dict[str, float]:
    """Seconds (the median) and peak memory in GB, in this process."""
    columns, total, ahead = data(rows, totals)
    base = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    METHODS[method](columns[:40], total[:40], ahead[:5])  # imports are no part of a fit
    seconds = []
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for _ in range(repeat):
            begun = time.perf_counter()
            METHODS[method](columns, total, ahead)
            seconds.append(time.perf_counter() - begun)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return {"seconds": float(np.median(seconds)), "peak": peak / 1024**2, "data": base / 1024**2}


def apart(method: str, rows: int, totals: int, repeat: int) -> dict[str, float] | None:
    """The same in a fresh process; None if the library is missing or has too many fits to make."""
    if method == "MAPIE" and (rows > MAPIE_ROWS or importlib.util.find_spec("mapie") is None):
        return None
    order = [method, str(rows), str(totals), str(repeat)]
    done = subprocess.run(
        [sys.executable, __file__, "--one", *order], capture_output=True, text=True, check=True
    )
    return dict(json.loads(done.stdout.splitlines()[-1]))


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="How long does a fit take?")
    parser.add_argument("--rows", type=int, default=1_000_000, help="rows of the largest fit")
    parser.add_argument("--repeat", type=int, default=5, help="repeats of the small fits")
    parser.add_argument("--one", nargs=4, help=argparse.SUPPRESS)
    chosen = parser.parse_args(arguments)
    if chosen.one:
        method, *numbers = chosen.one
        print(json.dumps(measure(method, *(int(n) for n in numbers))))
        return
    cases = [(50, 1 + PHASES, chosen.repeat), (1000, 1, chosen.repeat), (chosen.rows, 1, 1)]
    print(f"{'rows':>9} {'totals':>6} {'method':<12} {'seconds':>9} {'peak GB':>8} {'ratio':>6}")
    for rows, totals, repeat in cases:
        first = None
        for method in METHODS:
            found = apart(method, rows, totals, repeat)
            if found is None:
                print(f"{rows:>9} {totals:>6} {method:<12} left out")
                continue
            first = first or found["seconds"]
            print(
                f"{rows:>9} {totals:>6} {method:<12} {found['seconds']:>9.4f} {found['peak']:>8.2f}"
                f" {first / found['seconds']:>6.2f}"
            )


if __name__ == "__main__":
    main()

"""How good are the prediction intervals, beside an oracle and beside the usual rules?

Run ``python tests/bench/intervals.py [--short] [--sizes 8,20,60] [--histories 100]``. For each
invented world and each history size the table gives, per method:

* ``score``: interval score at 80 % (width plus 10 times any miss; Gneiting and Raftery, Strictly
  Proper Scoring Rules, Journal of the American Statistical Association 102 (2007), eq. 43), each
  job's as a share of its true median, divided by the score of an oracle that knows the true odds
  of every job: 1.00 is the limit, lower is better; and its standard error over histories;
* ``50``, ``80``, ``90``: how many of a hundred next jobs fell inside the intervals of that level;
* ``width``: median width of the 80 % interval, as a share of the true median;
* ``failed``: histories it could not be fitted to, left out of its other figures;
* ``ms``: milliseconds for one fit with its predictions.

A further method is one more :class:`Competitor` handed to :func:`run`.
"""

from __future__ import annotations

import argparse
import time
import warnings
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import statsmodels.api as sm
from scipy import stats
from worlds import ITEMS, WORLDS, Drivers, Floats, Sample, Trial, World, make_trial

from costlearn.questions.learning import predict
from costlearn.records import NOTHING, Amounts, History, Job
from costlearn.units import to_cents

LEVELS = (0.5, 0.8, 0.9)
NEXT_JOBS = 20
SEED = 414
FIRST_DAY = date(2019, 1, 7)

Ends = Floats
"""Lower and upper ends, shape (levels, jobs, 2)."""


@dataclass(frozen=True)
class Competitor:
    """A method: intervals of the next jobs from a history, or None if it cannot be fitted."""

    name: str
    predict: Callable[[Sample, Sample], Ends | None]
    fits_each_job: bool = False


@dataclass(frozen=True)
class Row:
    """What one method did in one world at one history size."""

    world: str
    size: int
    method: str
    score: float
    error: float
    covered: tuple[float, ...]
    width: float
    failed: int
    seconds: float


# ---- our method -----------------------------------------------------------------------------


def records_of(sample: Sample, state: str) -> tuple[Job, ...]:
    """The sample as the records a firm would have on file, oldest first."""
    return tuple(_job(sample, i, state) for i in range(len(sample.cost)))


def _job(sample: Sample, i: int, state: str) -> Job:
    jobs = sample.jobs
    scope = {key: float(v) for key, v in zip(ITEMS, jobs.items[i], strict=True)}
    scope |= {"wall_tile": jobs.wall[i], "move_drain": jobs.moved[i], "lighting": jobs.lights[i]}
    finished = state == "finished"
    return Job(
        key=f"{state}{i}",
        name=f"{state} {i}",
        state=state,
        started=FIRST_DAY + timedelta(days=round(float(jobs.date[i]) * 365.25)),
        area_sqft=float(jobs.area[i]),
        grade=float(jobs.grade[i]),
        plan=Amounts(cost=to_cents(float(sample.quote[i])), crew=float(jobs.crew[i])),
        actual=Amounts(cost=to_cents(float(sample.cost[i])), crew=float(jobs.crew[i]))
        if finished
        else NOTHING,
        books_closed=finished,
        scope=scope,
    )


def _ours(history: Sample, ahead: Sample, *, quoted: bool) -> Ends | None:
    """The path a user's question takes, from records to interval."""
    firm = History(jobs=records_of(history, "finished"))
    ends = np.empty((len(LEVELS), len(ahead.cost), 2))
    for i, job in enumerate(records_of(ahead, "quoted")):
        answer = predict(firm, job, "cost", quoted=quoted)
        if answer is None:
            return None
        for k, level in enumerate(LEVELS):
            one = answer.spread.interval(level)
            ends[k, i] = one.low, one.high
    return ends


def items_only(history: Sample, ahead: Sample) -> Ends | None:
    """The regression on scope items."""
    return _ours(history, ahead, quoted=False)


def items_and_quote(history: Sample, ahead: Sample) -> Ends | None:
    """The mixture of the regression on items and quote with quote times one number."""
    return _ours(history, ahead, quoted=True)


# ---- the usual rules ------------------------------------------------------------------------


def per_square_foot(history: Sample, ahead: Sample) -> Ends:
    """Dollars per square foot: t interval of the log ratio."""
    rest = np.log(history.cost / history.jobs.area)
    n = len(rest)
    scale = np.std(rest, ddof=1) * np.sqrt(1 + 1 / n)
    middle = rest.mean() + np.log(ahead.jobs.area)
    return _t_ends(middle, np.full(len(middle), scale), n - 1)


def size_only(history: Sample, ahead: Sample) -> Ends | None:
    """Least squares of log cost on log area."""
    return _least_squares(
        np.log(history.jobs.area)[:, None], history.cost, np.log(ahead.jobs.area)[:, None]
    )


def least_squares(history: Sample, ahead: Sample) -> Ends | None:
    """Least squares of log cost on everything recorded."""
    return _least_squares(_plain_columns(history.jobs), history.cost, _plain_columns(ahead.jobs))


def _plain_columns(jobs: Drivers) -> Floats:
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


def _least_squares(columns: Floats, cost: Floats, rows: Floats) -> Ends | None:
    varies = np.ptp(columns, axis=0) > 0
    design = sm.add_constant(columns[:, varies], has_constant="add")
    if np.linalg.matrix_rank(design) < design.shape[1] or len(cost) <= design.shape[1]:
        return None
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fit = sm.OLS(np.log(cost), design).fit()
        found = fit.get_prediction(sm.add_constant(rows[:, varies], has_constant="add"))
    return _t_ends(found.predicted_mean, found.se_obs, fit.df_resid)


def _t_ends(middle: Floats, scale: Floats, df: float) -> Ends:
    reach = [stats.t.ppf((1 + level) / 2, df) * scale for level in LEVELS]
    return np.exp(np.stack([np.column_stack([middle - r, middle + r]) for r in reach]))


COMPETITORS = (
    Competitor("items only", items_only, fits_each_job=True),
    Competitor("items and quote", items_and_quote, fits_each_job=True),
    Competitor("per sq ft", per_square_foot),
    Competitor("size only", size_only),
    Competitor("least squares", least_squares),
)


# ---- scoring --------------------------------------------------------------------------------


def interval_score(ends: Floats, value: Floats, level: float) -> Floats:
    """Width plus 2 / (1 - level) times any miss; ends (n, 2), values (n,)."""
    low, high = ends[:, 0], ends[:, 1]
    missed = np.maximum(low - value, 0) + np.maximum(value - high, 0)
    return np.asarray(high - low + 2 / (1 - level) * missed)


def oracle_ends(trial: Trial) -> Ends:
    """The intervals of someone who knows the law."""
    chances = [c for level in LEVELS for c in ((1 - level) / 2, (1 + level) / 2)]
    found = trial.law.quantiles(trial.next_jobs.jobs, chances)
    return np.stack([found[2 * k : 2 * k + 2].T for k in range(len(LEVELS))])


class _Tally:
    """Sums over the histories of one method."""

    def __init__(self) -> None:
        self.own: list[float] = []
        self.best: list[float] = []
        self.held: list[Floats] = []
        self.width: list[Floats] = []
        self.failed = 0
        self.seconds: list[float] = []

    def add(self, ends: Ends | None, best: Ends, trial: Trial, seconds: float) -> None:
        if ends is None:
            self.failed += 1
            return
        value = trial.next_jobs.cost
        unit = trial.law.quantiles(trial.next_jobs.jobs, [0.5])[0]
        at = LEVELS.index(0.8)
        self.own.append(float(np.mean(interval_score(ends[at], value, 0.8) / unit)))
        self.best.append(float(np.mean(interval_score(best[at], value, 0.8) / unit)))
        inside = (ends[:, :, 0] <= value) & (value <= ends[:, :, 1])
        self.held.append(inside.mean(axis=1))
        self.width.append((ends[at, :, 1] - ends[at, :, 0]) / unit)
        self.seconds.append(seconds)

    def row(self, world: str, size: int, method: str) -> Row:
        if not self.own:
            nothing = float("nan")
            gap = (nothing,) * len(LEVELS)
            return Row(world, size, method, nothing, nothing, gap, nothing, self.failed, nothing)
        own, best = np.array(self.own), np.array(self.best)
        ratio = own.sum() / best.sum()
        error = np.sqrt(np.sum((own - ratio * best) ** 2)) / best.sum()
        return Row(
            world,
            size,
            method,
            float(ratio),
            float(error),
            tuple(np.mean(self.held, axis=0).tolist()),
            float(np.median(np.concatenate(self.width))),
            self.failed,
            float(np.mean(self.seconds)),
        )


def run_cell(
    world: World,
    size: int,
    histories: int,
    competitors: Sequence[Competitor],
    next_jobs: int = NEXT_JOBS,
) -> list[Row]:
    """All methods on the same histories of one world and size, the oracle last."""
    tallies = {c.name: _Tally() for c in competitors}
    oracle = _Tally()
    for number in range(histories):
        place = [w.name for w in WORLDS].index(world.name) if world in WORLDS else len(WORLDS)
        rng = np.random.default_rng([SEED, place, size, number])
        trial = make_trial(world, size, next_jobs, rng)
        best = oracle_ends(trial)
        oracle.add(best, best, trial, 0.0)
        for each in competitors:
            begun = time.perf_counter()
            ends = each.predict(trial.history, trial.next_jobs)
            spent = time.perf_counter() - begun
            fits = next_jobs if each.fits_each_job else 1
            tallies[each.name].add(ends, best, trial, spent / fits)
    rows = [tally.row(world.name, size, name) for name, tally in tallies.items()]
    return [*rows, oracle.row(world.name, size, "(oracle)")]


def run(
    sizes: Sequence[int],
    histories: int,
    worlds: Sequence[World] = WORLDS,
    competitors: Sequence[Competitor] = COMPETITORS,
    next_jobs: int = NEXT_JOBS,
) -> list[Row]:
    """Every method in every world at every size, and the mean over the worlds."""
    rows: list[Row] = []
    for size in sizes:
        at_size = [r for w in worlds for r in run_cell(w, size, histories, competitors, next_jobs)]
        rows += at_size
        names = [*(c.name for c in competitors), "(oracle)"]
        rows += [_mean([r for r in at_size if r.method == name], size, name) for name in names]
    return rows


def _mean(rows: Sequence[Row], size: int, method: str) -> Row:
    return Row(
        "(mean of worlds)",
        size,
        method,
        float(np.mean([r.score for r in rows])),
        float(np.sqrt(np.sum([r.error**2 for r in rows])) / len(rows)),
        tuple(np.mean([r.covered for r in rows], axis=0).tolist()),
        float(np.mean([r.width for r in rows])),
        sum(r.failed for r in rows),
        float(np.mean([r.seconds for r in rows])),
    )


def table(rows: Iterable[Row]) -> str:
    """The rows as plain text."""
    head = f"{'n':>4} {'world':<17} {'method':<16} {'score':>6} {'+-':>5} {'50':>5} {'80':>5}"
    lines = [head + f" {'90':>5} {'width':>6} {'failed':>6} {'ms':>6}"]
    before = ("", 0)
    for r in rows:
        if before not in (("", 0), (r.world, r.size)):
            lines.append("")
        before = (r.world, r.size)
        held = " ".join(_say(100 * c, "5.1f") for c in r.covered)
        lines.append(
            f"{r.size:>4} {r.world:<17} {r.method:<16} {_say(r.score, '6.2f')}"
            f" {_say(r.error, '5.2f')} {held} {_say(r.width, '6.2f')} {r.failed:>6}"
            f" {_say(1000 * r.seconds, '6.2f')}"
        )
    return "\n".join(lines)


def _say(value: float, how: str) -> str:
    if np.isfinite(value):
        return format(value, how)
    wide = int(how.partition(".")[0])
    return "-".rjust(wide)


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="How good are the prediction intervals?")
    parser.add_argument("--short", action="store_true", help="a minute's look: few firms, few jobs")
    parser.add_argument("--sizes", default="8,20,60", help="numbers of finished jobs")
    parser.add_argument("--histories", type=int, default=100, help="firms in each cell")
    chosen = parser.parse_args(arguments)
    if chosen.short:
        rows = run([8, 30], 4, next_jobs=6)
    else:
        rows = run([int(s) for s in chosen.sizes.split(",")], chosen.histories)
    print(table(rows))


if __name__ == "__main__":
    main()

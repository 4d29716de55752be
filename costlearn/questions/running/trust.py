"""How good mid-job forecasts would have been on the firm's own finished jobs, phase after phase.

Each finished job is stopped after its first k phases, in the order of the trade, and foretold from
the jobs finished before it began. Beside it "spent + remaining quote x one number" and the plain
index, their spread learned from the same jobs in the same way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from costlearn.models.distribution import Floats
from costlearn.models.midjob import FIT_JOBS, Topped, carried_over, cut, fit_carry, fit_fixed
from costlearn.models.scoring import Coverage, coverage, interval_score
from costlearn.questions.answer import Answer, Table
from costlearn.questions.learning import grounds_of
from costlearn.questions.running.stage import PhaseTable, phase_table, standings
from costlearn.questions.wording import PLAIN_TARGET, count_of, is_are, say_list
from costlearn.records import History, Job
from costlearn.units import say_money, say_percent

LEVEL = 0.8
NEWEST = 80
"""At most so many of the newest jobs are tried."""
MIN_TRIED = 5
STAGES = (1, 2, 3, 4, 5, 7, 9, 11)
TARGETS = ("cost", "person_days")
OWN, QUOTED, INDEX = "own", "quoted", "index"


@dataclass(frozen=True)
class AfterPhase:
    """Jobs stopped after so many phases: the typical width, what held, and the scores.

    ``width`` is the median 80 % width as a share of the job's plan, ``off`` the median distance of
    the middle; scores are mean interval scores in the same shares, lower is better.
    """

    target: str
    phases: int
    jobs: int
    width: float
    off: float
    held: Coverage
    own: float
    quoted: float
    index: float


@dataclass(frozen=True)
class RunningJob:
    """One running job: how many of its phases are finished, and what it took so far, in money."""

    job: str
    finished: int
    phases: int
    so_far: float | None


@dataclass(frozen=True)
class MidjobTrust(Answer):
    """How far mid-job forecasts can be trusted, and the jobs that are running."""

    stages: tuple[AfterPhase, ...] = ()
    running: tuple[RunningJob, ...] = ()

    def of(self, target: str) -> tuple[AfterPhase, ...]:
        """The stages of one target."""
        return tuple(s for s in self.stages if s.target == target)

    def tables(self) -> tuple[Table, ...]:
        """Running jobs, and the table of stages of each target."""
        found = [self._running()] if self.running else []
        return (*found, *(_stages(rows) for t in TARGETS if (rows := self.of(t))))

    def _running(self) -> Table:
        rows = tuple(
            (j.job, f"{j.finished} of {j.phases}", say_money(j.so_far, self.grounds.currency))
            for j in self.running
        )
        return Table("Running jobs", ("job", "phases finished", "direct cost so far"), rows)


def _stages(rows: Sequence[AfterPhase]) -> Table:
    return Table(
        f"Your own jobs, stopped after each phase: {PLAIN_TARGET[rows[0].target]}",
        (
            "phases finished",
            "jobs",
            "typical width",
            "middle off by",
            "8 in 10 held",
            "score",
            "rest as quoted",
            "index",
        ),
        tuple(
            (
                str(r.phases),
                str(r.jobs),
                say_percent(r.width),
                say_percent(r.off),
                f"{r.held.held} of {r.held.of}",
                f"{r.own:.2f}",
                f"{r.quoted:.2f}",
                f"{r.index:.2f}",
            )
            for r in rows
        ),
        "Each job from those finished before it began. Shares of the job's plan; score: width plus "
        "misses, lower is better.",
    )


def after_each_phase(history: History) -> MidjobTrust:
    """How far mid-job forecasts can be trusted, tried on the firm's own finished jobs.

    Source: ``costlearn.models.midjob``; scores by ``costlearn.models.scoring.interval_score``.
    """
    tables = [phase_table(history.usable, t) for t in TARGETS]
    stages = tuple(row for table in tables for row in _tried(table))
    running = tuple(_running(j) for j in history.running)
    jobs = tables[0].jobs or tables[1].jobs
    return MidjobTrust(
        _sentence(stages, running, len(jobs)),
        grounds_of(history, jobs, _NOTES if stages else (), "of each job's own time"),
        stages,
        running,
        known=bool(stages),
    )


_NOTES = (
    "Phases are taken in the order of the trade; when each was done is not on file",
    "All three learn their spread from the same jobs; they differ in what they carry on",
)


def _tried(table: PhaseTable) -> tuple[AfterPhase, ...]:
    """Every job of a table foretold after each stage."""
    found: dict[int, list[Floats]] = {k: [] for k in STAGES}
    order = sorted(range(len(table.jobs)), key=lambda i: _began(table.jobs[i]) or 0)
    for i in order[-NEWEST:]:
        began = _began(table.jobs[i])
        known = [k for k, j in enumerate(table.jobs) if began and _over(j) and _over(j) < began]
        if len(known) < FIT_JOBS:
            continue
        past = table.rows(known)
        for stage in STAGES:
            if (row := _one(table, past, i, stage)) is not None:
                found[stage].append(row)
    return tuple(
        _row(table.target, k, np.array(rows)) for k, rows in found.items() if len(rows) >= MIN_TRIED
    )


def _began(job: Job) -> int:
    """The day a job began, as a number; 0 where no date says it."""
    day = job.started or job.day
    return day.toordinal() if day else 0


def _over(job: Job) -> int:
    """The day a job was over, as a number; 0 where no date says it."""
    day = job.finished or job.day
    return day.toordinal() if day else 0


def _one(table: PhaseTable, past: PhaseTable, row: int, stage: int) -> Floats | None:
    """Low, high, middle, actual, plan, and the ends of both rivals, (9,); None if not to be cut."""
    actual, plan = table.actual[row], table.plan[row]
    there = np.flatnonzero(~np.isnan(actual))
    if stage >= len(there):
        return None
    done = np.zeros(len(actual))
    done[there[:stage]] = 1.0
    corrected = _foretold(past, past.factors, actual, plan, done, OWN)
    quoted = _foretold(past, np.ones(len(plan)), actual, plan, done, QUOTED)
    index = _foretold(past, np.ones(len(plan)), actual, plan, done, INDEX)
    if corrected is None or quoted is None or index is None:
        return None
    whole = float(np.nansum(np.where(np.isnan(actual), np.nan, plan)))
    rivals = [v for one in (quoted, index) for v in (one.quantile(0.1), one.quantile(0.9))]
    own = [corrected.quantile(0.1), corrected.quantile(0.9), corrected.median]
    return np.array([*own, float(np.nansum(actual)), whole, *rivals])


def _foretold(
    past: PhaseTable, factors: Floats, actual: Floats, plan: Floats, done: Floats, method: str
) -> Topped | None:
    """The end of one job by one method."""
    mine = np.where(np.isnan(actual), np.nan, plan * factors)
    spent = float(np.nansum(actual * done))
    begun, left = float(np.nansum(mine * done)), float(np.nansum(mine * (1 - done)))
    spreads = past.spreads if method == OWN else None
    jobs = cut(past.actual, past.plan * factors, done, spreads)
    if len(jobs.rest) < FIT_JOBS or min(begun, left) <= 0:
        return None
    carried = float(carried_over((actual * done)[None], (mine * done)[None], done, spreads)[0])
    if np.isnan(carried):
        return None
    if method == OWN:
        law = fit_carry(jobs)
    elif method == QUOTED:
        law = fit_fixed(jobs, 0.0)
    else:
        law = fit_fixed(jobs, 1.0, level=False)
    return Topped(spent, law.spread(carried).times(left), spent)


def _row(target: str, stage: int, rows: Floats) -> AfterPhase:
    low, high, middle, actual, plan, quoted_low, quoted_high, index_low, index_high = rows.T

    def score(lower: Floats, upper: Floats) -> float:
        return float((interval_score(lower, upper, actual, LEVEL) / plan).mean())

    inside = ((low <= actual) & (actual <= high)).tolist()
    return AfterPhase(
        target,
        stage,
        len(rows),
        float(np.median((high - low) / plan)),
        float(np.median(np.abs(middle - actual) / plan)),
        coverage(inside, LEVEL),
        score(low, high),
        score(quoted_low, quoted_high),
        score(index_low, index_high),
    )


def _running(job: Job) -> RunningJob:
    found = standings(job)
    spent = job.actual.total
    return RunningJob(
        job.name,
        sum(s.done >= 1 for s in found),
        len(found),
        None if spent is None else spent / 100,
    )


def _sentence(stages: Sequence[AfterPhase], running: Sequence[RunningJob], jobs: int) -> str:
    names = say_list([j.job for j in running])
    now = f" Running: {names}." if running else " No job is running."
    if not stages:
        return (
            "Your records cannot tell yet how good mid-job forecasts are: "
            f"{count_of(jobs, 'finished job')} {is_are(jobs)} on file with plan and actual by "
            f"phase, and at least {FIT_JOBS + MIN_TRIED} are needed, with dates." + now
        )
    rows = [s for s in stages if s.target == stages[0].target]
    first, last = rows[0], rows[-1]
    held, tried = sum(s.held.held for s in rows), sum(s.held.of for s in rows)
    text = (
        f"On your own finished jobs the 8-in-10 range was {say_percent(first.width)} of the plan "
        f"wide after {count_of(first.phases, 'phase')}"
    )
    if last is not first:
        text += f" and {say_percent(last.width)} after {last.phases}"
    text += f"; it held {held} times in {tried}."
    own, quoted, index = (
        float(np.mean([getattr(s, name) for s in rows])) for name in ("own", "quoted", "index")
    )
    text += (
        f" Its score is {own / quoted:.2f} times that of the rest as quoted and {own / index:.2f} "
        "times that of the index; under 1 is better." + now
    )
    return text

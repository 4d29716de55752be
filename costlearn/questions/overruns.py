"""Which phases overran, by how much, and is it signal or luck."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, isclose, log

import numpy as np

from costlearn.models.distribution import Interval
from costlearn.models.ladder import LabourVariance, labour_variance
from costlearn.models.pooling import Pooled, PooledGroups, pool
from costlearn.models.signal import false_discoveries, luck_above, single_value_limits
from costlearn.questions.answer import Answer, Table
from costlearn.questions.byphase import phase_total
from costlearn.questions.learning import grounds_of
from costlearn.questions.wording import count_of, say, say_list
from costlearn.records import History, Job, PhaseRecord
from costlearn.units import say_money, say_percent
from costlearn.vocabulary import UNASSIGNED, standard

MATTERS = 1.05
"""A phase runs over only if it is above plan by more than this (trade judgement, no source)."""
SURE, LIKELY = 0.95, 0.8
FEWEST_CALLED = 3
"""With fewer records than this nothing but "could be luck" is said of a phase."""
TARGETS = ("cost", "person_days")


@dataclass(frozen=True, slots=True)
class Record:
    """Plan and actual of one phase in one job, and their ratio; ``exact`` if equal to the cent."""

    job: str
    phase: str
    planned: float
    actual: float
    exact: bool

    @property
    def ratio(self) -> float:
        """Actual over plan: 1.0 is on plan."""
        return self.actual / self.planned


@dataclass(frozen=True)
class PhaseOverrun:
    """One phase in one target.

    ``ratio`` and ``interval`` (80 %) are pooled over phases and jobs; ``raw`` is the geometric mean
    of its own records. ``chance``: that it truly runs over plan by more than 5 %; ``next_over``:
    that its next record exceeds plan by more than 10 %. ``at_stake``: what the pooled overrun adds
    on a year's jobs like those on file. ``adjusted``: the plain test's p-value corrected for the
    number of phases. ``unusual`` names jobs outside the limits of a single-value chart.
    """

    phase: str
    name: str
    target: str
    ratio: float
    interval: Interval
    raw: float
    median_raw: float
    share_over: float
    records: int
    chance: float
    chance_under: float
    next_over: float
    at_stake: float
    per_job: float
    adjusted: float | None
    unusual: tuple[str, ...]
    variance: LabourVariance | None = None

    @property
    def verdict(self) -> str:
        """Signal or luck, in the words shown."""
        if self.records < FEWEST_CALLED:
            return "could be luck"
        if self.chance >= SURE:
            return "runs over"
        if self.chance >= LIKELY:
            return "probably runs over"
        if self.chance_under >= SURE:
            return "runs under"
        if self.chance_under >= LIKELY:
            return "probably runs under"
        return "could be luck"


@dataclass(frozen=True)
class Overruns(Answer):
    """Overruns of all phases, the worst amount at stake first."""

    phases: tuple[PhaseOverrun, ...] = ()
    records: tuple[tuple[str, Record], ...] = ()
    common: tuple[tuple[str, float], ...] = ()
    jobs_per_year: float | None = None
    exact: int = 0
    unplanned: int = 0

    def of(self, target: str) -> tuple[PhaseOverrun, ...]:
        """The phases of one target."""
        return tuple(p for p in self.phases if p.target == target)

    def tables(self) -> tuple[Table, ...]:
        """One table for cost and one for person-days, where known."""
        return tuple(t for target in TARGETS if (t := self._table(target)) is not None)

    def _table(self, target: str) -> Table | None:
        phases = self.of(target)
        if not phases:
            return None
        money = self.grounds.currency
        stake = "a year" if self.jobs_per_year else "on the jobs on file"
        rows = tuple(
            (
                p.name,
                f"{say_percent(p.interval.low - 1, signed=True)} to "
                f"{say_percent(p.interval.high - 1, signed=True)}",
                say_percent(p.ratio - 1, signed=True),
                say_percent(p.raw - 1, signed=True),
                say_percent(p.share_over),
                p.verdict,
                say(p.at_stake, target, money),
                str(p.records),
            )
            for p in phases
        )
        what = "Direct cost" if target == "cost" else "Person-days"
        return Table(
            f"{what} against plan, by phase",
            (
                "phase",
                "8 in 10",
                "pooled",
                "raw mean",
                "jobs over plan",
                "signal or luck",
                f"at stake {stake}",
                "records",
            ),
            rows,
            "Pooled figures are drawn towards the common mean: the worst raw one is part bad luck. "
            "'Runs over' means 95 % sure of more than 5 %, 'probably' 80 %.",
        )


def overruns(history: History) -> Overruns:
    """Which phases overran, from all usable jobs that have plan and actual by phase.

    Plan is the quote with approved changes of that phase. Source: ``costlearn.models.pooling``.
    """
    jobs = history.usable
    by_target = {t: records_of(jobs, t) for t in TARGETS}
    if not any(by_target.values()):
        return _nothing(history)
    yearly = jobs_per_year(jobs)
    phases: list[PhaseOverrun] = []
    common = []
    for target, records in by_target.items():
        if records:
            pooled, order = _pool(records)
            share = yearly / len({r.job for r in records}) if yearly else 1.0
            phases += _judge(records, pooled, order, target, share, jobs)
            common.append((target, exp(pooled.common)))
    ranked = tuple(sorted(phases, key=lambda p: -p.at_stake))
    exact = sum(r.exact for records in by_target.values() for r in records)
    used = {r.job for records in by_target.values() for r in records}
    return Overruns(
        _sentence(ranked, yearly, history.firm.currency),
        grounds_of(
            history,
            [j for j in jobs if j.key in used],
            _notes(exact, jobs, used),
            "as written down: plan and actual of a job are of one time",
        ),
        ranked,
        tuple((t, r) for t, records in by_target.items() for r in records),
        tuple(common),
        yearly,
        exact,
        len(jobs) - len(used),
    )


def records_of(jobs: Sequence[Job], target: str) -> tuple[Record, ...]:
    """Every known phase of every job that has both plan and actual of a target."""
    return tuple(
        record
        for job in jobs
        for phase in job.phases
        if phase.phase != UNASSIGNED and (record := _record(job, phase, target)) is not None
    )


def jobs_per_year(jobs: Sequence[Job]) -> float | None:
    """Finished jobs a year over the dates on file; None with less than a year of them."""
    days = sorted(d for j in jobs if (d := j.finished or j.day))
    if len(days) < 2 or (days[-1] - days[0]).days < 365:
        return None
    return len(days) / ((days[-1] - days[0]).days / 365.25)


def _record(job: Job, phase: PhaseRecord, target: str) -> Record | None:
    plan, actual = phase_total(phase.plan, target), phase_total(phase.actual, target)
    if plan is None or actual is None or phase.books_closed is False:
        return None
    changes = [c for c in job.changes if c.state == "approved" and c.phase == phase.phase]
    if target == "cost":
        plan += sum(c.cost or 0 for c in changes) / 100
    else:
        plan += sum(c.days or 0.0 for c in changes)
    if plan <= 0:
        return None
    return Record(job.key, phase.phase, plan, actual, isclose(plan, actual, abs_tol=0.005))


def _pool(records: Sequence[Record]) -> tuple[PooledGroups, list[str]]:
    order = sorted({r.phase for r in records}, key=lambda p: (_place(p), p))
    code = {p: i for i, p in enumerate(order)}
    jobs = {k: i for i, k in enumerate(dict.fromkeys(r.job for r in records))}
    pooled = pool(
        [log(r.ratio) for r in records],
        [code[r.phase] for r in records],
        [jobs[r.job] for r in records],
    )
    return pooled, order


def _place(phase: str) -> int:
    return standard().phase_order.get(phase, 99)


def _judge(
    records: Sequence[Record],
    pooled: PooledGroups,
    order: Sequence[str],
    target: str,
    share: float,
    jobs: Sequence[Job],
) -> list[PhaseOverrun]:
    by_phase: dict[str, list[Record]] = {p: [] for p in order}
    for r in records:
        by_phase[r.phase].append(r)
    tested = [p for p in order if len(by_phase[p]) >= 3]
    adjusted: dict[str, float] = {}
    if tested:
        corrected = false_discoveries([_plain_test(by_phase[p]) for p in tested])
        adjusted = dict(zip(tested, corrected.adjusted, strict=True))
    return [
        _phase(by_phase[p], pooled, i, target, share, adjusted.get(p), jobs)
        for i, p in enumerate(order)
    ]


def _plain_test(records: Sequence[Record]) -> float:
    """One-sided p-value of "above plan by more than 5 %", from the phase's own records."""
    return luck_above([log(r.ratio) for r in records], log(MATTERS))


def _phase(
    records: Sequence[Record],
    pooled: PooledGroups,
    at: int,
    target: str,
    share: float,
    adjusted: float | None,
    jobs: Sequence[Job],
) -> PhaseOverrun:
    one: Pooled = pooled.groups[at]
    planned = sum(r.planned for r in records)
    ratios = np.array([r.ratio for r in records])
    names = {j.key: j.name for j in jobs}
    limits = single_value_limits(np.log(ratios)) if len(records) >= 8 else None
    phase = records[0].phase
    return PhaseOverrun(
        phase,
        standard().phase_name(phase),
        target,
        exp(one.mean),
        one.interval(0.8),
        exp(one.raw),
        float(np.median(ratios)),
        float(np.mean(ratios > 1)),
        one.count,
        one.chance_above(MATTERS),
        1 - one.chance_above(1 / MATTERS),
        pooled.chance_next_above(at, 1.1),
        (exp(one.mean) - 1) * planned * share,
        (exp(one.mean) - 1) * planned / len(records),
        adjusted,
        tuple(names[records[i].job] for i in limits.outside) if limits else (),
        _variance(phase, jobs) if target == "cost" else None,
    )


def _variance(phase: str, jobs: Sequence[Job]) -> LabourVariance | None:
    """The labour overrun of a phase split into day rates and days, summed over jobs; in money."""
    rate = time = 0.0
    seen = 0
    for job in jobs:
        record = job.phase(phase)
        if record is None:
            continue
        plan, actual = record.plan, record.actual
        if not (plan.labour and plan.person_days and actual.labour and actual.person_days):
            continue
        one = labour_variance(
            actual.person_days,
            actual.labour / 100 / actual.person_days,
            plan.person_days,
            plan.labour / 100 / plan.person_days,
        )
        rate, time, seen = rate + one.rate, time + one.efficiency, seen + 1
    return LabourVariance(rate, time) if seen else None


def _sentence(phases: Sequence[PhaseOverrun], yearly: float | None, currency: str) -> str:
    lead = "cost" if any(p.target == "cost" for p in phases) else "person_days"
    mine = [p for p in phases if p.target == lead]
    sure = [p for p in mine if p.verdict == "runs over"]
    likely = [p for p in mine if p.verdict == "probably runs over"]
    what = "direct cost" if lead == "cost" else "person-days"
    if not sure and not likely:
        most = max(p.records for p in mine)
        text = f"No phase can be said to run over its planned {what}: what you see could be luck"
        text += f", with {count_of(most, 'record')} a phase at most." if most < 8 else "."
        under = [p.name.lower() for p in mine if p.verdict == "runs under"]
        return text + (f" Under plan: {say_list(under)}." if under else "")
    parts = [_one(p) for p in (*sure, *likely)]
    text = f"Against plan in {what}: {say_list(parts)}."
    stake = sum(p.at_stake for p in (*sure, *likely))
    if lead == "cost":
        when = "a year" if yearly else "on the jobs on file"
        text += f" Together that is about {say_money(stake, currency)} {when}."
    return text


def _one(p: PhaseOverrun) -> str:
    low, high = (say_percent(v - 1, signed=True) for v in (p.interval.low, p.interval.high))
    return f"{p.name.lower()} {p.verdict} by {low} to {high} ({count_of(p.records, 'record')})"


def _notes(exact: int, jobs: Sequence[Job], used: set[str]) -> tuple[str, ...]:
    notes = ["Plan is the quote with approved changes; intervals are of the phase's mean ratio"]
    without = sum(j.key not in used for j in jobs)
    if without:
        notes.append(f"{count_of(without, 'finished job')} without plan and actual by phase")
    loose = sum(j.phase(UNASSIGNED) is not None for j in jobs)
    if loose:
        notes.append(f"{count_of(loose, 'record')} of no known phase left out")
    if exact:
        notes.append(
            f"{count_of(exact, 'figure')} equal to the plan to the cent: perhaps copied from it; "
            "they still count"
        )
    return tuple(notes)


def _nothing(history: History) -> Overruns:
    return Overruns(
        "Your records cannot tell which phases run over: no finished job has both a planned and an "
        "actual figure for a phase. Write down the planned days or cost of each phase when you "
        "quote, and the actual ones when it is done.",
        grounds_of(history, history.usable),
        unplanned=len(history.usable),
        known=False,
    )

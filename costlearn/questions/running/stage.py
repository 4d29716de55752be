"""How far a running job is, and the finished jobs cut at the same stage.

The stage is *which* phases are done, not how many: a finished job is cut into the phases this job
has finished and all others, a part-done phase in the same part.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from costlearn.features.copies import copied_by_phase
from costlearn.models.distribution import Floats, LogSpread
from costlearn.models.midjob import (
    FIT_JOBS,
    NOISE_START,
    Cut,
    Topped,
    carried_over,
    cut,
    fit_carry,
    fit_fixed,
    phase_factors,
    phase_spreads,
    spread_shares,
)
from costlearn.questions.byphase import phase_total
from costlearn.questions.running.crews import crew_change
from costlearn.records import Job, PhaseRecord
from costlearn.vocabulary import UNASSIGNED, Vocabulary, standard

DONE = 0.995
"""From this part on a phase is finished."""
FEWEST_PHASES = 3
"""A finished job with fewer phases that have plan and actual is not cut."""
TIME_TARGETS = ("site_days", "elapsed_days")
USUAL_SCATTER = {"site_days": NOISE_START, "elapsed_days": 0.25}
"""Spread of days to come before any job is seen, in log points, a steady crew taken: working days
hold waits and gaps besides the work (trade judgement, no source). At .2 ranges of working days held
76 of 100 with 5 jobs and 79 with 8 in the worlds of ``tests/bench/odds.py``; now 82 and 84."""


@dataclass(frozen=True)
class Standing:
    """One phase of the running job: how much is done, 0 to 1, and how that is known.

    ``how`` is "finished", "part done", "under way" (begun, nobody says how far), "not begun";
    ``inferred`` where a later phase has begun, so that this one is taken as finished.
    """

    phase: str
    name: str
    done: float
    how: str
    inferred: bool = False


def standings(
    job: Job, left: Mapping[str, float] | None = None, words: Vocabulary | None = None
) -> tuple[Standing, ...]:
    """How far each phase of a job is, in the order of the trade.

    Args:
        job: the running job.
        left: person-days left in some phases, by phase key, as the user says; they go first.
        words: the words of the trade.
    """
    vocabulary = words or standard()
    said = left or {}
    order = vocabulary.phase_order
    records = sorted(
        (p for p in job.phases if p.phase != UNASSIGNED), key=lambda p: order.get(p.phase, 99)
    )
    begun = [i for i, p in enumerate(records) if not p.actual.empty or (p.percent_complete or 0)]
    last = max(begun, default=-1)
    return tuple(
        _standing(p, vocabulary.phase_name(p.phase), said.get(p.phase), i < last)
        for i, p in enumerate(records)
    )


def _standing(record: PhaseRecord, name: str, left: float | None, passed: bool) -> Standing:
    part = record.percent_complete if left is None else _part(record, left)
    if part is None and record.books_closed:
        part = 1.0
    worked = not record.actual.empty
    if part is not None and part >= DONE:
        return Standing(record.phase, name, 1.0, "finished")
    if part:
        return Standing(record.phase, name, part, "part done")
    if part is None and worked and passed:
        return Standing(record.phase, name, 1.0, "finished", inferred=True)
    return Standing(record.phase, name, 0.0, "under way" if worked else "not begun")


def _part(record: PhaseRecord, left: float) -> float | None:
    """The part done, from person-days left and those worked, else those planned."""
    if left <= 0:
        return 1.0
    worked, planned = record.actual.person_days, record.plan.person_days
    if worked:
        return worked / (worked + left)
    return max(1 - left / planned, 0.0) if planned else None


def phase_plan(job: Job, record: PhaseRecord, target: str) -> float | None:
    """What was planned for a phase, with the approved changes that name it."""
    plan = phase_total(record.plan, target)
    mine = [c for c in job.changes if c.state == "approved" and c.phase == record.phase]
    if target == "cost":
        more = sum(c.cost or 0 for c in mine) / 100
    else:
        more = sum(c.days or 0.0 for c in mine)
    whole = (plan or 0.0) + more
    return whole if whole > 0 else None


def loose_factor(job: Job, target: str) -> float:
    """What approved changes that name no phase of the job add to every phase's plan, a factor."""
    names = {p.phase for p in job.phases}
    loose = [c for c in job.changes if c.state == "approved" and c.phase not in names]
    more = (
        sum(c.cost or 0 for c in loose) / 100
        if target == "cost"
        else sum(c.days or 0.0 for c in loose)
    )
    plans = [v for p in job.phases if (v := phase_plan(job, p, target)) is not None]
    return 1 + more / sum(plans) if plans and more else 1.0


@dataclass(frozen=True)
class PhaseTable:
    """Finished jobs with plan and actual by phase: arrays of shape (jobs, phases), NaN for none.

    ``waits`` are the wait days on record, ``factors`` correct a phase's plan, ``spreads`` say how
    far single phases scatter, each (phases,).
    """

    target: str
    jobs: tuple[Job, ...]
    phases: tuple[str, ...]
    plan: Floats
    actual: Floats
    site: Floats
    waits: Floats
    factors: Floats
    spreads: Floats

    def rows(self, keep: Sequence[int]) -> PhaseTable:
        """Some of the jobs, corrections learned from them alone."""
        at = list(keep)
        plan, actual = self.plan[at], self.actual[at]
        return replace(
            self,
            jobs=tuple(self.jobs[i] for i in at),
            plan=plan,
            actual=actual,
            site=self.site[at],
            waits=self.waits[at],
            factors=phase_factors(actual, plan),
            spreads=phase_spreads(actual, plan),
        )

    @property
    def usual_waits(self) -> Floats:
        """Wait days on record a job that had the phase, (phases,)."""
        had = (~np.isnan(self.actual)).sum(axis=0)
        return np.asarray(np.nan_to_num(self.waits).sum(axis=0) / np.maximum(had, 1))


def phase_table(jobs: Sequence[Job], target: str, also: Sequence[str] = ()) -> PhaseTable:
    """Jobs with at least three phases that have plan and actual; ``also`` names further phases.

    Jobs whose phases cost their plan to the cent are left out: they were copied, not counted.
    """
    kept = tuple(j for j in jobs if _cuttable(j, target))
    seen = {p.phase for j in kept for p in j.phases if p.phase != UNASSIGNED} | set(also)
    phases = tuple(sorted(seen, key=lambda p: (standard().phase_order.get(p, 99), p)))
    shape = (len(kept), len(phases))
    plan, actual, site, waits = (np.full(shape, np.nan) for _ in range(4))
    for i, job in enumerate(kept):
        factor = loose_factor(job, target)
        for k, phase in enumerate(phases):
            record = job.phase(phase)
            if record is not None:
                planned = phase_plan(job, record, target)
                plan[i, k] = np.nan if planned is None else planned * factor
                actual[i, k] = _or_nan(phase_total(record.actual, target))
                site[i, k] = _or_nan(record.actual.site_days)
                waits[i, k] = _or_nan(record.actual.wait_days)
    empty = np.ones(len(phases))
    table = PhaseTable(target, kept, phases, plan, actual, site, waits, empty, empty)
    return table.rows(range(len(kept)))


def _cuttable(job: Job, target: str) -> bool:
    both = [
        p
        for p in job.phases
        if p.phase != UNASSIGNED
        and phase_total(p.actual, target) is not None
        and phase_plan(job, p, target) is not None
    ]
    return len(both) >= FEWEST_PHASES and not copied_by_phase(job)


@dataclass(frozen=True)
class Now:
    """The running job in one target, along the phases of a table, each array (phases,).

    ``plan`` with changes, NaN for none; ``spent`` on record, 0 for none; ``done`` the part done;
    ``loose`` was spent in no known phase.
    """

    plan: Floats
    spent: Floats
    done: Floats
    loose: float

    @property
    def settled(self) -> float:
        """Spent on phases of which some part is said to be done, and on none in particular."""
        return float(self.spent[self.done > 0].sum()) + self.loose

    @property
    def so_far(self) -> float:
        """All that is spent."""
        return float(self.spent.sum()) + self.loose

    @property
    def budget(self) -> float:
        """The whole plan with approved changes."""
        return float(np.nansum(self.plan))

    @property
    def earned(self) -> float:
        """The plan of what is done."""
        return float(np.nansum(self.plan * self.done))


def now_of(job: Job, table: PhaseTable, found: Sequence[Standing]) -> Now:
    """The running job along a table's phases; what is spent in all goes by the job's own total."""
    target = table.target
    part = {s.phase: s.done for s in found}
    factor = loose_factor(job, target)
    plan, spent, done = (np.zeros(len(table.phases)) for _ in range(3))
    for k, phase in enumerate(table.phases):
        record = job.phase(phase)
        planned = None if record is None else phase_plan(job, record, target)
        plan[k] = np.nan if planned is None else planned * factor
        spent[k] = 0.0 if record is None else phase_total(record.actual, target) or 0.0
        done[k] = part.get(phase, 0.0)
    whole = phase_total(job.actual, target) or 0.0
    return Now(plan, spent, done, max(whole - float(spent.sum()), 0.0))


@dataclass(frozen=True)
class Rest:
    """What is still to come in one target: its distribution, and what that rests on.

    ``left`` is the corrected plan still to do by phase and ``shares`` the part each phase has in
    the spread, both (phases,); ``carried`` how far the done part ran over its corrected plan, in
    log points, None with nothing done; ``carry`` how much of it lasts.
    """

    spread: LogSpread
    left: Floats
    shares: Floats
    carried: float | None
    carry: float
    jobs: int


def rest_of(table: PhaseTable, now: Now) -> Rest | None:
    """What is still to come, by the finished jobs cut at this stage; None where too few can be."""
    budget = table.plan * table.factors
    mine = now.plan * table.factors
    left = np.nan_to_num(mine * (1 - now.done))
    carried = _carried(mine, now, table.spreads)
    past = (
        cut(table.actual, budget, now.done, table.spreads) if carried is not None else _whole(table)
    )
    if len(past.rest) < FIT_JOBS or left.sum() <= 0:
        return None
    law = fit_carry(past) if carried is not None else fit_fixed(past, 0.0)
    spread = law.spread(carried or 0.0).times(float(left.sum()))
    shares = spread_shares(left, table.spreads)
    return Rest(spread, left, shares, carried, law.carry, law.jobs)


def _carried(mine: Floats, now: Now, spreads: Floats) -> float | None:
    """How far the done part ran over its corrected plan; None with nothing done or spent on it."""
    found = float(carried_over(now.spent[None], (mine * now.done)[None], now.done, spreads)[0])
    return None if np.isnan(found) else found


def _whole(table: PhaseTable) -> Cut:
    """Finished jobs as a whole: the stage before anything is done."""
    here = ~np.isnan(table.actual)
    actual = np.nansum(table.actual, axis=1)
    budget = np.nansum(np.where(here, table.plan * table.factors, np.nan), axis=1)
    return Cut(
        np.zeros(len(actual)),
        np.log(actual / budget),
        np.zeros(len(actual)),
        tuple(range(len(actual))),
    )


def cost_ends(now: Now, rest: Rest) -> Topped:
    """Where the running job ends: spent on what is done, plus the rest, never under all spent."""
    return Topped(now.settled, rest.spread, now.so_far)


def rest_days(
    table: PhaseTable, job: Job, now: Now, target: str, ahead: Sequence[str]
) -> tuple[LogSpread, int] | None:
    """Site days or working days still to come, by a table of person-days; None where not known.

    The corrected person-days left over the job's own crew so far, for working days with the wait
    days on record for the phases ahead, times what the same sum was worth in finished jobs cut at
    this stage. Wait days are no work, so a bigger crew does not shorten them.

    Args:
        table: of person-days.
        job: the running job.
        now: its person-days.
        target: "site_days" or "elapsed_days".
        ahead: phases still to come.
    """
    crew = _crew(now.so_far, job.actual.site_days)
    carried = _carried(now.plan * table.factors, now, table.spreads)
    if crew is None or carried is None:
        return None
    waits = table.usual_waits * (1 - now.done) if target == "elapsed_days" else 0.0 * now.done
    past = cut(table.actual, table.plan * table.factors, now.done, table.spreads)
    kept, rows, logs = [], [], []
    for at, i in enumerate(past.which):
        found = _days_left(table, i, now.done, target)
        worth = _worth(table, i, now.done, waits)
        if found and worth:
            kept.append(at)
            rows.append(i)
            logs.append(float(np.log(found / worth)))
    if len(kept) < FIT_JOBS:
        return None
    days = Cut(past.carried[kept], np.array(logs), past.share[kept], ())
    # A crew that changes after the stage scatters days besides, by as much as it did so far.
    changes = crew_change(table.actual[rows], table.site[rows], now.done, 1 - now.done)
    scatter = np.hypot(USUAL_SCATTER[target], np.std(np.nan_to_num(changes)))
    law = fit_carry(days, float(scatter))
    mine = float(np.nansum(now.plan * table.factors * (1 - now.done))) / crew
    mine += sum(float(w) for p, w in zip(table.phases, waits, strict=True) if p in ahead)
    return (law.spread(carried).times(mine), len(kept)) if mine > 0 else None


def _days_left(table: PhaseTable, row: int, done: Floats, target: str) -> float | None:
    """Days a finished job still took after this stage: its own, in the share of its phases."""
    job = table.jobs[row]
    site = np.nan_to_num(table.site[row])
    whole = job.actual.site_days
    if not whole or site.sum() <= 0:
        return None
    share = float(site @ (1 - done) / site.sum())
    if target == "site_days":
        return whole * share
    if job.actual.elapsed_days is None:
        return None
    waits = np.nan_to_num(table.waits[row])
    other = max(job.actual.elapsed_days - whole - float(waits.sum()), 0.0)
    return (whole + other) * share + float(waits @ (1 - done))


def _worth(table: PhaseTable, row: int, done: Floats, waits: Floats) -> float | None:
    """What this stage would have said of a finished job's days, before any carry."""
    had = ~np.isnan(table.actual[row])
    people = np.where(had, table.actual[row], 0.0)
    site = np.nan_to_num(table.site[row])
    crew = _crew(float(people @ done), float(site @ done))
    if crew is None:
        return None
    left = float(np.nansum(table.plan[row] * table.factors * (1 - done)))
    return left / crew + float(waits @ had)


def _crew(person_days: float, site_days: float | None) -> float | None:
    return max(person_days / site_days, 1.0) if person_days and site_days else None


def _or_nan(value: float | None) -> float:
    return np.nan if value is None else value

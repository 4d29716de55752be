"""Which phases overran, by how much, why, since when, is it signal or luck, and what to do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import exp

from costlearn.models.distribution import Interval
from costlearn.questions.answer import Answer, Table
from costlearn.questions.doubts import only_over
from costlearn.questions.learning import grounds_of
from costlearn.questions.overrun.advice import (
    Advice,
    Reserve,
    callbacks_of,
    correction,
    extras_of,
    reserve,
)
from costlearn.questions.overrun.causes import Causes, causes_of, overrun_of_job
from costlearn.questions.overrun.phases import (
    LIKELY,
    MATTERS,
    SURE,
    PhaseOverrun,
    judge,
    pooled_phases,
    stake_of,
)
from costlearn.questions.overrun.records import (
    HISTORY,
    PLAN,
    TARGETS,
    Record,
    jobs_per_year,
    records_of,
    unplanned_records,
)
from costlearn.questions.overrun.sound import Sound, say_left_out, sound
from costlearn.questions.overrun.tables import (
    advice_tables,
    cause_tables,
    phase_table,
    reserve_table,
)
from costlearn.questions.overrun.times import Times, times_of
from costlearn.questions.overrun.words import called_over, sentence
from costlearn.questions.wording import count_of
from costlearn.records import Entry, History, Job
from costlearn.vocabulary import UNASSIGNED, standard

__all__ = [
    "HISTORY",
    "LIKELY",
    "MATTERS",
    "PLAN",
    "SURE",
    "TARGETS",
    "Overruns",
    "PhaseOverrun",
    "Record",
    "jobs_per_year",
    "overruns",
    "records_of",
]

MOST_NAMED = 3
"""Of figures equal to their plan to the cent so many are named, the rest counted."""
UNDER_OPEN = (
    "A phase under plan may only be waiting for its last bills: some of these jobs do not say "
    "whether their books are closed."
)
NO_CAUSE = "What goes together need not be cause and effect: look at the jobs before you act."


@dataclass(frozen=True)
class Overruns(Answer):
    """Overruns of all phases, the worst amount at stake first; why, when, and what to do.

    ``records`` are pairs of target and record, those held against history among them (see
    ``Record.baseline``); ``unplanned`` counts finished jobs without plan and actual by phase.
    ``left_out`` counts jobs with open books. ``stake`` is what the phases called over add to cost
    together, 80 %: a year, or on the jobs on file where ``jobs_per_year`` is not known.
    """

    phases: tuple[PhaseOverrun, ...] = ()
    records: tuple[tuple[str, Record], ...] = ()
    common: tuple[tuple[str, float], ...] = ()
    jobs_per_year: float | None = None
    exact: int = 0
    unplanned: int = 0
    left_out: int = 0
    causes: Causes = field(default_factory=Causes)
    times: Times = field(default_factory=Times)
    advice: Advice = field(default_factory=Advice)
    names: tuple[tuple[str, str], ...] = ()
    stake: Interval | None = None

    @property
    def lead(self) -> str:
        """The target the answer speaks of first: cost where any is known."""
        return "cost" if self.of("cost") or not self.phases else "person_days"

    def of(self, target: str) -> tuple[PhaseOverrun, ...]:
        """The phases of one target."""
        return tuple(p for p in self.phases if p.target == target)

    def on_file(self, target: str, baseline: str = PLAN) -> tuple[Record, ...]:
        """The records of one target held against one baseline."""
        return tuple(r for t, r in self.records if t == target and r.baseline == baseline)

    def tables(self) -> tuple[Table, ...]:
        """Phases against plan, what to do, reserves, and why."""
        money, yearly = self.grounds.currency, self.jobs_per_year
        mine = [self.of(t) for t in TARGETS]
        found = [phase_table(p, money, yearly is not None) for p in mine if p]
        share = self._share
        found += advice_tables(self.advice, money, share)
        found += [reserve_table(r, money) for r in self.advice.reserves]
        found += cause_tables(self.causes, money)
        return tuple(found)

    @property
    def _share(self) -> float | None:
        """What turns sums over all finished jobs into sums a year."""
        jobs = self.grounds.jobs + self.unplanned
        return self.jobs_per_year / jobs if self.jobs_per_year and jobs else None


def overruns(history: History, entries: Iterable[Entry] = ()) -> Overruns:
    """Which phases overran, from all usable jobs that have plan and actual by phase.

    Plan is the quote with approved changes of that phase. Source: ``costlearn.models.pooling``.

    Args:
        history: the firm's jobs.
        entries: the rows behind them, for what only single bills and days say.
    """
    jobs = history.usable
    parted = {t: sound(found, jobs) for t in TARGETS if (found := records_of(jobs, t))}
    planned = {t: one.records for t, one in parted.items() if one.records}
    alike = {t: unplanned_records(history, t) for t in TARGETS}
    left = say_left_out(tuple(parted.values()), {j.key: j.name for j in jobs})
    if not planned:
        return _nothing(history, alike, left)
    lead = next(iter(planned))
    yearly = jobs_per_year(jobs)
    names = {j.key: j.name for j in jobs}
    times = times_of(planned)
    causes = causes_of(history, planned.get("cost", ()), entries, lead)
    phases, common, reserves, stake = _judged(planned, yearly, times, causes, names)
    used = {r.job for found in planned.values() for r in found}
    exact = [r for found in planned.values() for r in found if r.exact]
    corrections = tuple(
        correction(p.phase, p.target, p.ratio, p.per_job, p.verdict, p.records) for p in phases
    )
    all_records = [*_pairs(planned), *_pairs(alike)]
    unsure = any(j.books_closed is None for j in jobs if j.key in used)
    under = any(p.verdict.endswith("runs under") for p in phases)
    lone = only_over([overrun_of_job(j, lead) for j in jobs])
    when = "a year" if yearly else "on the jobs on file"
    mine = [p for p in phases if p.target == lead]
    text = sentence(mine, stake, when, history.firm.currency, times, unsure=unsure)
    return Overruns(
        " ".join((text, *(f"{s}." for s in left[:1]), *lone)),
        grounds_of(
            history,
            [j for j in jobs if j.key in used],
            (*_notes(exact, parted, jobs, used, alike, names), *left, *_looked(causes, times)),
            "as written down: plan and actual of a job are of one time",
        ),
        phases,
        tuple(all_records),
        common,
        yearly,
        len(exact),
        len(jobs) - len(used),
        len(history.open_books),
        causes,
        times,
        Advice(corrections, reserves, callbacks_of(jobs), extras_of(jobs)),
        tuple(names.items()),
        stake,
        cautions=(*((UNDER_OPEN,) if under and unsure else ()), *lone, *_cautions(causes)),
    )


def _judged(
    planned: Mapping[str, Sequence[Record]],
    yearly: float | None,
    times: Times,
    causes: Causes,
    names: Mapping[str, str],
) -> tuple[
    tuple[PhaseOverrun, ...],
    tuple[tuple[str, float], ...],
    tuple[Reserve, ...],
    Interval | None,
]:
    """Phases of all targets by what is at stake, common ratios, reserves, the stake together."""
    phases: list[PhaseOverrun] = []
    common, reserves = [], []
    stake = None
    labour = {v.phase: v.labour for v in causes.phases if v.labour is not None}
    for target, records in planned.items():
        pooled, order = pooled_phases(records)
        share = yearly / len({r.job for r in records}) if yearly else 1.0
        unusual = {
            c.phase: tuple(names[c.jobs[i]] for i in c.outside)
            for c in times.charts
            if c.target == target
        }
        variances = labour if target == "cost" else {}
        judged = judge(records, pooled, order, share, unusual, variances, target)
        phases += judged
        if target == "cost":
            over = {p.phase for p in called_over(judged)}
            stake = stake_of(records, pooled, order, share, over)
        common.append((target, exp(pooled.common)))
        if (found := reserve(records, pooled, order, target)) is not None:
            reserves.append(found)
    ranked = tuple(sorted(phases, key=lambda p: -p.at_stake))
    return ranked, tuple(common), tuple(reserves), stake


def _pairs(found: Mapping[str, Sequence[Record]]) -> list[tuple[str, Record]]:
    return [(t, r) for t, records in found.items() for r in records]


def _notes(
    exact: Sequence[Record],
    parted: Mapping[str, Sound],
    jobs: Sequence[Job],
    used: set[str],
    alike: Mapping[str, Sequence[Record]],
    names: Mapping[str, str],
) -> tuple[str, ...]:
    notes = ["Plan is the quote with approved changes; intervals are of the phase's mean ratio"]
    apart_from = used | {k for s in parted.values() for k in s.left_out}
    without = sum(j.key not in apart_from for j in jobs)
    if without:
        notes.append(f"{count_of(without, 'finished job')} without plan and actual by phase")
    if apart := sum(map(len, alike.values())):
        notes.append(
            f"{count_of(apart, 'figure')} without a plan held against what your other jobs say of "
            "that scope: shown job by job, in none of the phase figures"
        )
    loose = sum(j.phase(UNASSIGNED) is not None for j in jobs)
    if loose:
        notes.append(f"{count_of(loose, 'record')} of no known phase left out")
    if exact:
        said = dict.fromkeys(
            f"{names[r.job]}, {standard().phase_name(r.phase).lower()}" for r in exact
        )
        more = len(said) - MOST_NAMED
        named = "; ".join([*said][:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
        notes.append(
            f"{count_of(len(exact), 'figure')} equal to the plan to the cent: perhaps copied from "
            f"it; they still count ({named})"
        )
    return tuple(notes)


def _looked(causes: Causes, times: Times) -> tuple[str, ...]:
    """How much was looked at for causes and changes, where nothing of it is told from luck."""
    said = []
    if causes.looked_at and not causes.clear:
        said.append(
            f"{count_of(causes.looked_at, 'possible cause')} of overrun looked at over "
            f"{count_of(causes.judged, 'job')} (scope, house age, season, crew, changes, "
            "surprises): after correction for looking at all of them none stands out"
        )
    if times.looked_at and not times.changes:
        said.append(
            f"{times.looked_at} series of jobs looked at for a change over time: none is clearer "
            "than luck shows somewhere"
        )
    return tuple(said)


def _cautions(causes: Causes) -> tuple[str, ...]:
    return (NO_CAUSE,) if causes.clear else ()


def _nothing(
    history: History, alike: Mapping[str, Sequence[Record]], left: Sequence[str]
) -> Overruns:
    records = _pairs(alike)
    more = (
        f" Until then {count_of(len(records), 'phase figure')} can only be held against what your "
        "other jobs say of such scope."
        if records
        else ""
    )
    why = "no finished job has both a planned and an actual figure for a phase"
    if left:
        why = left[0][:1].lower() + left[0][1:] + ", and no other has both for a phase"
    return Overruns(
        f"Your records cannot tell which phases run over: {why}. Write down the planned days or "
        "cost of each phase when you quote, and the actual ones when it is done." + more,
        grounds_of(history, history.usable, left),
        records=tuple(records),
        unplanned=len(history.usable),
        left_out=len(history.open_books),
        names=tuple((j.key, j.name) for j in history.usable),
        known=False,
    )

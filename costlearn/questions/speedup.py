"""How crew size changes the site days of this firm: over whole jobs, and phase by phase."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from costlearn.features import measures as ms
from costlearn.models.crew import CrewEffect, from_jobs, from_phases
from costlearn.models.distribution import Codes, Floats, Interval
from costlearn.models.regression import Term
from costlearn.questions.learning import terms_of
from costlearn.records import History, Job
from costlearn.vocabulary import UNASSIGNED, standard

MIN_EACH = 2
"""At least so many records alone and with two, or the history cannot tell."""
MIN_PHASED = 5
MOST_PHASED = 400
"""The newest jobs used for the effect by phase; older ones add time, not knowledge."""


@dataclass(frozen=True)
class PhaseGain:
    """The factor on a phase's site days when two do it instead of one."""

    phase: str
    name: str
    factor: float
    interval: Interval
    gains: float
    alone: int
    together: int


@dataclass(frozen=True)
class Speedup:
    """The effect of doubling the crew, and each phase's own where records say who worked there.

    ``by_phase`` is True if the whole effect comes from phase records, whose crew differs within
    jobs and so is not tied to the size of the job.
    """

    whole: CrewEffect
    phases: tuple[PhaseGain, ...]
    by_phase: bool


def speedup(history: History) -> Speedup | None:
    """How site days change when the crew doubles; None where the records cannot tell."""
    jobs = [j for j in history.usable if ms.observed(j, "site_days") and ms.crew_of(j)]
    sizes = np.array([ms.crew_of(j) for j in jobs], dtype=float)
    whole = None
    if min(int(np.sum(sizes < 1.5)), int(np.sum(sizes >= 1.5))) >= MIN_EACH:
        measured = _work(jobs)
        days = np.array([ms.observed(j, "site_days") for j in jobs], dtype=float)
        whole = from_jobs(measured.frame.to_numpy(), terms_of(measured.columns), days, sizes)
    phased = _phase_effects(history)
    if phased and (whole is None or _varies_inside(history)):
        return Speedup(phased[0], phased[1], True)
    if whole is None:
        return None
    return Speedup(whole, phased[1] if phased else (), False)


def _work(jobs: Sequence[Job]) -> ms.Measures:
    """What describes the work of jobs, crew left out."""
    measured = ms.measure(jobs, target="site_days")
    kept = tuple(c for c in measured.columns if c.name != "crew")
    return replace(measured, columns=kept, frame=measured.frame[[c.name for c in kept]])


def _phase_rows(history: History) -> list[tuple[Job, str, float, float]]:
    """Job, phase, site days and crew size of every phase record that says both."""
    newest = sorted(history.usable, key=lambda j: j.day or date.min)[-MOST_PHASED:]
    return [
        (job, p.phase, p.actual.site_days, max(p.actual.crew, 1.0))
        for job in newest
        for p in job.phases
        if p.actual.site_days and p.actual.crew and p.phase != UNASSIGNED
    ]


def _varies_inside(history: History) -> bool:
    """True if crew size differs between phases of one job in at least two jobs."""
    sizes: dict[str, set[bool]] = {}
    for job, _, _, size in _phase_rows(history):
        sizes.setdefault(job.key, set()).add(size >= 1.5)
    return sum(len(s) > 1 for s in sizes.values()) >= 2


def _phase_effects(history: History) -> tuple[CrewEffect, tuple[PhaseGain, ...]] | None:
    rows = _phase_rows(history)
    counts: dict[str, int] = {}
    for _, phase, _, _ in rows:
        counts[phase] = counts.get(phase, 0) + 1
    rows = [r for r in rows if counts[r[1]] >= 3]
    jobs = list({r[0].key: r[0] for r in rows}.values())
    sizes = [r[3] for r in rows]
    if (
        len(jobs) < MIN_PHASED
        or min(sum(s < 1.5 for s in sizes), sum(s >= 1.5 for s in sizes)) < MIN_EACH
    ):
        return None
    words = standard()
    order = sorted({r[1] for r in rows}, key=lambda p: (words.phase_order.get(p, 99), p))
    measured = _work(jobs)
    where = {j.key: i for i, j in enumerate(jobs)}
    at = np.array([where[r[0].key] for r in rows])
    in_phase = np.array([[p == r[1] for r in rows] for p in order]).T
    columns, terms = _by_phase_columns(measured, at, in_phase, order)
    common, parts = from_phases(
        columns,
        terms,
        [r[2] for r in rows],
        sizes,
        [order.index(r[1]) for r in rows],
        at,
        order,
    )
    return common, tuple(_gain(e) for e in parts)


def _by_phase_columns(
    measured: ms.Measures, at: Codes, in_phase: Floats, order: Sequence[str]
) -> tuple[Floats, tuple[Term, ...]]:
    """Each work column in the phases its work falls in; the size column in every phase."""
    values = np.nan_to_num(
        measured.frame.to_numpy() - np.nanmean(measured.frame.to_numpy(), axis=0), nan=0.0
    )[at]
    blocks, terms = [], []
    for i, column in enumerate(measured.columns):
        for k, phase in enumerate(order):
            if column.phases and phase not in column.phases:
                continue
            if not column.phases and column.role != "size":
                continue
            blocks.append(values[:, i] * in_phase[:, k])
            terms.append(replace(column, name=f"{column.name} in {phase}", role=""))
        if not column.phases and column.role != "size":
            blocks.append(values[:, i])
            terms.append(replace(column, role=""))
    return np.column_stack(blocks), terms_of(terms)


def _gain(effect: CrewEffect) -> PhaseGain:
    return PhaseGain(
        effect.name,
        standard().phase_name(effect.name),
        effect.factor,
        effect.interval(0.8),
        effect.chance_below(1.0),
        effect.alone,
        effect.together,
    )

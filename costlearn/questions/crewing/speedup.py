"""How crew size changes the site days of this firm: over whole jobs, and phase by phase."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from costlearn.features import measures as ms
from costlearn.models.crew import (
    GUESS,
    CrewEffect,
    Guess,
    PhaseEffects,
    from_jobs,
    from_phases,
)
from costlearn.models.crew import explained as explained_by
from costlearn.models.distribution import Codes, Floats, Interval
from costlearn.models.regression import Term
from costlearn.questions.learning import terms_of
from costlearn.records import History, Job
from costlearn.units import say_percent
from costlearn.vocabulary import UNASSIGNED, standard

MIN_EACH = 2
"""At least so many records alone and with two, or the history cannot tell."""
MIN_PHASED = 5
MOST_PHASED = 400
"""The newest jobs used for the effect by phase; older ones add time, not knowledge."""
TIED = 0.8
"""Where the work foretells crew size to this share (R2 of left-out records), both are one."""
HABIT = 0.95
"""Where the phase foretells to this share who works there, phase records cannot tell either."""
MOSTLY_TWO = 1.5
DATES = ("years", "since ")
"""How columns of the date begin: they are no work."""


@dataclass(frozen=True)
class PhaseGain:
    """The factor on a phase's site days when two do it instead of one.

    ``work`` is the factor on its person-days; ``shown`` the chance that two are faster as the
    records alone show it, no first guess counted.
    """

    phase: str
    name: str
    factor: float
    interval: Interval
    gains: float
    alone: int
    together: int
    work: float
    shown: float


@dataclass(frozen=True)
class Speedup:
    """The effect of doubling the crew, and each phase's own where records say who worked there.

    ``by_phase`` is True if the whole effect comes from phase records, whose crew differs within
    jobs and so is not tied to the size of the job. ``effects`` holds the phases as they are known
    together, in the order of ``phases``. ``explained`` says how far the work foretells crew
    size (R2), ``apart`` True if no job alone is as big as one done by two. ``believed`` is True if
    the effect is the owner's belief and rests on no record.
    """

    whole: CrewEffect
    phases: tuple[PhaseGain, ...]
    by_phase: bool
    effects: PhaseEffects | None = None
    explained: float = 0.0
    apart: bool = False
    believed: bool = False


@dataclass(frozen=True)
class Silence:
    """Why the records cannot tell, and which assumption would be needed."""

    reason: str
    needs: str


BELIEF = (
    "what you believe of the days with two as a share of the days with one, such as "
    "--belief 0.6-0.85"
)
NEEDS = f"To go on, state {BELIEF}: the answer then rests on that, and says so"
TOO_FEW = Silence(
    "at least 2 finished jobs done alone and 2 done by two, each with its site days and crew size, "
    "are needed",
    NEEDS,
)


def speedup(history: History) -> Speedup | None:
    """How site days change when the crew doubles; None where the records cannot tell."""
    found = listen(history)
    return found if isinstance(found, Speedup) else None


def listen(
    history: History, belief: tuple[float, float] | None = None, new: Job | None = None
) -> Speedup | Silence:
    """How site days change when the crew doubles, or why the records cannot tell.

    Args:
        history: the firm's jobs.
        belief: the owner's range (8 in 10) for days with two over days with one. It takes the place
            of the usual first guess; where records cannot tell, it stands alone.
        new: a job asked about, whose phases are then predicted along.
    """
    guess = Guess.of_range(*belief) if belief else GUESS
    whole, explained, apart = _over_jobs(history, guess)
    phased = _phase_effects(history, guess, new)
    parts = tuple(_gain(e) for e in phased.parts) if phased else ()
    if phased and (whole is None or _varies_inside(history)):
        return Speedup(phased.whole, parts, True, phased)
    if whole is not None and explained < TIED:
        return Speedup(whole, parts, False, phased, explained, apart)
    if belief:
        return Speedup(guess.effect, (), False, believed=True, explained=explained)
    return TOO_FEW if whole is None else _tied(explained, whole.interval(0.8))


def _tied(explained: float, if_even: Interval) -> Silence:
    low = say_percent(if_even.low).removesuffix(" %")
    return Silence(
        f"the work itself foretells {say_percent(explained)} of the differences in crew size (R2), "
        "so big and small jobs cannot be told from jobs by two and by one; a few jobs done the "
        "other way round would settle it",
        "Only if days grew evenly with the work (a power of floor area) from jobs alone to jobs by "
        f"two, with nothing between them to show it, would two need {low} to "
        f"{say_percent(if_even.high)} of the days. {NEEDS}",
    )


def _over_jobs(history: History, guess: Guess) -> tuple[CrewEffect | None, float, bool]:
    """The effect over whole jobs, how much of crew the work explains, and if sizes are apart."""
    jobs = [j for j in history.usable if ms.observed(j, "site_days") and ms.steady_crew(j)]
    sizes = np.array([ms.steady_crew(j) for j in jobs], dtype=float)
    two = sizes >= MOSTLY_TWO
    if min(int(np.sum(~two)), int(np.sum(two))) < MIN_EACH:
        return None, 0.0, False
    measured = _work(jobs)
    days = np.array([ms.observed(j, "site_days") for j in jobs], dtype=float)
    whole = from_jobs(
        measured.frame.to_numpy(), terms_of(measured.columns), days, sizes, guess=guess
    )
    work = [c.name for c in measured.columns if not c.name.startswith(DATES)]
    values = measured.frame[work].to_numpy()
    middle = np.nan_to_num(np.nanmean(values, axis=0)) if work else np.zeros(0)
    filled = np.where(np.isnan(values), middle, values)
    area = np.array([j.area_sqft or np.nan for j in jobs], dtype=float)
    known = ~np.isnan(area)
    apart = bool(
        (known & two).any()
        and (known & ~two).any()
        and np.min(area[known & two]) > np.max(area[known & ~two])
    )
    return whole, explained_by(filled, sizes), apart


def _work(jobs: Sequence[Job], new: Job | None = None) -> ms.Measures:
    """What describes the work of jobs, crew left out."""
    measured = ms.measure(jobs, new, target="site_days")
    kept = tuple(c for c in measured.columns if c.name != "crew")
    names = [c.name for c in kept]
    row = None if measured.row is None else measured.row[names]
    return ms.Measures(kept, measured.frame[names], row)


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


def _phase_effects(history: History, guess: Guess, new: Job | None) -> PhaseEffects | None:
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
    where = {j.key: i for i, j in enumerate(jobs)}
    at = np.array([where[r[0].key] for r in rows])
    which = np.array([order.index(r[1]) for r in rows])
    if _fixed_by_habit(np.array(sizes), which):
        return None
    measured = _work(jobs, new)
    columns, terms = _by_phase_columns(measured, measured.frame.to_numpy(), at, which, order)
    asked = None
    if measured.row is not None:
        row = np.asarray(measured.row, dtype=float)[None, :]
        every = np.arange(len(order))
        asked, _ = _by_phase_columns(measured, row, np.zeros_like(every), every, order)
    return from_phases(
        columns,
        terms,
        [r[2] for r in rows],
        sizes,
        which,
        at,
        order,
        guess=guess,
        asked=asked,
    )


def _fixed_by_habit(size: Floats, phase: Codes) -> bool:
    """True if the phase foretells who works there: then crew is only its other name."""
    return explained_by(np.eye(int(phase.max()) + 1)[phase], size) >= HABIT


def _by_phase_columns(
    measured: ms.Measures, values: Floats, at: Codes, which: Codes, order: Sequence[str]
) -> tuple[Floats, tuple[Term, ...]]:
    """Each work column in the phases its work falls in; the size column in every phase."""
    middle = np.nanmean(measured.frame.to_numpy(), axis=0)
    values = np.nan_to_num(values - middle, nan=0.0)[at]
    in_phase = np.eye(len(order))[which]
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
        effect.work,
        effect.shown_below(1.0),
    )

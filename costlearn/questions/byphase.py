"""The phases of a new job: each with its own model, drawn together with the total."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from costlearn.features import measures as ms
from costlearn.models.distribution import Draws, Floats, Interval, LogSpread
from costlearn.models.phases import PhaseChance, draw_matrix, shared_factor
from costlearn.models.regression import PriorRegression
from costlearn.questions.learning import at_prices, index_of, latest, terms_of
from costlearn.records import Amounts, History, Job, PhaseRecord
from costlearn.vocabulary import UNASSIGNED, Vocabulary, standard

MIN_PHASED = 5
"""Fewer jobs with phase records than this split nothing."""
MIN_SEEN = 3
"""A phase seen in fewer jobs than this is not predicted."""
TOKEN_CENTS = 100
"""A phase's cost under this, 1 in any currency, stands for "not known" (trade judgement)."""
REST = "not_split_by_phase"
LITTLE = 0.02
"""A share of the total under which what no phase shows is left alone."""
PHASE_START = 0.9
"""Where a phase's noise scale starts: scope explains less of one phase than of a whole job (with
0.6 its 80 % interval covered 73 to 75 % at 6 to 10 jobs)."""


@dataclass(frozen=True)
class PhaseShare:
    """One phase of the new job in one target.

    ``median`` and ``interval`` (80 %) are of the draws in which it occurs; ``chance`` that the
    phase occurs at all; ``jobs`` how many jobs recorded it; ``alone`` the 80 % interval if it
    occurs, not yet fitted to the total.
    """

    phase: str
    name: str
    target: str
    chance: float
    median: float
    interval: Interval
    alone: Interval
    jobs: int


def phase_total(amounts: Amounts, target: str) -> float | None:
    """What a phase came to, in currency units or days; None if not known or nothing."""
    if target == "cost":
        known = amounts.total is not None and amounts.total >= TOKEN_CENTS
        return (amounts.total or 0) / 100 if known else None
    value: float | None = getattr(amounts, target)
    return value if value is not None and value > 0 else None


def phased_jobs(history: History, target: str) -> tuple[Job, ...]:
    """Usable jobs with at least three phases that say the target."""
    return tuple(
        j
        for j in history.usable
        if sum(phase_total(p.actual, target) is not None for p in j.phases) >= MIN_SEEN
    )


def split(
    history: History, new: Job, target: str, total: LogSpread, words: Vocabulary | None = None
) -> tuple[PhaseShare, ...]:
    """Split a total over the phases; empty where fewer than five jobs have phase records."""
    drawn = phase_draws(history, new, target, total, words)
    if drawn is None:
        return ()
    vocabulary = words or standard()
    return tuple(
        _share(f, c, drawn.draws[:, k], target, vocabulary)
        for k, (f, c) in enumerate(zip(drawn.fitted, drawn.chances, strict=True))
    )


@dataclass(frozen=True)
class FittedPhase:
    """One phase's own prediction, and its studentised errors over the phased jobs (NaN: absent)."""

    phase: str
    spread: LogSpread
    errors: Floats
    jobs: int


@dataclass(frozen=True)
class PhaseModels:
    """All phases of a new job, each on its own, the chance of each, and what they share."""

    fitted: tuple[FittedPhase, ...]
    chances: tuple[PhaseChance, ...]
    shared: float
    jobs: tuple[Job, ...]


def phase_models(
    history: History, new: Job, target: str, words: Vocabulary | None = None
) -> PhaseModels | None:
    """A model for each phase of a new job; None where fewer than five jobs have phase records."""
    vocabulary = words or standard()
    jobs = phased_jobs(history, target)
    if len(jobs) < MIN_PHASED:
        return None
    fitted = tuple(
        f
        for phase in _phases_seen(jobs, target, vocabulary)
        if (f := _fit_phase(history, jobs, new, target, phase)) is not None
    )
    if not fitted:
        return None
    chances = tuple(
        PhaseChance(f.phase, f.spread, _chance(jobs, new, f.phase, target, vocabulary))
        for f in fitted
    )
    shared = shared_factor(np.column_stack([f.errors for f in fitted]))
    return PhaseModels(fitted, chances, shared, jobs)


@dataclass(frozen=True)
class PhaseDraws:
    """All phases of a new job drawn together, and what no phase shows as a last one (``REST``).

    ``draws`` has shape (draws, phases), 0 where a phase does not occur; each row sums to a draw of
    the total.
    """

    fitted: tuple[FittedPhase, ...]
    chances: tuple[PhaseChance, ...]
    draws: Floats
    jobs: tuple[Job, ...]


def phase_draws(
    history: History, new: Job, target: str, total: LogSpread, words: Vocabulary | None = None
) -> PhaseDraws | None:
    """Phases that sum to a total in each draw; None where fewer than five jobs have phases."""
    models = phase_models(history, new, target, words)
    if models is None:
        return None
    fitted, chances = models.fitted, models.chances
    rest = _rest(history, models, new, target)
    if rest:
        fitted, chances = (*fitted, rest[0]), (*chances, rest[1])
    return PhaseDraws(fitted, chances, draw_matrix(chances, models.shared, total), models.jobs)


def _rest(
    history: History, models: PhaseModels, new: Job, target: str
) -> tuple[FittedPhase, PhaseChance] | None:
    """What the jobs cost beside the phases shown, as a part of its own; None if that is little.

    Without it, cost that nobody put under a phase would be spread silently over the others.
    """
    shown = {f.phase for f in models.fitted}
    shares, having = [], []
    for job in models.jobs:
        whole = ms.observed(job, target)
        if whole is None or not all(_said(job, p.phase, target) for p in job.phases):
            continue
        named = sum(_phase_value(p, target) or 0.0 for p in job.phases if p.phase in shown)
        shares.append(1 - named / whole)
        if named < (1 - LITTLE) * whole:
            having.append((job, whole - named))
    if len(having) < MIN_SEEN or float(np.mean(np.maximum(shares, 0.0))) < LITTLE:
        return None
    fitted = _fit(history, models.jobs, having, new, target, REST)
    if fitted is None:
        return None
    chance = (len(having) + 0.5) / (len(shares) + 1)
    return fitted, PhaseChance(REST, fitted.spread, chance)


def _share(
    fit: FittedPhase, chance: PhaseChance, drawn: Floats, target: str, words: Vocabulary
) -> PhaseShare:
    occurs = drawn[drawn > 0]
    draws = Draws.of(occurs if len(occurs) else drawn)
    return PhaseShare(
        fit.phase,
        words.phase_name(fit.phase),
        target,
        chance.chance,
        draws.median,
        draws.interval(0.8),
        fit.spread.interval(0.8),
        fit.jobs,
    )


def _phases_seen(jobs: Sequence[Job], target: str, words: Vocabulary) -> list[str]:
    seen: dict[str, int] = {}
    for job in jobs:
        for record in job.phases:
            if phase_total(record.actual, target) is not None:
                seen[record.phase] = seen.get(record.phase, 0) + 1
    often = [p for p, n in seen.items() if n >= MIN_SEEN and p != UNASSIGNED]
    return sorted(often, key=lambda p: (words.phase_order.get(p, 99), p))


def _fit_phase(
    history: History, jobs: Sequence[Job], new: Job, target: str, phase: str
) -> FittedPhase | None:
    """The phase's model: items whose work falls elsewhere keep a tenth of their prior spread."""
    having = [(j, v) for j in jobs if (v := _phase_value(j.phase(phase), target)) is not None]
    return _fit(history, jobs, having, new, target, phase)


def _fit(
    history: History,
    jobs: Sequence[Job],
    having: Sequence[tuple[Job, float]],
    new: Job,
    target: str,
    phase: str,
) -> FittedPhase | None:
    now = new.day or latest(history.usable)
    drift = 0.0 if target == "cost" and index_of(history) else None
    measured = ms.measure([j for j, _ in having], new, target=target, drift=drift)
    if measured.row is None:
        return None
    columns = tuple(c.in_phase(phase) for c in measured.columns)
    model = PriorRegression(terms_of(columns, measured.frame), start_share=PHASE_START).fit(
        measured.frame, at_prices(history, having, target, now)
    )
    errors = np.full(len(jobs), np.nan)
    place = {j.key: i for i, j in enumerate(jobs)}
    errors[[place[j.key] for j, _ in having]] = model.loo_.errors
    row = np.asarray(measured.row, dtype=float)
    return FittedPhase(phase, model.distribution(row), errors, len(having))


def _phase_value(record: PhaseRecord | None, target: str) -> float | None:
    return phase_total(record.actual, target) if record else None


def _chance(jobs: Sequence[Job], new: Job, phase: str, target: str, words: Vocabulary) -> float:
    """Chance that the phase occurs: its share among jobs of like scope, softened by one job."""
    mapped = {i.key for i in words.items if phase in i.phases}
    mine = {k for k in mapped if new.scope.get(k)}
    alike = [j for j in jobs if bool({k for k in mapped if j.scope.get(k)}) == bool(mine)]
    overall = np.mean([_occurred(j.phase(phase)) for j in jobs])
    had = sum(_occurred(j.phase(phase)) for j in alike)
    return float((had + overall) / (len(alike) + 1))


def _occurred(record: PhaseRecord | None) -> bool:
    """True if the phase was done; one whose amount nobody wrote down was done all the same."""
    return record is not None and record.actual.total != 0


def _said(job: Job, phase: str, target: str) -> bool:
    """True if a phase that was done says its amount."""
    record = job.phase(phase)
    return not _occurred(record) or _phase_value(record, target) is not None

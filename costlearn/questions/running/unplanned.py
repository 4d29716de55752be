"""Where a running job ends that was never planned by phase: phase models alone.

Each phase to come has its own model; finished phases tell through the factor all phases of a job
share. Wider than with a plan by phase (``costlearn.questions.running.stage``); for jobs without.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from costlearn.features.copies import copied_by_phase
from costlearn.models.distribution import Draws
from costlearn.models.midjob import rest_draws
from costlearn.models.phases import PhaseChance
from costlearn.questions.byphase import phase_models, phase_total
from costlearn.questions.running.stage import Standing
from costlearn.records import NOTHING, History, Job


@dataclass(frozen=True)
class Ahead:
    """What a job comes to in all, as draws, and the jobs that is learned from."""

    ends: Draws
    jobs: tuple[Job, ...]
    most: str
    """The phase with the largest part in the spread."""


def without_plan(
    history: History, job: Job, found: Sequence[Standing], target: str
) -> Ahead | None:
    """Where the job ends; None where fewer than five finished jobs have phase records of their own.

    None too where a phase of the job still open is in too few of them: what it will take is not
    known, and an end without it would be a sure figure out of nothing. Phases that were copied
    from their plan say nothing of what phases come to.
    """
    asked = replace(job, actual=NOTHING, phases=(), plan=NOTHING)
    counted = replace(history, jobs=tuple(j for j in history.jobs if not copied_by_phase(j)))
    models = phase_models(counted, asked, target)
    whole = phase_total(job.actual, target)
    if models is None:
        return None
    parts = {s.phase: s.done for s in found}
    if {phase for phase, done in parts.items() if done < 1} - {c.name for c in models.chances}:
        return None
    begun = {p.phase: phase_total(p.actual, target) for p in job.phases}
    finished = [
        (f.spread, value)
        for f in models.fitted
        if parts.get(f.phase, 0.0) >= 1 and (value := begun.get(f.phase)) is not None
    ]
    left = [
        _left(c, parts.get(c.name))
        for c in models.chances
        if parts.get(c.name, 0.0) < 1 and not _passed_by(c, parts, models.chances)
    ]
    if not left:
        return None
    spent = whole or sum(v for v in begun.values() if v is not None)
    # What a phase under way has taken is part of its own whole: it is not counted twice.
    under = sum(
        begun.get(s.phase) or 0.0 for s in found if s.done == 0 and begun.get(s.phase) is not None
    )
    draws = rest_draws(finished, left, models.shared)
    ends = draws.sum(axis=1) + (spent - under)
    spread = draws.var(axis=0)
    return Ahead(Draws.of(ends.clip(min=spent)), models.jobs, left[int(spread.argmax())].name)


def _left(one: PhaseChance, done: float | None) -> PhaseChance:
    """A phase to come: certain once it is on the job's own list, less what is done of it."""
    if done is None:
        return one
    return PhaseChance(one.name, one.spread.times(max(1 - done, 1e-6)), 1.0)


def _passed_by(one: PhaseChance, parts: dict[str, float], chances: Sequence[PhaseChance]) -> bool:
    """True for a phase not on the job's list although later ones are finished: it did not occur."""
    if one.name in parts:
        return False
    names = [c.name for c in chances]
    at = names.index(one.name)
    return any(parts.get(later, 0.0) >= 1 for later in names[at + 1 :])

"""What to do about overruns: correct the next quote, hold a reserve, bill extras, stop call-backs.

The reserve of a job comes from phases drawn together in one job: phases do not all go wrong at
once, so it is less than the sum of what each phase would need on its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor

import numpy as np

from costlearn.models.pooling import PooledGroups
from costlearn.questions.overrun.records import Record
from costlearn.records import Job
from costlearn.units import round_figures
from costlearn.vocabulary import UNASSIGNED, standard

USUAL = 0.5
"""A phase planned in at least this share of the jobs belongs to the usual job."""
MIDDLE, SAFE = 0.5, 0.8


@dataclass(frozen=True, slots=True)
class Correction:
    """What to do with the plan of a phase in the next quote.

    ``factor`` multiplies the plan; ``add`` is what that means on an average plan, in currency units
    or person-days, rounded as it is said; 0 where the plan should stay.
    """

    phase: str
    name: str
    target: str
    factor: float
    add: float
    verdict: str


@dataclass(frozen=True, slots=True)
class PhaseReserve:
    """What a phase may need beyond its average plan, in 5 and in 8 jobs of 10; below 0 is spare."""

    phase: str
    name: str
    plan: float
    p50: float
    p80: float


@dataclass(frozen=True)
class Reserve:
    """What the usual job may need beyond its plan: by phase, for the whole, and the plain sum."""

    target: str
    phases: tuple[PhaseReserve, ...]
    plan: float
    p50: float
    p80: float

    @property
    def summed(self) -> float:
        """The phases' reserves at 8 in 10 added up: more than the job needs."""
        return sum(p.p80 for p in self.phases)


@dataclass(frozen=True, slots=True)
class CallbackSum:
    """Call-back work by the phase that caused it; a part is None where nobody wrote it down."""

    phase: str
    name: str
    jobs: int
    person_days: float | None
    cost: float | None


@dataclass(frozen=True, slots=True)
class Extras:
    """Change orders that nobody pays for: counts, and sums in currency units and person-days.

    ``verbal`` were spoken of and not approved; ``unpriced`` were approved at no price. A sum is
    None where no change order says it.
    """

    verbal: int
    unpriced: int
    declined: int
    price: float | None
    cost: float | None
    days: float | None


@dataclass(frozen=True)
class Advice:
    """What to act on."""

    corrections: tuple[Correction, ...] = ()
    reserves: tuple[Reserve, ...] = ()
    callbacks: tuple[CallbackSum, ...] = ()
    extras: Extras = Extras(0, 0, 0, None, None, None)


def correction(
    phase: str, target: str, ratio: float, per_job: float, verdict: str, records: int
) -> Correction:
    """The correction of a phase: nothing unless it is known, or probable, to run over or under."""
    called = verdict != "could be luck" and records > 0
    add = (
        (round_figures(per_job, 2) if target == "cost" else floor(per_job * 2 + 0.5) / 2)
        if called
        else 0.0
    )
    name = standard().phase_name(phase)
    return Correction(phase, name, target, ratio if called else 1.0, add, verdict)


def reserve(
    records: Sequence[Record], pooled: PooledGroups, order: Sequence[str], target: str
) -> Reserve | None:
    """What a job of the usual phases at their average plans may need beyond plan."""
    jobs = len({r.job for r in records})
    plans: dict[str, list[float]] = {}
    for r in records:
        plans.setdefault(r.phase, []).append(r.planned)
    usual = [k for k, p in enumerate(order) if len(plans[p]) >= max(USUAL * jobs, 1)]
    if not usual:
        return None
    plan = np.array([np.mean(plans[order[k]]) for k in usual])
    drawn = pooled.draw_next()[:, usual] * plan
    beyond = drawn - plan
    whole = beyond.sum(axis=1)
    return Reserve(
        target,
        tuple(
            PhaseReserve(
                order[k],
                standard().phase_name(order[k]),
                float(plan[i]),
                float(np.quantile(beyond[:, i], MIDDLE)),
                float(np.quantile(beyond[:, i], SAFE)),
            )
            for i, k in enumerate(usual)
        ),
        float(plan.sum()),
        float(np.quantile(whole, MIDDLE)),
        float(np.quantile(whole, SAFE)),
    )


def callbacks_of(jobs: Sequence[Job]) -> tuple[CallbackSum, ...]:
    """Call-back work by the phase that caused it, the dearest first."""
    seen: dict[str, list[tuple[float | None, int | None]]] = {}
    for job in jobs:
        for c in job.callbacks:
            seen.setdefault(c.phase, []).append((c.person_days, c.cost))
    found = []
    for phase, sums in seen.items():
        days = [d for d, _ in sums if d is not None]
        cents = [c for _, c in sums if c is not None]
        name = "cause not said" if phase == UNASSIGNED else standard().phase_name(phase)
        found.append(
            CallbackSum(
                phase,
                name,
                len(sums),
                sum(days) if days else None,
                sum(cents) / 100 if cents else None,
            )
        )
    return tuple(sorted(found, key=lambda c: (-(c.cost or 0), -(c.person_days or 0), c.phase)))


def extras_of(jobs: Sequence[Job]) -> Extras:
    """Change orders that were not approved, or approved at no price, over all finished jobs."""
    changes = [c for j in jobs for c in j.changes]
    verbal = [c for c in changes if c.state == "verbal"]
    unpriced = [c for c in changes if c.state == "approved" and not c.price and (c.cost or 0) > 0]
    unpaid = [*verbal, *unpriced]
    prices = [c.price for c in verbal if c.price is not None]
    costs = [c.cost for c in unpaid if c.cost is not None]
    days = [c.days for c in unpaid if c.days is not None]
    return Extras(
        len(verbal),
        len(unpriced),
        sum(c.state == "declined" for c in changes),
        sum(prices) / 100 if prices else None,
        sum(costs) / 100 if costs else None,
        sum(days) if days else None,
    )

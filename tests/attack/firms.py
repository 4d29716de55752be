"""An invented firm whose law is known: what its jobs truly cost, before anybody spoils its records.

Work follows area and items; a job's plan scatters about its work; each phase runs over its plan by
its own factor, the job's and its own luck. All figures here are invented.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from numpy.random import Generator

from costlearn.firm import Firm
from costlearn.records import NOTHING, Amounts, History, Job, PhaseRecord

FIRST = date(2022, 1, 10)
LAST = date(2025, 4, 28)
ASKED = date(2025, 6, 2)
ALWAYS = {"toilet": 1.0, "vanity": 1.0, "floor_tile": 30.0, "paint": 150.0}
ITEMS = {"niche": 0.08, "bench": 0.1, "curbless": 0.15, "heated_floor": 0.09, "bath_fan": 0.03}
"""Items that half of the jobs have, and what they truly add, in log points."""
SHARES = {
    "demo": 0.12,
    "plumb_rough": 0.14,
    "board": 0.16,
    "tile": 0.34,
    "paint": 0.10,
    "finish_set": 0.14,
}
"""The part of the plan that each phase has, in the order of the trade."""
OVER = {"tile": 1.2}
"""What phases truly run over their plan; the others keep it."""
DOLLARS = 12_000.0
DAYS = 15.0
POWER = 0.55
PLAN_SD, JOB_SD, PHASE_SD, CREW_POWER = 0.08, 0.06, 0.15, 0.55
PRICE = 1.45
BASE = Firm(wanted_margin=0.25, day_rate=400.0)


@dataclass(frozen=True)
class Truth:
    """What is true of a firm: the new job, the quote and the running job come to this in the end.

    ``over`` is each phase's true factor on its plan, ``crew`` the factor on days with two,
    ``items`` what items add in log points.
    """

    cost: float
    quoted: float
    running: float
    days: float
    over: dict[str, float]
    crew: float
    items: dict[str, float]


@dataclass(frozen=True)
class Case:
    """A history as it stands on file, what is asked of it, and the truth behind it."""

    history: History
    new: Job
    quote: Job
    running: Job
    truth: Truth


def work(area: float, scope: dict[str, float]) -> float:
    """Work of a scope in log points, 0 for 50 sq ft without items."""
    return float(POWER * np.log(area / 50) + sum(v for k, v in ITEMS.items() if scope.get(k)))


def scope_of(rng: Generator) -> dict[str, float]:
    """A scope: what all have, and half of the rest."""
    return ALWAYS | {k: 1.0 for k in ITEMS if rng.random() < 0.5}


def area_of(rng: Generator) -> float:
    """A floor area in square feet."""
    return float(np.round(np.exp(rng.normal(4.0, 0.3))))


def build(
    rng: Generator,
    key: str,
    day: date,
    *,
    area: float | None = None,
    scope: dict[str, float] | None = None,
    level: float = 1.0,
) -> Job:
    """A finished job by the law; ``level`` multiplies all money."""
    size = area_of(rng) if area is None else area
    what = scope_of(rng) if scope is None else scope
    planned = np.exp(work(size, what) + rng.normal(0, PLAN_SD))
    shared = rng.normal(0, JOB_SD)
    phases = []
    for phase, share in SHARES.items():
        ratio = OVER.get(phase, 1.0) * np.exp(shared + rng.normal(0, PHASE_SD))
        crew = float(rng.choice([1.0, 2.0]))
        people = DAYS * planned * share
        phases.append(
            PhaseRecord(
                phase,
                Amounts(cost=int(100 * DOLLARS * level * planned * share), person_days=people),
                Amounts(
                    cost=int(100 * DOLLARS * level * planned * share * ratio),
                    person_days=float(people * ratio),
                    site_days=float(people * ratio / crew**CREW_POWER),
                    crew=crew,
                ),
                books_closed=True,
            )
        )
    return Job(
        key=key,
        name=key.upper(),
        kind="bathroom",
        started=day,
        finished=day + timedelta(days=30),
        area_sqft=size,
        grade=float(rng.integers(0, 3)),
        house_year=int(rng.integers(1950, 2010)),
        scope=what,
        phases=tuple(phases),
        plan=summed([p.plan for p in phases], False),
        actual=summed([p.actual for p in phases], True),
        price=int(100 * DOLLARS * level * planned * PRICE),
        books_closed=True,
    )


def summed(parts: list[Amounts], built: bool) -> Amounts:
    """The whole of phases."""
    people = sum(p.person_days or 0.0 for p in parts)
    site = sum(p.site_days or 0.0 for p in parts)
    return Amounts(
        cost=sum(p.cost or 0 for p in parts),
        person_days=people,
        site_days=site if built else None,
        wait_days=3.0 if built else None,
        elapsed_days=site + 5 if built else people + 5,
        crew=people / site if built and site else None,
    )


def firm(count: int, seed: int, *, level: float = 1.0) -> Case:
    """A firm of so many finished jobs, and the three jobs asked about, all by one law.

    Args:
        count: finished jobs.
        seed: of the draws.
        level: of all money in the three jobs asked about, against the finished ones.
    """
    rng = np.random.default_rng([seed, 77])
    span = (LAST - FIRST).days
    jobs = tuple(
        build(rng, f"j{i:02d}", FIRST + timedelta(days=int(i * span / max(count - 1, 1))))
        for i in range(count)
    )
    new, quote, running = (build(rng, k, ASKED, level=level) for k in ("new", "quote", "running"))
    truth = Truth(
        (new.actual.cost or 0) / 100,
        (quote.actual.cost or 0) / 100,
        (running.actual.cost or 0) / 100,
        new.actual.person_days or 0.0,
        {p: OVER.get(p, 1.0) for p in SHARES},
        2.0**-CREW_POWER,
        dict(ITEMS),
    )
    asked = replace(quote, state="quoted", quoted_on=ASKED, started=None, finished=None)
    asked = replace(
        asked,
        actual=NOTHING,
        phases=tuple(replace(p, actual=NOTHING, books_closed=None) for p in quote.phases),
    )
    return Case(
        History(BASE, jobs),
        replace(
            new,
            state="quoted",
            quoted_on=ASKED,
            started=None,
            finished=None,
            plan=NOTHING,
            actual=NOTHING,
            phases=(),
            price=None,
        ),
        asked,
        begun(running),
        truth,
    )


def begun(job: Job, done: int = 3) -> Job:
    """A job of which so many phases are done and the rest is to come."""
    phases = tuple(
        replace(
            p,
            actual=p.actual if i < done else NOTHING,
            percent_complete=float(i < done),
            books_closed=None,
        )
        for i, p in enumerate(job.phases)
    )
    spent = summed([p.actual for p in phases[:done]], True)
    return replace(
        job,
        state="running",
        finished=None,
        phases=phases,
        actual=replace(spent, elapsed_days=12.0, wait_days=None),
        books_closed=None,
    )

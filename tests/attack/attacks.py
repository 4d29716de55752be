"""Histories made to mislead: what goes wrong with a firm's records, one thing at a time.

Each attack takes a case whose law is known (``firms.py``) and spoils what is on file; what the new,
the quoted and the running job truly come to stays as it was, but for attacks that change the law.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from attack.firms import (
    FIRST,
    LAST,
    Case,
    build,
    firm,
)
from numpy.random import Generator

from costlearn.records import Amounts, Job, PhaseRecord
from costlearn.units import SQFT_PER_SQM

Spoil = Callable[[Case, Generator], Case]


@dataclass(frozen=True)
class Attack:
    """One way to mislead: ``culprits`` are names of jobs that should be pointed out."""

    name: str
    spoil: Spoil
    culprits: tuple[str, ...] = ()
    level: float = 1.0


def with_jobs(case: Case, jobs: list[Job] | tuple[Job, ...]) -> Case:
    """The case with other jobs on file."""
    return replace(case, history=replace(case.history, jobs=tuple(jobs)))


def each(case: Case, change: Callable[[int, Job], Job]) -> Case:
    """The case with every finished job changed."""
    return with_jobs(case, [change(i, j) for i, j in enumerate(case.history.jobs)])


def one(case: Case, at: int, change: Callable[[Job], Job]) -> Case:
    """The case with one finished job changed."""
    return each(case, lambda i, j: change(j) if i == at else j)


def scaled(amounts: Amounts, **factors: float) -> Amounts:
    """Some figures multiplied, where there are any."""
    changed = {k: v * f for k, f in factors.items() if (v := getattr(amounts, k)) is not None}
    if "cost" in changed:
        changed["cost"] = round(changed["cost"])
    return replace(amounts, **changed)


def actual(job: Job, **factors: float) -> Job:
    """A job whose actual figures are multiplied, its phases with it."""
    phases = tuple(replace(p, actual=scaled(p.actual, **factors)) for p in job.phases)
    return replace(job, actual=scaled(job.actual, **factors), phases=phases)


def money(job: Job, factor: float) -> Job:
    """A job all of whose money is multiplied: price, plan and actual."""
    job = actual(job, cost=factor)
    phases = tuple(replace(p, plan=scaled(p.plan, cost=factor)) for p in job.phases)
    price = None if job.price is None else round(job.price * factor)
    return replace(job, price=price, plan=scaled(job.plan, cost=factor), phases=phases)


def copied(job: Job) -> Job:
    """A job whose actual figures are its plan's."""
    phases = tuple(
        replace(p, actual=replace(p.actual, cost=p.plan.cost, person_days=p.plan.person_days))
        for p in job.phases
    )
    whole = replace(job.actual, cost=job.plan.cost, person_days=job.plan.person_days)
    return replace(job, actual=whole, phases=phases)


def _giant(case: Case, rng: Generator) -> Case:
    day = case.history.jobs[7].started or FIRST
    return one(case, 7, lambda j: build(rng, j.key, day, area=900.0, scope=dict(j.scope)))


def _alike(case: Case, rng: Generator) -> Case:
    first = case.history.jobs[0]
    return each(
        case,
        lambda i, j: replace(first, key=j.key, name=j.name, started=j.started, finished=j.finished),
    )


def _alike_round(case: Case, rng: Generator) -> Case:
    """Every job has the same area and scope, and a sum put in for all."""
    first = case.history.jobs[0]
    same = Amounts(cost=1_500_000, person_days=16.0, site_days=12.0, elapsed_days=18.0)
    return each(
        case,
        lambda i, j: replace(
            j, area_sqft=first.area_sqft, scope=first.scope, actual=same, phases=()
        ),
    )


def _together(case: Case, rng: Generator) -> Case:
    """Bench and niche always come together; the jobs by the law of that scope."""
    return _rebuilt(case, rng, lambda s, a: s | ({"bench": 1.0} if s.get("niche") else {}))


def _item_is_area(case: Case, rng: Generator) -> Case:
    """Heated floors in all larger rooms and in no other."""
    return _rebuilt(case, rng, lambda s, a: s | ({"heated_floor": 1.0} if a > 55 else {}))


def _rebuilt(
    case: Case, rng: Generator, add: Callable[[dict[str, float], float], dict[str, float]]
) -> Case:
    def change(i: int, job: Job) -> Job:
        bare = {k: v for k, v in job.scope.items() if v and k not in ("bench", "heated_floor")}
        scope = add(bare, job.area_sqft or 0.0)  # type: ignore[arg-type]
        return build(rng, job.key, job.started or FIRST, area=job.area_sqft, scope=scope)

    return each(case, change)


def _currency(case: Case, rng: Generator) -> Case:
    return each(case, lambda i, j: money(j, 1.37) if rng.random() < 1 / 3 else j)


def _half_copied(case: Case, rng: Generator) -> Case:
    return each(case, lambda i, j: copied(j) if i % 2 else j)


def _doubled_prices(case: Case, rng: Generator) -> Case:
    half = len(case.history.jobs) // 2
    return each(case, lambda i, j: money(j, 2.0) if i >= half else j)


def _just_doubled(case: Case, rng: Generator) -> Case:
    """The last two jobs alone saw the prices double."""
    last = len(case.history.jobs) - 2
    return each(case, lambda i, j: money(j, 2.0) if i >= last else j)


def _new_kind(case: Case, rng: Generator) -> Case:
    """A kitchen is asked for, at three times a bathroom's cost; none is on file."""
    truth = replace(case.truth, cost=3 * case.truth.cost, days=3 * case.truth.days)
    return replace(case, new=replace(case.new, kind="kitchen"), truth=truth)


def _new_work(case: Case, rng: Generator) -> Case:
    """From half way on the firm builds kitchens, at three times; the new job is one."""
    half = len(case.history.jobs) // 2

    def change(i: int, job: Job) -> Job:
        if i < half:
            return job
        job = money(actual(job, person_days=3, site_days=3, elapsed_days=3), 3.0)
        return replace(job, kind="kitchen")

    return each(_new_kind(case, rng), change)


def _failures(case: Case, rng: Generator) -> Case:
    """Only jobs that ran 8 % or more over plan were written down; so many of them as asked."""
    kept: list[Job] = []
    span = (LAST - FIRST).days
    count = len(case.history.jobs)
    while len(kept) < count:
        day = FIRST + timedelta(days=int(len(kept) * span / max(count - 1, 1)))
        job = build(rng, f"j{len(kept):02d}", day)
        if (job.actual.cost or 0) > 1.08 * (job.plan.cost or 0):
            kept.append(job)
    return with_jobs(case, kept)


def _twice(case: Case, rng: Generator) -> Case:
    """Every job is on file twice, under another name; half as many jobs in truth."""
    half = case.history.jobs[::2]
    again = [replace(j, key=f"{j.key}b", name=f"{j.name} bath again") for j in half]
    return with_jobs(case, [x for pair in zip(half, again, strict=True) for x in pair])


def _five_times(case: Case, rng: Generator) -> Case:
    """One job is on file five times."""
    jobs = list(case.history.jobs)
    jobs[1:5] = [
        replace(jobs[0], key=f"{jobs[0].key}{c}", name=f"{jobs[0].name} {c}") for c in "abcd"
    ]
    return with_jobs(case, jobs)


def _no_plans(case: Case, rng: Generator) -> Case:
    def change(i: int, job: Job) -> Job:
        nothing = Amounts(cost=0, person_days=0.0, elapsed_days=0.0)
        phases = tuple(replace(p, plan=Amounts(cost=0, person_days=0.0)) for p in job.phases)
        return replace(job, price=0, plan=nothing, phases=phases)

    return each(case, change)


def _metres(case: Case, rng: Generator) -> Case:
    """A third of the areas are square metres."""
    return each(
        case,
        lambda i, j: replace(j, area_sqft=(j.area_sqft or 0.0) / SQFT_PER_SQM) if i % 3 == 1 else j,
    )


def _future(case: Case, rng: Generator) -> Case:
    far = timedelta(days=365 * 6)

    def change(i: int, job: Job) -> Job:
        if i % 4 != 1 or job.started is None or job.finished is None:
            return job
        return replace(job, started=job.started + far, finished=job.finished + far)

    return each(case, change)


def _dates(started: date | None, finished: date | None) -> Spoil:
    return lambda case, rng: each(case, lambda i, j: replace(j, started=started, finished=finished))


def _wild(case: Case, rng: Generator) -> Case:
    """Three jobs: $2,000, $15,000 and $150,000, all of one size and scope."""
    costs = (200_000, 1_500_000, 15_000_000)
    jobs = []
    for job, cost in zip(case.history.jobs, costs, strict=False):
        factor = cost / (job.actual.cost or 1)
        jobs.append(actual(job, cost=factor, person_days=factor, site_days=factor))
    return with_jobs(case, jobs)


def _one_dollar(case: Case, rng: Generator) -> Case:
    return one(case, 4, lambda j: actual(j, cost=100 / (j.actual.cost or 1)))


def _all_one_dollar(case: Case, rng: Generator) -> Case:
    """All actual costs are a placeholder of $1; days are sound."""
    return each(case, lambda i, j: actual(j, cost=100 / (j.actual.cost or 1)))


def _no_days(case: Case, rng: Generator) -> Case:
    return each(case, lambda i, j: actual(j, person_days=0.0))


def _bills_missing(case: Case, rng: Generator) -> Case:
    """Every second job lacks its last bills, and nobody says whether books are closed."""

    def change(i: int, job: Job) -> Job:
        phases = tuple(replace(p, books_closed=None) for p in job.phases)
        job = replace(job, books_closed=None, phases=phases)
        return actual(job, cost=0.6) if i % 2 else job

    return each(case, change)


def _crew_is_size(case: Case, rng: Generator) -> Case:
    """Two in every large room, one in every small one, and two are no faster."""

    def change(i: int, job: Job) -> Job:
        crew = 2.0 if (job.area_sqft or 0) > 55 else 1.0
        phases: tuple[PhaseRecord, ...] = tuple(
            replace(p, actual=replace(p.actual, site_days=p.actual.person_days, crew=crew))
            for p in job.phases
        )
        days = sum(p.actual.person_days or 0.0 for p in phases)
        return replace(job, phases=phases, actual=replace(job.actual, site_days=days, crew=crew))

    return replace(each(case, change), truth=replace(case.truth, crew=1.0))


ALL = (
    Attack("sound records", lambda case, rng: case),
    Attack("one giant job (900 sq ft)", _giant),
    Attack("all jobs alike to the cent", _alike),
    Attack("all jobs alike in round sums", _alike_round),
    Attack("two items always together", _together),
    Attack("an item in all large rooms only", _item_is_area),
    Attack("one cost ten times", lambda c, r: one(c, 4, lambda j: actual(j, cost=10)), ("J04",)),
    Attack("one cost in cents", lambda c, r: one(c, 4, lambda j: actual(j, cost=100)), ("J04",)),
    Attack(
        "one job's days ten times",
        lambda c, r: one(c, 4, lambda j: actual(j, person_days=10, site_days=10)),
        ("J04",),
    ),
    Attack("a third in another currency", _currency),
    Attack("all actuals copied from quotes", lambda c, r: each(c, lambda i, j: copied(j))),
    Attack("every second actual copied", _half_copied),
    Attack("prices doubled half way", _doubled_prices, level=2.0),
    Attack("prices doubled two jobs ago", _just_doubled, level=2.0),
    Attack("a kind never done", _new_kind),
    Attack("another kind from half way", _new_work),
    Attack("only overrun jobs on file", _failures),
    Attack("every job twice", _twice),
    Attack("one job five times", _five_times),
    Attack("all quotes zero", _no_plans),
    Attack("no areas", lambda c, r: each(c, lambda i, j: replace(j, area_sqft=None))),
    Attack("a third of areas in square metres", _metres),
    Attack("all on one day", _dates(FIRST, FIRST + timedelta(days=30))),
    Attack("no dates", _dates(None, None)),
    Attack("a quarter of dates six years ahead", _future),
    Attack("three wild jobs", _wild),
    Attack("one cost of $1", _one_dollar, ("J04",)),
    Attack("all costs $1", _all_one_dollar),
    Attack(
        "one floor of a million sq ft",
        lambda c, r: one(c, 4, lambda j: replace(j, area_sqft=1e6)),
        ("J04",),
    ),
    Attack("person-days zero", _no_days),
    Attack("last bills missing in half", _bills_missing),
    Attack("crew is the size of the job", _crew_is_size),
)
"""All attacks, the sound records first."""


def case_of(attack: Attack, count: int, seed: int) -> Case:
    """A firm of so many jobs with one attack on its records."""
    sound = firm(count, seed, level=attack.level)
    return attack.spoil(sound, np.random.default_rng([seed, 5]))

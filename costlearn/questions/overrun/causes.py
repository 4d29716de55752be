"""Why phases overran: days or rates, quantity or price, surprises, and what goes with overrun."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import log, nan

import numpy as np

from costlearn.features import measures as ms
from costlearn.features.prices import PriceIndex
from costlearn.models.distribution import Interval
from costlearn.models.drivers import drivers
from costlearn.models.ladder import GoodsVariance, LabourVariance, goods_variance, labour_variance
from costlearn.questions.overrun.records import NEWEST, Record, changes_of, records_of
from costlearn.questions.surprises import Surprise, surprises
from costlearn.records import Entry, History, Job, PhaseRecord
from costlearn.vocabulary import standard

BRIDGE = (
    ("days", "more or fewer person-days"),
    ("rates", "day rates"),
    ("labour", "labour, days and rates not told apart"),
    ("quantity", "materials: more or less of them"),
    ("price", "materials: their prices"),
    ("material", "materials, amount and price not told apart"),
    ("sub", "subs"),
    ("other", "rental, disposal, permits"),
    ("rest", "not written down by cause"),
)
"""Causes of the bridge from plan to actual, in order, and their names."""
OTHER_KINDS = ("rental", "disposal", "permit")
MONTHS = {
    "started in December to February": (12, 1, 2),
    "started in March to May": (3, 4, 5),
    "started in June to August": (6, 7, 8),
    "started in September to November": (9, 10, 11),
}
AGE_STEP = 25
"""Years of house age that count as one step."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the bridge: an amount of money, or a level it has reached."""

    key: str
    name: str
    amount: float
    level: bool = False


@dataclass(frozen=True, slots=True)
class Cause:
    """Something jobs have that goes with overrun: what it multiplies actual over plan by.

    ``interval`` is its 80 % interval, ``clear`` whether it survives having looked at all of them.
    """

    name: str
    ratio: float
    interval: Interval
    adjusted: float
    jobs: int
    clear: bool


@dataclass(frozen=True)
class PhaseVariance:
    """Cost against plan of one phase over its jobs, split by cause; money, minus is under plan.

    A part is None where the records do not say it.
    """

    phase: str
    total: float
    labour: LabourVariance | None
    goods: GoodsVariance | None
    parts: Mapping[str, float]


@dataclass(frozen=True)
class Causes:
    """Why: the bridge from quote to actual, phases split, surprises met, what goes with overrun.

    ``looked_at`` is how many candidate causes were judged, over ``judged`` jobs.
    """

    bridge: tuple[Step, ...] = ()
    phases: tuple[PhaseVariance, ...] = ()
    surprises: tuple[Surprise, ...] = ()
    causes: tuple[Cause, ...] = ()
    looked_at: int = 0
    judged: int = 0

    @property
    def clear(self) -> tuple[Cause, ...]:
        """Those that survive."""
        return tuple(c for c in self.causes if c.clear)


def causes_of(
    history: History, cost: Sequence[Record], entries: Iterable[Entry], lead: str
) -> Causes:
    """Why the records of a history came out as they did.

    Args:
        history: the firm's jobs.
        cost: the cost records that have a plan.
        entries: the rows behind the jobs, whose notes may name surprises.
        lead: the target whose overrun by job is looked into.
    """
    met = surprises(history.usable, entries)
    found, looked, judged = _causes(history, met, lead)
    by_phase = _by_phase(history, cost)
    bridge = _bridge(cost, by_phase)
    return Causes(bridge, by_phase, met, found, looked, judged)


def _by_phase(history: History, cost: Sequence[Record]) -> tuple[PhaseVariance, ...]:
    jobs = {j.key: j for j in history.usable}
    sums: dict[str, dict[str, float]] = {}
    total: dict[str, float] = {}
    index = PriceIndex.of(history.firm.price_index, history.firm.price_index_share)
    for r in cost:
        job = jobs[r.job]
        phase = job.phase(r.phase)
        if phase is None:
            continue
        total[r.phase] = total.get(r.phase, 0.0) + r.actual - r.planned
        into = sums.setdefault(r.phase, {})
        for key, amount in _parts(job, phase, index, history.firm.day_rate).items():
            into[key] = into.get(key, 0.0) + amount
    order = standard().phase_order
    return tuple(
        PhaseVariance(
            p,
            total[p],
            LabourVariance(s["rates"], s["days"]) if "rates" in s else None,
            GoodsVariance(s["price"], s["quantity"]) if "price" in s else None,
            {**s, "rest": total[p] - sum(s.values())},
        )
        for p, s in sorted(sums.items(), key=lambda item: (order.get(item[0], 99), item[0]))
    )


def _parts(
    job: Job, record: PhaseRecord, index: PriceIndex | None, day_rate: float | None
) -> dict[str, float]:
    """What the records of one phase say of the causes of its cost against plan, in money."""
    plan, actual = record.plan, record.actual
    found: dict[str, float] = {}
    extra_days = changes_of(job, record.phase, "person_days")
    if plan.labour and actual.labour and plan.person_days and actual.person_days:
        labour = labour_variance(
            actual.person_days,
            actual.labour / 100 / actual.person_days,
            plan.person_days + extra_days,
            plan.labour / 100 / plan.person_days,
        )
        found |= {"days": labour.efficiency, "rates": labour.rate}
    elif plan.labour is not None and actual.labour is not None:
        found["labour"] = (actual.labour - plan.labour) / 100
    elif plan.person_days and actual.person_days and day_rate:
        found["days"] = (actual.person_days - plan.person_days - extra_days) * day_rate
    if plan.material is not None and actual.material is not None:
        found |= _goods(job, plan.material / 100, actual.material / 100, index)
    if plan.sub is not None and actual.sub is not None:
        found["sub"] = (actual.sub - plan.sub) / 100
    for kind in OTHER_KINDS:
        before, after = getattr(plan, kind), getattr(actual, kind)
        if before is not None and after is not None:
            found["other"] = found.get("other", 0.0) + (after - before) / 100
    return found


def _goods(job: Job, planned: float, actual: float, index: PriceIndex | None) -> dict[str, float]:
    """Materials by price and quantity where a price index spans quote and work; else together."""
    if index is None or job.quoted_on is None or job.started is None:
        return {"material": actual - planned}
    level = index.factor(job.quoted_on, job.started)
    split = goods_variance(actual / level, level, planned, 1.0)
    return {"quantity": split.quantity, "price": split.price}


def _bridge(cost: Sequence[Record], phases: Sequence[PhaseVariance]) -> tuple[Step, ...]:
    """From what was quoted, over changes and causes, to what it came to; money, all records."""
    if not cost:
        return ()
    planned, changed = sum(r.planned for r in cost), sum(r.changed for r in cost)
    steps = [Step("quote", "quoted", planned - changed, True)]
    if changed:
        steps.append(Step("changes", "approved changes", changed))
        steps.append(Step("plan", "plan with changes", planned, True))
    for key, name in BRIDGE:
        amount = sum(p.parts.get(key, 0.0) for p in phases)
        if abs(amount) >= 0.5:
            steps.append(Step(key, name, amount))
    steps.append(Step("actual", "came to", sum(r.actual for r in cost), True))
    return tuple(steps)


def _causes(
    history: History, met: Sequence[Surprise], lead: str
) -> tuple[tuple[Cause, ...], int, int]:
    """What goes with overrun of whole jobs, clearest first; how many looked at; over how many."""
    pairs = [(j, r) for j in history.usable[-NEWEST:] if (r := overrun_of_job(j, lead))]
    if not pairs:
        return (), 0, 0
    jobs = [j for j, _ in pairs]
    columns = _candidates(jobs, met)
    table = np.array([columns[name] for name in columns], dtype=float).T
    found = drivers([log(r) for _, r in pairs], table, list(columns))
    said = tuple(Cause(d.name, d.ratio, d.interval, d.adjusted, d.jobs, d.clear) for d in found)
    return said, len(found), len(jobs)


def overrun_of_job(job: Job, target: str) -> float | None:
    """Actual over plan of a whole job; from its phases that have both where totals are not said."""
    plan, actual = ms.planned(job, target), ms.observed(job, target)
    if plan is not None and actual is not None and plan > 0:
        return actual / plan
    both = records_of([job], target)
    planned = sum(r.planned for r in both)
    return sum(r.actual for r in both) / planned if planned > 0 else None


def _candidates(jobs: Sequence[Job], met: Sequence[Surprise]) -> dict[str, list[float]]:
    """Columns of everything looked at: scope, house, season, crew, client's changes, surprises."""
    columns: dict[str, list[float]] = {}
    for item in standard().items:
        columns[item.name] = [_has(j, item.key) for j in jobs]
    columns[f"each {AGE_STEP} years of house age"] = [
        (j.day.year - j.house_year) / AGE_STEP if j.day and j.house_year else nan for j in jobs
    ]
    for name, months in MONTHS.items():
        columns[name] = [
            nan if j.started is None else float(j.started.month in months) for j in jobs
        ]
    crews = [ms.crew_of(j) for j in jobs]
    columns["two or more people"] = [nan if c is None else float(c >= 1.5) for c in crews]
    columns["twice the floor area"] = [np.log2(j.area_sqft) if j.area_sqft else nan for j in jobs]
    columns["changes the client asked for"] = [float(bool(j.changes)) for j in jobs]
    columns["kitchen"] = [nan if j.kind is None else float(j.kind == "kitchen") for j in jobs]
    columns["laundry"] = [nan if j.kind is None else float(j.kind == "laundry") for j in jobs]
    for s in met:
        names = set(s.jobs)
        columns[f"surprise: {s.name}"] = [float(j.key in names) for j in jobs]
    return columns


def _has(job: Job, item: str) -> float:
    if not job.scope:
        return nan
    size = job.scope.get(item, 0.0)
    return nan if size is None else float(size > 0)

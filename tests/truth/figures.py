"""What a book holds of each job, figure by figure, in the units of the cases: dollars and hours."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from costlearn.assembly import twins
from costlearn.assembly.jobs import BEGUN
from costlearn.assembly.logs import read_logs
from costlearn.assembly.names import Pile, pile_up
from costlearn.assembly.trail import AS_STATED, Trail
from costlearn.firm import Firm
from costlearn.records import Amounts, CostEntry, Entry, History, HoursEntry, Job

NOT_SAID = (BEGUN, "nothing says it has begun")
"""How a state came about that nobody stated."""


@dataclass
class Held:
    """One job of a book: its figures by the names of the cases, and which of them a file states."""

    name: str
    key: str
    figures: dict[str, Any] = field(default_factory=dict)
    also: dict[str, list[Any]] = field(default_factory=dict)
    """Other figures that say the same thing: a price paid, quoted, or quoted with its changes."""
    rough: dict[str, tuple[float, float]] = field(default_factory=dict)
    stated: set[str] = field(default_factory=set)
    lines: list[float] = field(default_factory=list)
    """Its cost lines, one by one."""
    conflicts: tuple[str, ...] = ()
    """What the book says of records that disagree."""
    rows: set[tuple[str, int]] = field(default_factory=set)
    """Files and rows of its hours and cost lines."""


def held_by(history: History, entries: Iterable[Entry]) -> list[Held]:
    """All jobs of a book."""
    listed: Iterable[Entry] = list(entries)
    once = getattr(twins, "counted_once", None)
    if once is not None:
        listed = once(listed, history.twins)
    piles = {pile.key: pile for pile in pile_up(listed)[0]}
    return [_held(job, piles.get(job.key), history.firm) for job in history.jobs]


def _held(job: Job, pile: Pile | None, firm: Firm) -> Held:
    held = Held(job.name, job.key, conflicts=job.conflicts)
    how = {one.figure: one.how for one in job.origins}
    put = held.figures
    if how.get("state") not in NOT_SAID:
        put["finished"] = job.state == "finished"
    put["kind"] = job.kind
    put["area"] = job.area_sqft
    put["cost"] = _dollars(job.actual.cost)
    put["price"] = _dollars(job.paid if job.paid is not None else job.price)
    held.also["price"] = [_dollars(c) for c in (job.paid, job.price, job.agreed_price) if c]
    put["quote_price"] = _dollars(job.price)
    put["quote_cost"] = _dollars(job.plan.cost)
    for name in ("site_days", "crew", "person_days", "wait_days"):
        put[name] = getattr(job.actual, name)
    put["start"] = job.started and job.started.isoformat()
    put["finish"] = job.finished and job.finished.isoformat()
    approved = [c for c in job.changes if c.state == "approved"]
    put["changes"] = _dollars(job.changed_price) if approved else None
    for name, span in job.rough.items():
        short = name.removeprefix("actual.").replace("plan.cost", "quote_cost")
        scale = 100 if short in {"cost", "price", "quote_cost", "paid"} else 1
        held.rough[short] = (span.low / scale, span.high / scale)
    for ours, theirs in _STATED.items():
        if how.get(theirs, "").startswith(AS_STATED):
            held.stated.add(ours)
    hours = list(pile.hours) if pile else []
    costs = _counting(pile, firm) if pile else []
    held.rows = {(one.place.file, one.place.row) for one in (*hours, *costs)}
    if hours:
        put["hours"] = sum(one.hours for one in hours)
    elif job.actual.person_days is not None:
        held.also["hours"] = [job.actual.person_days * firm.hours_per_day]
    if costs:
        held.lines = [_amount(one, firm) for one in costs]
        put["receipts"] = round(sum(held.lines), 2)
    for record in job.phases:
        lines = [one for one in costs if one.phase == record.phase]
        logged = [one for one in hours if one.phase == record.phase]
        done = record.percent_complete
        put.update(_phase(record.phase, record.plan, record.actual, lines, logged, firm))
        put[f"{record.phase}.percent_done"] = None if done is None else 100 * done
    held.figures = {name: value for name, value in put.items() if value is not None}
    return held


_STATED = {
    "area": "area_sqft",
    "cost": "actual.cost",
    "price": "paid",
    "quote_price": "price",
    "quote_cost": "plan.cost",
    "site_days": "actual.site_days",
    "person_days": "actual.person_days",
    "start": "started",
    "finish": "finished",
}
"""Figures a file itself may state, and what the book calls them."""


def _phase(
    key: str,
    plan: Amounts,
    actual: Amounts,
    lines: list[CostEntry],
    logged: list[HoursEntry],
    firm: Firm,
) -> dict[str, Any]:
    """A phase; its cost is what its bills come to where nothing else says it."""
    day = firm.hours_per_day
    cost = _dollars(actual.cost)
    hours = sum(one.hours for one in logged) if logged else None
    if hours is None and actual.person_days is not None:
        hours = actual.person_days * day
    return {
        f"{key}.hours": hours,
        f"{key}.person_days": actual.person_days,
        f"{key}.days": actual.site_days,
        f"{key}.cost": sum(_amount(one, firm) for one in lines) or None if cost is None else cost,
        f"{key}.plan_hours": None if plan.person_days is None else plan.person_days * day,
        f"{key}.plan_days": plan.site_days,
        f"{key}.plan_cost": _dollars(plan.cost),
        f"{key}.sub": True if actual.sub or plan.sub else None,
    }


def _counting(pile: Pile, firm: Firm) -> list[CostEntry]:
    """The cost lines that count for a job."""
    return [
        line
        for line in pile.costs
        if read_logs([], [line], firm, Trail(firm.currency), {}).costs.cents
    ]


def _amount(line: CostEntry, firm: Firm) -> float:
    """What a line counts for, in dollars of the firm."""
    return sum(read_logs([], [line], firm, Trail(firm.currency), {}).costs.cents.values()) / 100


def _dollars(cents: int | None) -> float | None:
    return None if cents is None else cents / 100

"""What a quote leaves out or plans oddly: scope perhaps forgotten, phases outside their range."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from costlearn.features import forgotten as fg
from costlearn.features.likeness import items_of
from costlearn.models.distribution import Interval
from costlearn.models.signal import false_discoveries
from costlearn.questions.answer import Table
from costlearn.questions.byphase import FittedPhase, phase_models, phase_total
from costlearn.questions.learning import Prediction
from costlearn.questions.wording import say, say_list, say_range
from costlearn.records import History, Job
from costlearn.vocabulary import standard


@dataclass(frozen=True)
class PhasePlan:
    """A planned phase further out than luck explains: 80 % interval where it occurs, middle."""

    phase: str
    name: str
    target: str
    planned: float
    interval: Interval
    median: float


@dataclass(frozen=True)
class ForgottenItem:
    """An item the quote may have forgotten, and who says so."""

    item: str
    name: str
    why: str
    trade_knowledge: bool
    weighty: bool = True
    """True if the quote should not go out before this is settled."""


FALSE_ALARMS = 0.1
"""Share of false alarms among the phases pointed out, over all phases looked at."""
SELDOM, SUPPORT = 0.2, 4
"""A trade rule gives way where so few of at least so many own jobs followed it."""


def phase_plans(
    history: History, job: Job, found: Mapping[str, Prediction]
) -> tuple[PhasePlan, ...]:
    """Planned phases further from their history than luck explains, furthest out first.

    At 80 % one phase in five would be pointed out in any sound quote; so the chances of all planned
    phases are corrected for having looked at all of them (Benjamini-Hochberg).
    """
    looked: list[tuple[FittedPhase, str, float, float]] = []
    for target in ("cost", "person_days"):
        models = phase_models(history, job, target) if target in found else None
        for fit in models.fitted if models else ():
            record = job.phase(fit.phase)
            planned = phase_total(record.plan, target) if record else None
            if planned is not None:
                under = fit.spread.cdf(planned)
                looked.append((fit, target, planned, 2 * min(under, 1 - under)))
    if not looked:
        return ()
    odd = false_discoveries([chance for *_, chance in looked], FALSE_ALARMS).rejected
    words = standard()
    plans = [
        PhasePlan(
            fit.phase,
            words.phase_name(fit.phase),
            target,
            planned,
            fit.spread.interval(0.8),
            fit.spread.median,
        )
        for (fit, target, planned, _), far in zip(looked, odd, strict=True)
        if far
    ]
    return tuple(sorted(plans, key=lambda p: -_far(p)))


def _far(plan: PhasePlan) -> float:
    return max(plan.planned / plan.interval.high, plan.interval.low / plan.planned)


def forgotten_items(jobs: Sequence[Job], job: Job) -> tuple[ForgottenItem, ...]:
    """Items the trade calls for, and items that finished jobs of like scope nearly always had.

    A trade rule that the firm's own jobs seldom followed is left out, unless it keeps water out.
    """
    words = standard()
    said: dict[str, ForgottenItem] = {}
    for m in fg.trade(job):
        item = words.item(m.item)
        had = [bool({m.item, *m.instead} & items_of(j)) for j in jobs if j.scope.get(m.because)]
        wet = any(words.item(k).role == "wet" for k in (m.item, *m.instead))
        if not wet and len(had) >= SUPPORT and sum(had) < SELDOM * len(had):
            continue
        others = say_list([words.item(i).name for i in (m.item, *m.instead)], "or")
        why = f"{words.item(m.because).name} needs {others} (common practice, no source)"
        said[m.item] = ForgottenItem(m.item, item.name, why, True, wet)
    for m in fg.learned(jobs, job):
        which = f"of kind {job.kind}"
        if m.because:
            which = f"{'without' if m.lacking else 'with'} {words.item(m.because).name}"
        if not m.because and not job.kind:
            which = "on file"
        why = f"{m.had} of {m.of} finished jobs {which} had it"
        if m.item in said:
            why = f"{said[m.item].why}; {why}"
        said[m.item] = ForgottenItem(m.item, words.item(m.item).name, why, m.item in said)
    return tuple(said.values())


def phase_table(plans: Sequence[PhasePlan], currency: str) -> Table | None:
    """Planned phases outside their range, as they are to be read; None if there are none."""
    if not plans:
        return None
    rows = tuple(
        (
            p.name,
            say(p.planned, p.target, currency),
            say_range(p.interval, p.target, currency),
            "under its range" if p.planned < p.interval.low else "over its range",
        )
        for p in plans
    )
    return Table(
        "Phases planned further out than luck explains",
        ("phase", "planned", "8 in 10 such jobs", "the plan is"),
        rows,
        "Corrected for having looked at every phase; of ten shown, one may be a false alarm.",
    )


def forgotten_table(items: Sequence[ForgottenItem]) -> Table | None:
    """Items perhaps forgotten, as they are to be read; None if there are none."""
    if not items:
        return None
    rows = tuple((f.name, f.why) for f in items)
    return Table(
        "Perhaps forgotten",
        ("item", "why it is asked"),
        rows,
        "If it is left out on purpose, write it into the scope as 'no'.",
    )

"""What a quote leaves out or plans oddly: scope perhaps forgotten, phases outside their range."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

from costlearn.features import forgotten as fg
from costlearn.models.distribution import Interval
from costlearn.questions.answer import Table
from costlearn.questions.byphase import phase_total, split
from costlearn.questions.learning import Prediction
from costlearn.questions.wording import say, say_list, say_range
from costlearn.records import History, Job
from costlearn.vocabulary import standard


@dataclass(frozen=True)
class PhasePlan:
    """A planned phase outside what history says of it where it occurs: 80 % interval, middle."""

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


def phase_plans(
    history: History, job: Job, found: Mapping[str, Prediction]
) -> tuple[PhasePlan, ...]:
    """Phases whose plan lies outside the 80 % interval of that phase, furthest out first."""
    odd = []
    for target in ("cost", "person_days"):
        if target not in found:
            continue
        for share in split(history, job, target, found[target].spread):
            record = job.phase(share.phase)
            planned = phase_total(record.plan, target) if record else None
            if planned is not None and not share.alone.holds(planned):
                middle = sqrt(share.alone.low * share.alone.high)
                odd.append(PhasePlan(share.phase, share.name, target, planned, share.alone, middle))
    return tuple(sorted(odd, key=lambda p: -_far(p)))


def _far(plan: PhasePlan) -> float:
    return max(plan.planned / plan.interval.high, plan.interval.low / plan.planned)


def forgotten_items(jobs: Sequence[Job], job: Job) -> tuple[ForgottenItem, ...]:
    """Items the trade calls for, and items that finished jobs of like scope nearly always had."""
    words = standard()
    said: dict[str, ForgottenItem] = {}
    for m in fg.trade(job):
        others = say_list([words.item(i).name for i in (m.item, *m.instead)], "or")
        why = f"{words.item(m.because).name} needs {others} (common practice, no source)"
        said[m.item] = ForgottenItem(m.item, words.item(m.item).name, why, True)
    for m in fg.learned(jobs, job):
        which = f"with {words.item(m.because).name}" if m.because else f"of kind {job.kind}"
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
        "Phases planned outside their range",
        ("phase", "planned", "8 in 10 such jobs", "the plan is"),
        rows,
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

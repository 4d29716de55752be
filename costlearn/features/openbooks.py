"""Books likely still open: spend that stays below the plan all over, or stops before the end.

A finished job whose last bills are not in looks cheap. That shows in many jobs at once (nearly
every record of one sort below its plan), in one job (each phase at one share of its plan), or in
the dates of its bills.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import timedelta
from statistics import median

from costlearn.assembly.names import pile_up
from costlearn.features.attention import SHOWN, Attention, places_of
from costlearn.records import CostEntry, Entry, History, Job, PhaseRecord
from costlearn.units import say_percent
from costlearn.vocabulary import Vocabulary, standard

MANY = 12
"""Records from which "nearly all below plan" is no luck: 11 of 12 heads happen once in 315 trials
(binomial, computed)."""
NEARLY_ALL = 0.9
BELOW = 0.99
ONE_SHARE = 0.005
FEW_PHASES = 3
SILENT = timedelta(days=14)
"""A gap between the last bill and the finish beyond which the last bills may be missing (trade
judgement, no source)."""
CLEARLY_BELOW = 0.95


def likely_open(
    history: History, entries: Iterable[Entry] = (), vocabulary: Vocabulary | None = None
) -> tuple[Attention, ...]:
    """Finished jobs, one by one or as a sort of record, whose last bills seem not to be in.

    Jobs whose books are said to be closed, or open, are not doubted.
    """
    jobs = [j for j in history.jobs if j.state == "finished" and j.books_closed is None]
    words = (vocabulary or standard()).with_phases(history.firm.phase_words)
    found = list(_all_below(jobs, words))
    found += [told for job in jobs if (told := _one_share(job)) is not None]
    found += _no_last_bills(jobs, [e for e in entries if isinstance(e, CostEntry)])
    return tuple(found)


def _all_below(jobs: Sequence[Job], words: Vocabulary) -> list[Attention]:
    """Sorts of record nearly all of which stay below their plan."""
    shares: dict[str, list[tuple[float, Job]]] = defaultdict(list)
    for job in jobs:
        if job.plan.total and job.actual.total:
            plan = job.plan.total + job.changed_cost
            shares["whole jobs"].append((job.actual.total / max(plan, 1), job))
        for phase in job.phases:
            ratio = _ratio(phase)
            if ratio is not None and phase.books_closed is None:
                shares[f"phase '{words.phase_name(phase.phase)}'"].append((ratio, job))
    found = []
    for sort, pairs in shares.items():
        under = [r for r, _ in pairs if r < BELOW]
        if len(pairs) >= MANY and len(under) >= NEARLY_ALL * len(pairs):
            text = (
                f"{len(under)} of {len(pairs)} records of {sort} cost less than planned, "
                f"{say_percent(1 - median(under))} less in the middle: generous plans, or books "
                "still open? If bills are still to come, say so (books closed: no)."
            )
            places = [p for _, j in pairs[:SHOWN] for p in places_of(j, "actual.cost")[:1]]
            found.append(Attention("", "bills to come", text, tuple(places)))
    return found


def _ratio(phase: PhaseRecord) -> float | None:
    plan, actual = phase.plan.total, phase.actual.total
    return actual / plan if plan and actual and plan > 0 and actual > 0 else None


def _one_share(job: Job) -> Attention | None:
    """A job whose phases all stand at the same share of their plans: a part may be held back."""
    ratios = [r for p in job.phases if (r := _ratio(p)) is not None]
    if len(ratios) < FEW_PHASES or max(ratios) >= BELOW or max(ratios) - min(ratios) > ONE_SHARE:
        return None
    text = (
        f"Each of its {len(ratios)} phases stands at {say_percent(median(ratios))} of its plan: is "
        "a share held back, and still to be billed?"
    )
    return Attention(job.name, "bills to come", text, places_of(job, "actual.cost")[:1])


def _no_last_bills(jobs: Sequence[Job], lines: Sequence[CostEntry]) -> list[Attention]:
    """Jobs below plan whose bills stop well before the finish."""
    if not lines:
        return []
    below = {
        j.key: j
        for j in jobs
        if j.finished and j.plan.total and j.actual.total
        and j.actual.total < CLEARLY_BELOW * (j.plan.total + j.changed_cost)
    }  # fmt: skip
    found = []
    for pile in pile_up(lines)[0]:
        job = below.get(pile.key)
        days = [c.day for c in pile.costs if c.day]
        if job is None or job.finished is None or len(days) < FEW_PHASES:
            continue
        gap = job.finished - max(days)
        if gap > SILENT:
            text = (
                f"Its last bill is of {max(days)}, {gap.days} days before its end, and it cost "
                "less than planned: are bills still to come?"
            )
            last = max((c for c in pile.costs if c.day), key=lambda c: c.day or max(days))
            found.append(Attention(job.name, "bills to come", text, (last.place,)))
    return found

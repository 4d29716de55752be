"""Actual figures that are the plan's own, written down again: they teach nothing of the work."""

from __future__ import annotations

from costlearn.records import COST_KINDS, Amounts, Job

FEWEST = 3
"""Phases with plan and actual cost from which a job can be said to be copied."""
NEARLY_ALL = 0.8
BOUGHT = tuple(kind for kind in COST_KINDS if kind not in ("labour", "material"))
"""Kinds of cost that may well come out at a fixed price."""


def is_copied(plan: Amounts, actual: Amounts) -> bool:
    """Whether a phase cost exactly its plan, and is no bought work at a fixed price."""
    bought = sum(getattr(actual, kind) or 0 for kind in BOUGHT)
    return bool(plan.total) and plan.total == actual.total != bought


def copied_by_phase(job: Job) -> bool:
    """Whether nearly all phases of a job cost exactly their plan, to the cent.

    One phase on plan is luck or a fixed price, and stays; so does a job with fewer than three.
    """
    both = [p for p in job.phases if p.plan.total and p.actual.total]
    same = sum(is_copied(p.plan, p.actual) for p in both)
    return len(both) >= FEWEST and same >= NEARLY_ALL * len(both)

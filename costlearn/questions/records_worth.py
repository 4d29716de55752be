"""What each thing a firm writes down is worth, tried on its own history by leaving it out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from costlearn.features import measures as ms
from costlearn.models.distribution import Floats
from costlearn.models.regression import PriorRegression
from costlearn.questions.answer import Table
from costlearn.questions.learning import index_of, known_totals, latest, terms_of
from costlearn.records import History, Job
from costlearn.units import say_percent

MIN_JOBS = 8
MATTERS = 0.02
"""A field whose absence costs less than this many log points of density a job tells little."""
SURE_JOBS, SURE_ERRORS = 12, 2.4
"""From so many jobs on, a gain of so many standard errors is told: two-sided 5 % over the seven
fields looked at (Bonferroni), since the best of seven useless fields always looks useful."""


@dataclass(frozen=True)
class Field:
    """A thing to write down about a job: which columns it gives, and if a job says it."""

    name: str
    columns: Callable[[ms.Column], bool]
    said: Callable[[Job], bool]


@dataclass(frozen=True)
class FieldWorth:
    """What one field is worth.

    ``gain``: how much better (in log density a job, by leave-one-out) the history is foretold with
    it than without; ``wider``: how much wider the spread gets without it; ``missing``: share of
    the ``jobs`` that do not say it; ``matters``: luck does not explain the gain; ``advice``: a
    sentence if this is the thing to write down.
    """

    name: str
    gain: float
    wider: float
    missing: float
    jobs: int
    matters: bool
    advice: str = ""


FIELDS = (
    Field("floor area", lambda c: c.name == "log area", lambda j: bool(j.area_sqft)),
    Field("wall tile area", lambda c: c.name == "wall tile", lambda j: bool(j.scope)),
    Field("crew size", lambda c: c.name == "crew", lambda j: ms.crew_of(j) is not None),
    Field("finish grade", lambda c: c.name == "grade", lambda j: j.grade is not None),
    Field("year of the house", lambda c: c.name == "old house", lambda j: bool(j.house_year)),
    Field(
        "scope items",
        lambda c: bool(c.item) and c.name != "wall tile",
        lambda j: bool(j.scope),
    ),
    Field(
        "dates",
        lambda c: c.name == "years" or c.name.startswith("since "),
        lambda j: j.day is not None,
    ),
)


def worth_of_fields(history: History, target: str) -> tuple[FieldWorth, ...]:
    """What each field is worth for a target, most first; empty with fewer than eight jobs.

    A field that no job or every job says the same cannot be tried and is left out.
    """
    now = latest(history.usable)
    jobs, totals = known_totals(history, target, now)
    if len(jobs) < MIN_JOBS:
        return ()
    drift = 0.0 if target == "cost" and index_of(history) else None
    measured = ms.measure(jobs, target=target, drift=drift)
    values = measured.frame.to_numpy()
    full = PriorRegression(terms_of(measured.columns)).fit(values, totals).loo_
    found = []
    for field in FIELDS:
        kept = np.array([not field.columns(c) for c in measured.columns], dtype=bool)
        if kept.all():
            continue
        left = tuple(c for c in measured.columns if not field.columns(c))
        without = PriorRegression(terms_of(left)).fit(values[:, kept], totals).loo_
        better = full.densities - without.densities
        gain = float(better.mean())
        missing = float(np.mean([not field.said(j) for j in jobs]))
        found.append(
            FieldWorth(
                field.name,
                gain,
                float(np.median(without.scale) / np.median(full.scale)) - 1,
                missing,
                len(jobs),
                _tells(better),
            )
        )
    return _advised(sorted(found, key=lambda f: -f.gain), len(jobs))


def field_table(fields: Sequence[FieldWorth]) -> Table:
    """What each field is worth, as it is to be read."""
    rows = tuple(
        (
            f.name,
            "range "
            + (
                f"{say_percent(f.wider, signed=True)} without it"
                if f.matters
                else "no difference that can be told from luck"
            ),
            say_percent(1 - f.missing),
        )
        for f in fields
    )
    return Table(
        "What each thing you write down is worth",
        ("", "tried by leaving it out", "jobs that say it"),
        rows,
    )


def _tells(better: Floats) -> bool:
    """True if leaving the field out makes a difference that luck does not explain."""
    count = len(better)
    error = float(np.std(better, ddof=1)) / np.sqrt(count)
    gain = float(better.mean())
    return count >= SURE_JOBS and gain > MATTERS and gain > SURE_ERRORS * error


def _advised(fields: Sequence[FieldWorth], jobs: int) -> tuple[FieldWorth, ...]:
    """Put the advice with the field whose missing values cost most; else with the best one."""
    helps = [f for f in fields if f.matters]
    if not helps:
        return tuple(fields)
    gap = max(helps, key=lambda f: f.gain * f.missing)
    if gap.gain * gap.missing > MATTERS:
        lacking = round(gap.missing * jobs)
        advice = (
            f"What would help most: write down the {gap.name} of each job ({lacking} of {jobs} "
            "do not say it)."
        )
        chosen = gap
    else:
        chosen = helps[0]
        it = "them" if chosen.name.endswith("s") else "it"
        verb = "are" if it == "them" else "is"
        advice = (
            f"What carries the estimates most {verb} the {chosen.name}: keep writing {it} down."
        )
    return tuple(replace(f, advice=advice) if f is chosen else f for f in fields)

"""Two versions of one job: what differs between them, measured in the same columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from costlearn.features.likeness import FEW
from costlearn.features.measures import Column, measure
from costlearn.records import Amounts, Job

Floats = NDArray[np.float64]

SHARED = ("kind", "area_sqft", "grade", "house_year", "condo")
"""What holds for both versions if only one of them says it."""
PLAIN = {
    "kind": "kind of job",
    "area_sqft": "floor area",
    "grade": "finish grade",
    "house_year": "year of the house",
    "condo": "condo",
    "crew": "crew size",
}
COLUMNS_OF = {
    "kind": ("kitchen", "laundry"),
    "area_sqft": ("log area",),
    "grade": ("grade",),
    "house_year": ("old house",),
    "condo": ("condo",),
    "crew": ("crew",),
}
"""The columns through which what is said of a job reaches the models."""


@dataclass(frozen=True)
class Pair:
    """Two versions measured alike: ``frame`` has a row a job, ``first`` and ``second`` one each."""

    columns: tuple[Column, ...]
    frame: pd.DataFrame
    first: Floats
    second: Floats

    @property
    def steps(self) -> dict[str, float]:
        """By how much each column differs, second less first; those that do not are left out."""
        gaps = np.nan_to_num(self.second - self.first)
        return {c.name: float(g) for c, g in zip(self.columns, gaps, strict=True) if g}


@dataclass(frozen=True)
class Change:
    """One thing in which two versions differ.

    ``key`` is a scope item or one of :data:`PLAIN`; ``how`` is "added", "left out", "size" (of an
    item that both have) or "changed"; ``before`` and ``after`` are the sizes, if it has any.
    """

    key: str
    how: str
    before: float | None = None
    after: float | None = None


@dataclass(frozen=True)
class Support:
    """How much past jobs can tell of a change.

    ``having`` and ``lacking`` count the jobs like the version that has more of it and like the one
    that has less; ``weighed`` is False where no column tells the two versions apart; ``twins`` are
    unchanged items that always came together with it.
    """

    having: int
    lacking: int
    weighed: bool = True
    twins: tuple[str, ...] = ()

    @property
    def told(self) -> bool:
        """True if some jobs stand on both sides and nothing always came along."""
        return self.weighed and not self.twins and min(self.having, self.lacking) >= FEW


def alike(first: Job, second: Job) -> tuple[Job, Job, tuple[str, ...]]:
    """Both versions, what only one of them says of the job said of both; and what that was.

    Plans, prices and phases play no part. The date of the first holds for both.
    """
    told: list[str] = []
    pair = [first, second]
    for name in SHARED:
        said = [getattr(j, name) for j in (first, second)]
        if (said[0] is None) != (said[1] is None):
            one = said[0] if said[1] is None else said[1]
            pair = [replace(j, **{name: one}) for j in pair]
            told.append(PLAIN[name])
    crews = [j.plan.crew for j in (first, second)]
    if (crews[0] is None) != (crews[1] is None):
        crews = [crews[0] or crews[1]] * 2
        told.append(PLAIN["crew"])
    scopes = [dict(j.scope) for j in pair]
    if bool(scopes[0]) != bool(scopes[1]):
        scopes = [scopes[0] or scopes[1]] * 2
        told.append("scope")
    for key in dict.fromkeys(k for scope in scopes for k, v in scope.items() if v is None):
        said = [scope.get(key, 0.0) for scope in scopes]
        known = next((v for v in said if v is not None), None)
        scopes = [{**scope, key: known} for scope in scopes]
    day = first.day or second.day
    one, other = (
        replace(j, plan=Amounts(crew=crew), scope=scope, quoted_on=day, started=None, finished=None)
        for j, crew, scope in zip(pair, crews, scopes, strict=True)
    )
    return one, other, tuple(told)


def changes(first: Job, second: Job) -> tuple[Change, ...]:
    """In what two versions differ: items first, in the order they are written, then the rest."""
    found = []
    for key in dict.fromkeys([*second.scope, *first.scope]):
        before, after = first.scope.get(key) or 0.0, second.scope.get(key) or 0.0
        if before != after:
            how = "size" if before and after else ("added" if after else "left out")
            found.append(Change(key, how, before, after))
    apart = [n for n in SHARED if getattr(first, n) != getattr(second, n)]
    found += [Change(name, "changed") for name in apart]
    if first.plan.crew != second.plan.crew:
        found.append(Change("crew", "changed", first.plan.crew, second.plan.crew))
    return tuple(found)


def measure_pair(
    jobs: Sequence[Job], first: Job, second: Job, target: str, drift: float | None = None
) -> Pair:
    """Measure jobs and two versions of a new one in columns that hold for all of them.

    A column no past job speaks of stands at the middle of both versions for the past jobs, so that
    it tells the versions apart and moves neither.
    """
    undated = replace(first, quoted_on=None, started=None, finished=None)
    measured = measure([*jobs, undated], second, target=target, drift=drift)
    frame, one = measured.frame.iloc[:-1].copy(), measured.frame.iloc[-1].to_numpy(float, copy=True)
    other = np.asarray(measured.row, dtype=float)
    for place, column in enumerate(measured.columns):
        if column.role == "drift" or column.name.startswith("since "):
            one[place] = other[place]
        if bool(frame[column.name].isna().all()):
            frame[column.name] = float(np.mean([one[place], other[place]]))
    return Pair(measured.columns, frame, one, other)


def support(pair: Pair, change: Change) -> Support:
    """How much the jobs of a pair can tell of one of its changes."""
    named = COLUMNS_OF.get(change.key, ())
    steps = pair.steps
    moved = [
        c.name
        for c in pair.columns
        if c.name in steps and (c.name in named or (not named and _speaks_of(c, change.key)))
    ]
    if not moved:
        return Support(0, 0, weighed=False)
    sides = [_sides(pair, name) for name in moved]
    having, lacking = min(sides, key=min)
    return Support(having, lacking, twins=_twins(pair, moved[0]))


def _speaks_of(column: Column, key: str) -> bool:
    """True if a column counts an item; drains and pipes share one column."""
    return column.item == key or (column.name == "moved" and key == "repipe")


def _sides(pair: Pair, name: str) -> tuple[int, int]:
    """Jobs nearer the version with more of a column, and nearer the one with less.

    A column of many values is a line through all jobs: each of them tells something of it.
    """
    place = next(i for i, c in enumerate(pair.columns) if c.name == name)
    said = pair.frame[name].dropna().to_numpy(dtype=float)
    if _many_valued(pair, name):
        return len(said), len(said)
    middle = (pair.first[place] + pair.second[place]) / 2
    return int((said > middle).sum()), int((said < middle).sum())


def _many_valued(pair: Pair, name: str) -> bool:
    return name != "grade" and int(pair.frame[name].nunique()) >= FEW


def _twins(pair: Pair, name: str) -> tuple[str, ...]:
    """Unchanged items that the very same jobs had, where nothing but having it counts."""
    steps = pair.steps
    marks = pair.frame[name].fillna(-1.0) > 0
    if _many_valued(pair, name) or not marks.any() or marks.all():
        return ()
    return tuple(
        c.item
        for c in pair.columns
        if c.item and c.name not in steps and ((pair.frame[c.name].fillna(-1.0) > 0) == marks).all()
    )

"""Which finished jobs are most like a new one, how they differ, and what lies outside them all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np
import pandas as pd

from costlearn.features.measures import Measures
from costlearn.records import Job
from costlearn.vocabulary import Vocabulary, standard

FEW = 3
"""An item seen in fewer jobs than this is said to be seldom seen."""
NEAR_FACTOR = 1.6
"""A floor with no past floor within this factor lies outside, even between two of them."""


@dataclass(frozen=True)
class Alike:
    """A finished job near a new one: its distance, and the items one has and the other has not.

    Where either says nothing of its scope, nothing is known to be more or less.
    """

    job: Job
    distance: float
    has_more: tuple[str, ...]
    has_less: tuple[str, ...]


@dataclass(frozen=True)
class Reach:
    """What of a new job the history does not reach.

    ``never`` and ``seldom`` are item keys with the number of jobs that had them, among the
    ``scoped`` jobs that say their scope. ``area`` is "above" or "below" the range of past areas,
    "between" where no past area lies within a factor of 1.6, or "" for inside; ``nearest_area`` is
    the past area next to it.
    """

    never: tuple[str, ...]
    seldom: tuple[tuple[str, int], ...]
    area: str
    area_range: tuple[float, float] | None
    nearest_area: float | None
    kind_unseen: bool
    scoped: int


def nearest(measures: Measures, jobs: Sequence[Job], new: Job, count: int = 5) -> tuple[Alike, ...]:
    """The finished jobs most like a new one, nearest first.

    Distance is taken over the columns in their practical units, the size column counted three
    times (a job half the size is a different job), dates left out; what is not said is no
    difference.
    """
    if measures.row is None or not jobs:
        return ()
    names = [
        c.name for c in measures.columns if c.name != "years" and not c.name.startswith("since ")
    ]
    weight = pd.Series({c.name: 3.0 if c.role == "size" else 1.0 for c in measures.columns})
    gap = (measures.only([j.key for j in jobs])[names] - measures.row[names]) * weight[names]
    distance = np.sqrt(gap.pow(2).sum(axis=1).to_numpy())
    order = np.argsort(distance, kind="stable")[:count]
    return tuple(
        Alike(
            jobs[i],
            float(distance[i]),
            _more(jobs[i], new),
            _more(new, jobs[i]),
        )
        for i in order
    )


def items_of(job: Job) -> set[str]:
    """Keys of the items a job is known to have."""
    return {k for k, v in job.scope.items() if v}


def _more(one: Job, other: Job) -> tuple[str, ...]:
    """The items one job has and the other has not; none where the other's scope is not said."""
    return tuple(sorted(items_of(one) - items_of(other))) if other.scope else ()


def reach(jobs: Sequence[Job], new: Job, vocabulary: Vocabulary | None = None) -> Reach:
    """What of a new job lies outside the history."""
    words = vocabulary or standard()
    scoped = [j for j in jobs if j.scope]
    wanted = [i.key for i in words.items if new.scope.get(i.key)]
    seen = {key: sum(bool(j.scope.get(key)) for j in scoped) for key in wanted}
    areas = sorted(j.area_sqft for j in jobs if j.area_sqft)
    near = _nearest_area(areas, new.area_sqft)
    kinds = {j.kind for j in jobs if j.kind}
    return Reach(
        tuple(k for k in wanted if seen[k] == 0) if scoped else (),
        tuple((k, seen[k]) for k in wanted if 0 < seen[k] < FEW),
        _side(areas, new.area_sqft, near),
        (areas[0], areas[-1]) if areas else None,
        near,
        bool(kinds) and new.kind is not None and new.kind not in kinds,
        len(scoped),
    )


def _nearest_area(areas: Sequence[float], area: float | None) -> float | None:
    return min(areas, key=lambda a: abs(log(a / area))) if areas and area else None


def _side(areas: Sequence[float], area: float | None, near: float | None) -> str:
    """On which side of the past areas a floor lies; one giant on file makes no giant usual."""
    if area is None or near is None:
        return ""
    if area > areas[-1]:
        return "above"
    if area < areas[0]:
        return "below"
    return "between" if abs(log(area / near)) > log(NEAR_FACTOR) else ""

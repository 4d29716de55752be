"""Slips of a unit: an area in square metres, an amount in cents, hours in a column of days.

A slip shows as one figure far off the line the other jobs draw, and back on it once the factor is
taken out. The line and its spread are robust (Theil-Sen slope, Journal of the American Statistical
Association 63 (1968) 1379-1389; median absolute deviation), so that a slip cannot hide itself.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from costlearn.features.attention import Attention, places_of
from costlearn.records import History, Job
from costlearn.units import SQFT_PER_SQM

FEWEST = 8
"""Jobs from which one can be said to be far off the others."""
FAR = 3.5
"""Modified z-score beyond which a value is far off (How to Detect and Handle Outliers, 1993; number
from memory)."""
BACK = 3.0
"""Robust spreads within which a corrected figure must lie on every line it has a part in."""
LEAST_SPREAD = 0.1
"""Log points: jobs never lie closer together than 10 %."""
MOST_PAIRS = 400

Floats = NDArray[np.float64]
Measure = Callable[[Job], float | None]

_MEASURES: dict[str, Measure] = {
    "cost": lambda j: j.actual.total / 100 if j.actual.total else None,
    "area": lambda j: j.area_sqft,
    "days": lambda j: j.actual.person_days,
}
_FIGURES = {"cost": "actual.cost", "area": "area_sqft", "days": "actual.person_days"}
_PAIRS = (("cost", "area"), ("days", "area"), ("cost", "days"))


@dataclass(frozen=True, slots=True)
class Slip:
    """A factor by which a figure may be wrong, and the question that goes with it."""

    measure: str
    factor: float
    asks: str


def slips(history: History) -> tuple[Attention, ...]:
    """Jobs of which one figure is off by the factor of a unit; the likeliest slip of each."""
    known = _slips_of(history.firm.hours_per_day)
    gaps: dict[str, list[_Gap]] = {}
    for high, low in _PAIRS:
        for group in _groups(history.jobs, high, low):
            for key, gap in _gaps(group, high, low).items():
                gaps.setdefault(key, []).append(gap)
    for measure in ("cost", "area"):
        for key, gap in _gaps_alone(history.jobs, measure).items():
            gaps.setdefault(key, []).append(gap)
    found = []
    for job in history.jobs:
        slip = _likeliest(gaps.get(job.key, ()), known)
        if slip is not None:
            found.append(_tell(job, slip, gaps[job.key]))
    return tuple(found)


def robust_z(values: Floats, least: float = LEAST_SPREAD) -> Floats:
    """How far values lie from their middle, in robust spreads; shape (n,)."""
    middle = float(np.median(values))
    return np.asarray((values - middle) / robust_spread(values, least))


def robust_spread(values: Floats, least: float = LEAST_SPREAD) -> float:
    """The spread of values by their median absolute deviation; a standard deviation if normal."""
    return max(1.4826 * float(np.median(np.abs(values - np.median(values)))), least)


def _slips_of(hours: float) -> tuple[Slip, ...]:
    return (
        Slip("cost", 100, "dollars and cents mixed up?"),
        Slip("cost", 1000, "written in thousands?"),
        Slip("area", SQFT_PER_SQM, "square feet and square metres mixed up?"),
        Slip("days", hours, "hours and days mixed up?"),
    )


def _groups(jobs: Sequence[Job], high: str, low: str) -> list[tuple[Job, ...]]:
    """Jobs that say both measures: of one kind where there are enough of it, else all together."""
    both = [j for j in jobs if _MEASURES[high](j) and _MEASURES[low](j)]
    kinds: dict[str | None, list[Job]] = {}
    for job in both:
        kinds.setdefault(job.kind, []).append(job)
    large = [tuple(k) for k in kinds.values() if len(k) >= FEWEST]
    if any(len(k) < FEWEST for k in kinds.values()) and len(both) >= FEWEST:
        large.append(tuple(both))
    return large


@dataclass(frozen=True, slots=True)
class _Gap:
    """How far a job lies off the line of two measures, in log points, and the jobs' spread."""

    high: str
    low: str
    gap: float
    spread: float
    slope: float

    def without(self, slip: Slip, way: float) -> float:
        """The gap in spreads once a slip is taken out; ``way`` 1 multiplies, -1 divides."""
        step = way * log(slip.factor)
        moved = step if slip.measure == self.high else 0.0
        moved -= self.slope * step if slip.measure == self.low else 0.0
        return (self.gap + moved) / self.spread


def _gaps(jobs: tuple[Job, ...], high: str, low: str) -> dict[str, _Gap]:
    """Each job's distance from the line its group draws, by job key."""
    y = np.log([_MEASURES[high](j) or 1.0 for j in jobs])
    x = np.log([_MEASURES[low](j) or 1.0 for j in jobs])
    slope = _slope(x, y)
    rest = y - slope * x
    middle = float(np.median(rest))
    spread = robust_spread(rest)
    return {
        job.key: _Gap(high, low, float(off) - middle, spread, slope)
        for job, off in zip(jobs, rest, strict=True)
    }


def _gaps_alone(jobs: Sequence[Job], measure: str) -> dict[str, _Gap]:
    """How far one figure of each job lies from the middle one of its kind."""
    found: dict[str, _Gap] = {}
    read = _MEASURES[measure]
    for kind in dict.fromkeys(j.kind for j in jobs):
        group = [j for j in jobs if j.kind == kind and read(j)]
        if len(group) >= FEWEST:
            values = np.log([read(j) or 1.0 for j in group])
            middle, spread = float(np.median(values)), robust_spread(values)
            for job, value in zip(group, values, strict=True):
                found[job.key] = _Gap(measure, "", float(value) - middle, spread, 0.0)
    return found


def _likeliest(gaps: Sequence[_Gap], known: Sequence[Slip]) -> Slip | None:
    """The slip that brings a job far off a line back to all its lines; None if none does.

    The factor of the slip found is what the figure was multiplied by in going wrong.
    """
    if not any(abs(g.gap) > FAR * g.spread for g in gaps):
        return None
    best: Slip | None = None
    least = sum((g.gap / g.spread) ** 2 for g in gaps) / 4
    for slip in known:
        for way in (1.0, -1.0):
            rest = [g.without(slip, way) for g in gaps]
            misfit = sum(r**2 for r in rest)
            if misfit < least and max(map(abs, rest)) <= BACK:
                best, least = replace(slip, factor=exp(-way * log(slip.factor))), misfit
    return best


def _slope(x: Floats, y: Floats) -> float:
    """The median slope over pairs of jobs, between 0 and 1.2; a third where x hardly varies."""
    step = max(1, len(x) // MOST_PAIRS)
    xs, ys = x[::step], y[::step]
    one, other = np.triu_indices(len(xs), k=1)
    apart = np.abs(xs[one] - xs[other]) > 0.05
    if apart.sum() < FEWEST:
        return 0.33
    ratio = (ys[one] - ys[other])[apart] / (xs[one] - xs[other])[apart]
    return float(np.clip(np.median(ratio), 0.0, 1.2))


def _tell(job: Job, slip: Slip, gaps: Sequence[_Gap]) -> Attention:
    words = {
        "cost": "direct cost looks",
        "area": "floor area looks",
        "days": "person-days look",
    }
    size = slip.factor if slip.factor > 1 else 1 / slip.factor
    way = "large" if slip.factor > 1 else "small"
    beside = {m for g in gaps for m in (g.high, g.low)} - {slip.measure, ""}
    others = " and ".join(words[m].rpartition(" ")[0] for m in _FIGURES if m in beside)
    against = f" beside its {others}" if others else ""
    text = (
        f"Its {words[slip.measure]} {size:.4g} times too {way}{against}, judging by other jobs: "
        f"{slip.asks}"
    )
    return Attention(job.name, "unit slip", text, places_of(job, _FIGURES[slip.measure])[:1])

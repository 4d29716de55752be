"""What each finished job left after direct cost, and for each day it took."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from costlearn.features import measures as ms
from costlearn.models.distribution import Interval
from costlearn.models.levels import Levels, pool_levels
from costlearn.questions.earning.level import PriceLevel
from costlearn.questions.onfile.job import price_of
from costlearn.records import Job
from costlearn.vocabulary import standard

SITE, OWN = "site", "own"
MEASURES = (SITE, OWN)
PLAIN = {SITE: "day on site", OWN: "day of your own"}
FEW = 3
"""A kind of fewer jobs than this is pooled with the others, but nothing is said of it."""
MIN_JOBS = 3
USUAL_SCATTER = 0.12
"""Scatter of what a day leaves from job to job, as a share of the price of a day, before any is
seen (trade judgement, no source); it counts for four jobs."""
MOST_WEIGHT = 4.0
"""No job weighs more than so many of middle length (judgement: its luck is one job's luck)."""
LARGE = 16
"""A kind of at least so many jobs is looked at by size too."""
PLURALS = {"bathroom": "bathrooms", "laundry": "laundries", "kitchen": "kitchens"}
NO_KIND = "jobs of no kind said"


@dataclass(frozen=True, slots=True)
class Taking:
    """One finished job: what it left, in money at one price level, and the days it took.

    ``left`` is price less direct cost; ``how`` says which price; ``days`` by measure, where known.
    """

    key: str
    name: str
    kind: str
    started: date | None
    day: date | None
    price: float
    left: float
    how: str
    area_sqft: float | None
    site_days: float | None
    own_days: float | None

    def days(self, measure: str) -> float | None:
        """Days on site, or of the owner's own."""
        return self.site_days if measure == SITE else self.own_days

    def a_day(self, measure: str) -> float | None:
        """What it left for each such day."""
        days = self.days(measure)
        return self.left / days if days else None


@dataclass(frozen=True, slots=True)
class DayEarning:
    """What a day on jobs of one kind leaves: money a day.

    ``interval`` (80 %), ``half`` (50 %) and ``middle`` are of the kind's mean, pooled with the
    other kinds; ``plain`` is the sum left over the sum of days; ``best`` the chance that no other
    kind earns more, ``covers`` that it carries a day's overhead (None where none is stated);
    ``keys`` name the jobs.
    """

    name: str
    measure: str
    jobs: int
    interval: Interval
    half: Interval
    middle: float
    plain: float
    best: float
    covers: float | None
    keys: tuple[str, ...]

    @property
    def told(self) -> bool:
        """True if the kind has jobs enough to speak of it."""
        return self.jobs >= FEW


@dataclass(frozen=True, slots=True)
class Pair:
    """The chance that a day on one kind of job leaves more than a day on another."""

    measure: str
    one: str
    other: str
    chance: float


@dataclass(frozen=True)
class Mix:
    """All kinds by one measure, the best paid first, and their pairs; jobs that say it."""

    measure: str
    kinds: tuple[DayEarning, ...]
    pairs: tuple[Pair, ...]
    jobs: int


def takings(jobs: Iterable[Job], level: PriceLevel, own: Mapping[str, float]) -> tuple[Taking, ...]:
    """What each job left, at one price level; jobs without price or direct cost are left out."""
    found = []
    for job in jobs:
        known, cost = price_of(job), ms.observed(job, "cost")
        if known is None or cost is None or known[0] <= 0:
            continue
        factor = level.of(job)
        found.append(
            Taking(
                job.key,
                job.name,
                kind_name(job.kind),
                job.started,
                job.finished or job.day,
                known[0] / 100 * factor,
                (known[0] / 100 - cost) * factor,
                known[1],
                job.area_sqft,
                job.actual.site_days or None,
                own.get(job.key),
            )
        )
    return tuple(found)


def kind_name(kind: str | None) -> str:
    """Jobs of a kind, in words."""
    if kind is None:
        return NO_KIND
    known = next((k.name for k in standard().job_kinds if k.key == kind), kind)
    return PLURALS.get(kind, f"{known} jobs")


def mix_of(
    found: Sequence[Taking],
    measure: str,
    overhead: float | None,
    by: Mapping[str, str] | None = None,
) -> Mix | None:
    """What a day leaves by kind of job; None with fewer than three jobs that say it.

    Args:
        found: the jobs.
        measure: days on site, or the owner's own.
        overhead: what a day must carry; None where the firm states none.
        by: job key to group, in place of the kind of job.

    Source: ``costlearn.models.levels``. Jobs weigh by their days, four times the middle at most:
    overhead is carried by days, and a job that runs over leaves less on each of more days, so that
    jobs counted alike would say more than the days bring in.
    """
    known = [t for t in found if t.a_day(measure) is not None and (by is None or t.key in by)]
    if len(known) < MIN_JOBS:
        return None
    of = {t.key: t.kind if by is None else by[t.key] for t in known}
    names = sorted(set(of.values()), key=lambda n: (-sum(g == n for g in of.values()), n))
    group = np.array([names.index(of[t.key]) for t in known])
    days = np.array([t.days(measure) for t in known], dtype=float)
    values = np.array([t.a_day(measure) for t in known], dtype=float)
    weight = np.minimum(days / np.median(days), MOST_WEIGHT)
    usual = USUAL_SCATTER * float(np.median([t.price for t in known] / days))
    pooled = pool_levels(values, group, usual, weight)
    kinds = []
    for k, name in enumerate(names):
        mine = group == k
        keys = tuple(t.key for t in known if of[t.key] == name)
        kinds.append(_earning(pooled, k, name, measure, values[mine], days[mine], overhead, keys))
    ranked = sorted(kinds, key=lambda e: (not e.told, -e.middle))
    pairs = tuple(
        Pair(measure, a.name, b.name, float(pooled.beats[names.index(a.name), names.index(b.name)]))
        for i, a in enumerate(ranked)
        for b in ranked[i + 1 :]
        if a.told and b.told
    )
    return Mix(measure, tuple(ranked), pairs, len(known))


def by_size(found: Sequence[Taking], say_size: Mapping[str, str]) -> dict[str, str]:
    """Job key to "kind up to so much" or "over" for kinds with many jobs of a known area.

    Args:
        found: the jobs.
        say_size: kind to its middle area in words, for the names.
    """
    middles = middle_areas(found)
    parted = {}
    for t in found:
        if t.area_sqft and t.kind in middles:
            side = "up to" if t.area_sqft <= middles[t.kind] else "over"
            parted[t.key] = f"{t.kind} {side} {say_size[t.kind]}"
    return parted


def middle_areas(found: Sequence[Taking]) -> dict[str, float]:
    """The middle floor area in square feet of each kind with many jobs."""
    areas: dict[str, list[float]] = {}
    for t in found:
        if t.area_sqft and t.site_days:
            areas.setdefault(t.kind, []).append(t.area_sqft)
    return {k: float(np.median(a)) for k, a in areas.items() if len(a) >= LARGE and k != NO_KIND}


def _earning(
    pooled: Levels,
    k: int,
    name: str,
    measure: str,
    values: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    days: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    overhead: float | None,
    keys: tuple[str, ...],
) -> DayEarning:
    return DayEarning(
        name,
        measure,
        len(values),
        pooled.interval(k),
        pooled.interval(k, 0.5),
        pooled.middle(k),
        float(values @ days / days.sum()),
        float(pooled.best[k]),
        None if overhead is None else pooled.chance_above(k, overhead),
        keys,
    )

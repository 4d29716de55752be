"""Five invented worlds of a small renovation firm, each with the true odds of every job in it.

All names and numbers are invented; the worlds compare estimators and say nothing about how exact
a real firm's prices are. Each history is one firm: its coefficients are drawn anew, so that no
estimator can be tuned to one of them. The worlds differ in *form*, not only in numbers:

* ``ledger``: costs add up, each line with its own skewed error, prices rise steadily;
* ``compound``: effects multiply, and the finish grade makes every square foot dearer;
* ``behind the wall``: what is found after opening is in no record, and tails are heavy;
* ``idle items``: only size counts, up to a kink; no item does anything; prices break once;
* ``fog``: nearly nothing on record says what the job will come to.

A firm sends two people to big jobs, as firms do, so crew and size are tied in every world.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray
from scipy import stats

Floats = NDArray[np.float64]

ITEMS = (
    "gut_demo",
    "floor_leveling",
    "bath_fan",
    "curbless",
    "freestanding_tub",
    "subfloor_repair",
    "wall_removal",
    "shower_glass",
)
ITEM_SHARES = (0.45, 0.3, 0.55, 0.2, 0.12, 0.35, 0.08, 0.25)
"""How often each of the eight yes/no items is in a job."""
JOBS_A_YEAR = 9.0
ORACLE_DRAWS = 4000


@dataclass(frozen=True)
class Drivers:
    """What the records say of n jobs; each array has shape (n,), items (n, 8); dates in years."""

    area: Floats
    wall: Floats
    moved: Floats
    lights: Floats
    items: Floats
    grade: Floats
    crew: Floats
    date: Floats


class Law(Protocol):
    """One firm's truth: how a job's cost is distributed given what the records say of it."""

    def draw(self, rng: Generator, jobs: Drivers, size: int) -> Floats:
        """Costs, shape (size, n)."""
        ...

    def quantiles(self, jobs: Drivers, chances: Sequence[float]) -> Floats:
        """True quantiles, shape (len(chances), n)."""
        ...


@dataclass(frozen=True)
class World:
    """A world: its form, how a firm in it is made, and how far off that firm's quotes are."""

    name: str
    make: Callable[[Generator, float], Law]
    quote_bias: float
    quote_sd: float


@dataclass(frozen=True)
class Sample:
    """Jobs with what they came to and what the contractor had quoted, shape (n,)."""

    jobs: Drivers
    cost: Floats
    quote: Floats


@dataclass(frozen=True)
class Trial:
    """One firm's history, its next jobs, and the law they follow."""

    history: Sample
    next_jobs: Sample
    law: Law


def make_trial(world: World, size: int, next_jobs: int, rng: Generator) -> Trial:
    """A firm with ``size`` finished jobs, and the jobs it is asked about within a season after.

    The quote knows what the records know and no more, so the law is the limit with a quote too.
    """
    years = max(1.0, size / JOBS_A_YEAR)
    law = world.make(rng, years)
    history = _drivers(rng, np.sort(rng.uniform(0, years, size)))
    ahead = _drivers(rng, np.sort(rng.uniform(years, years + 0.3, next_jobs)))
    return Trial(_observed(world, law, history, rng), _observed(world, law, ahead, rng), law)


def _drivers(rng: Generator, date: Floats) -> Drivers:
    n = len(date)
    area = np.clip(60 * np.exp(rng.normal(0, 0.42, n)), 20, 240)
    wall = np.where(rng.random(n) < 0.2, 0.0, 14 * np.sqrt(area) * np.exp(rng.normal(0, 0.25, n)))
    big = 1 / (1 + np.exp(-(np.log(area / 70)) * 3))
    return Drivers(
        area,
        wall,
        rng.binomial(5, 0.22, n).astype(float),
        rng.poisson(0.05 * area).astype(float).clip(0, 14),
        (rng.random((n, len(ITEM_SHARES))) < np.array(ITEM_SHARES)).astype(float),
        rng.choice(3, n, p=[0.35, 0.45, 0.2]).astype(float),
        1.0 + (rng.random(n) < big),
        date,
    )


def _observed(world: World, law: Law, jobs: Drivers, rng: Generator) -> Sample:
    cost = law.draw(rng, jobs, 1)[0]
    middle = law.quantiles(jobs, [0.5])[0]
    slip = rng.normal(0, world.quote_sd, len(cost))
    return Sample(jobs, cost, middle * world.quote_bias * np.exp(slip))


class Simulated:
    """Base of the laws whose quantiles are taken from draws, always the same ones."""

    def draw(self, rng: Generator, jobs: Drivers, size: int) -> Floats:
        """Costs, shape (size, n)."""
        raise NotImplementedError

    def quantiles(self, jobs: Drivers, chances: Sequence[float]) -> Floats:
        """Quantiles of 4,000 draws."""
        draws = self.draw(np.random.default_rng(20_261), jobs, ORACLE_DRAWS)
        return np.quantile(draws, chances, axis=0)


@dataclass(frozen=True)
class Ledger(Simulated):
    """Lines that add up, each with a gamma error of its own, and a factor of the whole job."""

    per_unit: Floats
    setup: float
    drift: float
    spread: Floats

    def draw(self, rng: Generator, jobs: Drivers, size: int) -> Floats:
        """Costs, shape (size, n)."""
        n = len(jobs.area)
        finish = 1 + 0.3 * jobs.grade
        amounts = np.column_stack(
            [
                np.ones(n),
                jobs.area * finish,
                jobs.wall * finish,
                jobs.moved,
                jobs.lights,
                jobs.items,
            ]
        )
        lines = amounts * np.concatenate(([self.setup], self.per_unit))
        shape = self.spread**-2.0
        total = np.zeros((size, n))
        for k, each in enumerate(shape):
            total += lines[:, k] * rng.gamma(each, 1 / each, (size, n))
        helper = np.where(jobs.crew > 1, 1.03, 1.0)
        whole = rng.gamma(100.0, 0.01, (size, n))
        return np.asarray(total * helper * whole * (1 + self.drift) ** jobs.date)


def _ledger(rng: Generator, years: float) -> Law:
    lumps = np.array([900, 650, 1400, 2100, 800, 500, 3200, 700.0])
    per_unit = np.concatenate(([65, 21, 900, 170], lumps)) * np.exp(rng.normal(0, 0.3, 12))
    spread = np.concatenate(([0.25, 0.22, 0.28, 0.35, 0.3], np.full(8, 0.45)))
    return Ledger(per_unit, 4200 * float(np.exp(rng.normal(0, 0.3))), rng.uniform(0, 0.07), spread)


@dataclass(frozen=True)
class Compound:
    """Factors that multiply; the price of size depends on the grade; errors are lognormal."""

    level: float
    power: float
    steeper: float
    effects: Floats
    drift: float
    spread: float

    def middle(self, jobs: Drivers) -> Floats:
        """Logarithm of the median."""
        size = np.log(jobs.area / 60) * (self.power + self.steeper * jobs.grade)
        columns = np.column_stack(
            [np.sqrt(jobs.wall / 100), jobs.moved, np.sqrt(jobs.lights), jobs.items, jobs.grade]
        )
        both = 0.1 * jobs.items[:, 0] * jobs.items[:, 2]
        return np.asarray(
            self.level + size + columns @ self.effects + both + self.drift * jobs.date
        )

    def draw(self, rng: Generator, jobs: Drivers, size: int) -> Floats:
        """Costs, shape (size, n)."""
        off = rng.normal(0, self.spread, (size, len(jobs.area)))
        return np.exp(self.middle(jobs) + off)

    def quantiles(self, jobs: Drivers, chances: Sequence[float]) -> Floats:
        """Quantiles in closed form."""
        reach = np.asarray(stats.norm.ppf(chances)) * self.spread
        return np.exp(self.middle(jobs)[None, :] + reach[:, None])


def _compound(rng: Generator, years: float) -> Law:
    items = rng.normal(0.07, 0.06, 8)
    effects = np.concatenate(([0.14, 0.05, 0.03], items, [rng.uniform(0.08, 0.2)]))
    return Compound(
        9.4 + rng.normal(0, 0.2),
        rng.uniform(0.35, 0.6),
        rng.uniform(0.02, 0.12),
        effects,
        rng.uniform(-0.01, 0.06),
        rng.uniform(0.13, 0.2),
    )


@dataclass(frozen=True)
class BehindTheWall(Simulated):
    """Rot, old wiring and changes of mind: unrecorded; less of it where the subfloor is redone."""

    base: float
    per_sqft: float
    lumps: Floats
    rot_share: float
    rot_size: float

    def draw(self, rng: Generator, jobs: Drivers, size: int) -> Floats:
        """Costs, shape (size, n)."""
        n = len(jobs.area)
        seen = self.base + self.per_sqft * jobs.area**0.8 * (1 + 0.2 * jobs.grade) + 9 * jobs.wall
        seen = seen + jobs.items @ self.lumps + 600 * jobs.moved
        rot = rng.random((size, n)) < self.rot_share * (1.4 - 0.8 * jobs.items[:, 5])
        found = rot * rng.exponential(self.rot_size, (size, n)) * np.sqrt(jobs.area / 60)
        wiring = (rng.random((size, n)) < 0.15) * rng.uniform(0.05, 0.2, (size, n))
        minds = rng.poisson(0.6, (size, n)) * rng.gamma(1.5, 0.025, (size, n))
        noise = np.exp(0.08 * np.clip(rng.standard_t(4, (size, n)), -12, 12))
        return np.asarray(seen * noise * (1 + wiring + minds) + found)


def _behind(rng: Generator, years: float) -> Law:
    lumps = np.array([700, 900, 1100, 1500, 600, -300, 2500, 400.0]) * np.exp(rng.normal(0, 0.4, 8))
    return BehindTheWall(
        rng.uniform(3500, 6500),
        rng.uniform(120, 260),
        lumps,
        rng.uniform(0.15, 0.35),
        rng.uniform(2500, 5000),
    )


@dataclass(frozen=True)
class IdleItems:
    """Size alone, dear up to a kink and cheap beyond; one break of all prices; lognormal errors."""

    start: float
    per_sqft: float
    kink: float
    jump: float
    when: float
    spread: float

    def middle(self, jobs: Drivers) -> Floats:
        """Logarithm of the median."""
        paid = np.minimum(jobs.area, self.kink) + 0.35 * np.maximum(jobs.area - self.kink, 0)
        return np.log(self.start + self.per_sqft * paid) + self.jump * (jobs.date > self.when)

    def draw(self, rng: Generator, jobs: Drivers, size: int) -> Floats:
        """Costs, shape (size, n)."""
        return np.exp(self.middle(jobs) + rng.normal(0, self.spread, (size, len(jobs.area))))

    def quantiles(self, jobs: Drivers, chances: Sequence[float]) -> Floats:
        """Quantiles in closed form."""
        reach = np.asarray(stats.norm.ppf(chances)) * self.spread
        return np.exp(self.middle(jobs)[None, :] + reach[:, None])


def _idle(rng: Generator, years: float) -> Law:
    return IdleItems(
        rng.uniform(3000, 7000),
        rng.uniform(110, 190),
        rng.uniform(60, 100),
        float(rng.choice([-1, 1, 1, 1])) * rng.uniform(0.12, 0.28),
        years * rng.uniform(0.5, 0.9),
        rng.uniform(0.12, 0.2),
    )


@dataclass(frozen=True)
class Fog:
    """A gamma whatever the job; size moves it by a hair."""

    level: float
    power: float
    shape: float

    def _mean(self, jobs: Drivers) -> Floats:
        return np.asarray(self.level * (jobs.area / 60) ** self.power)

    def draw(self, rng: Generator, jobs: Drivers, size: int) -> Floats:
        """Costs, shape (size, n)."""
        errors = rng.gamma(self.shape, 1 / self.shape, (size, len(jobs.area)))
        return self._mean(jobs) * errors

    def quantiles(self, jobs: Drivers, chances: Sequence[float]) -> Floats:
        """Quantiles in closed form."""
        unit = np.asarray(stats.gamma.ppf(chances, self.shape)) / self.shape
        return unit[:, None] * self._mean(jobs)[None, :]


def _fog(rng: Generator, years: float) -> Law:
    return Fog(rng.uniform(9000, 25000), rng.uniform(0.0, 0.12), rng.uniform(4, 8))


WORLDS = (
    World("ledger", _ledger, 0.95, 0.14),
    World("compound", _compound, 1.0, 0.16),
    World("behind the wall", _behind, 0.92, 0.15),
    World("idle items", _idle, 0.97, 0.13),
    World("fog", _fog, 1.0, 0.2),
)

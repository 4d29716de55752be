"""The laws of the invented worlds: how a job's totals are distributed given what is on record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray
from scipy import stats

Floats = NDArray[np.float64]
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
    """One firm's truth: how a total is distributed given what the records say of the job."""

    def draw(self, rng: Generator, jobs: Drivers, size: int) -> Floats:
        """Totals, shape (size, n)."""
        ...

    def quantiles(self, jobs: Drivers, chances: Sequence[float], draws: int = ...) -> Floats:
        """True quantiles, shape (len(chances), n); ``draws`` where they come from draws."""
        ...


class Simulated:
    """Base of the laws whose quantiles are taken from draws, always the same ones."""

    def draw(self, rng: Generator, jobs: Drivers, size: int) -> Floats:
        """Totals, shape (size, n)."""
        raise NotImplementedError

    def quantiles(
        self, jobs: Drivers, chances: Sequence[float], draws: int = ORACLE_DRAWS
    ) -> Floats:
        """Quantiles of the draws."""
        found = self.draw(np.random.default_rng(20_261), jobs, draws)
        return np.quantile(found, chances, axis=0)


@dataclass(frozen=True)
class Calendar(Simulated):
    """Elapsed days: person-days shared by the crew, waits (gamma), and a stretch of the whole."""

    work: Law
    speed: float
    wait: float
    lumps: Floats
    stretch: float

    def draw(self, rng: Generator, jobs: Drivers, size: int) -> Floats:
        """Days, shape (size, n)."""
        on_site = self.work.draw(rng, jobs, size) / np.where(jobs.crew > 1, self.speed, 1.0)
        waits = (self.wait + jobs.items @ self.lumps) * rng.gamma(3.0, 1 / 3, on_site.shape)
        return np.asarray((on_site + waits) * np.exp(rng.normal(0, self.stretch, on_site.shape)))


@dataclass(frozen=True)
class Ledger(Simulated):
    """Lines that add up, each with a gamma error of its own, and a factor of the whole job."""

    per_unit: Floats
    setup: float
    drift: float
    spread: Floats
    helper: float

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
        helper = np.where(jobs.crew > 1, self.helper, 1.0)
        whole = rng.gamma(100.0, 0.01, (size, n))
        return np.asarray(total * helper * whole * (1 + self.drift) ** jobs.date)


@dataclass(frozen=True)
class Compound:
    """Factors that multiply; the price of size depends on the grade; errors are lognormal."""

    level: float
    power: float
    steeper: float
    effects: Floats
    drift: float
    spread: float
    second: float = 0.0

    def middle(self, jobs: Drivers) -> Floats:
        """Logarithm of the median."""
        size = np.log(jobs.area / 60) * (self.power + self.steeper * jobs.grade)
        columns = np.column_stack(
            [np.sqrt(jobs.wall / 100), jobs.moved, np.sqrt(jobs.lights), jobs.items, jobs.grade]
        )
        both = 0.1 * jobs.items[:, 0] * jobs.items[:, 2]
        return np.asarray(
            self.level
            + size
            + columns @ self.effects
            + both
            + self.drift * jobs.date
            + self.second * (jobs.crew > 1)
        )

    def draw(self, rng: Generator, jobs: Drivers, size: int) -> Floats:
        """Costs, shape (size, n)."""
        off = rng.normal(0, self.spread, (size, len(jobs.area)))
        return np.exp(self.middle(jobs) + off)

    def quantiles(self, jobs: Drivers, chances: Sequence[float], draws: int = 0) -> Floats:
        """Quantiles in closed form."""
        reach = np.asarray(stats.norm.ppf(chances)) * self.spread
        return np.exp(self.middle(jobs)[None, :] + reach[:, None])


@dataclass(frozen=True)
class BehindTheWall(Simulated):
    """Rot, old wiring and changes of mind: unrecorded; less of it where the subfloor is redone."""

    base: float
    per_sqft: float
    per_wall: float
    per_move: float
    lumps: Floats
    rot_share: float
    rot_size: float

    def draw(self, rng: Generator, jobs: Drivers, size: int) -> Floats:
        """Costs, shape (size, n)."""
        n = len(jobs.area)
        seen = self.base + self.per_sqft * jobs.area**0.8 * (1 + 0.2 * jobs.grade)
        seen = seen + self.per_wall * jobs.wall + self.per_move * jobs.moved
        seen = seen + jobs.items @ self.lumps
        rot = rng.random((size, n)) < self.rot_share * (1.4 - 0.8 * jobs.items[:, 5])
        found = rot * rng.exponential(self.rot_size, (size, n)) * np.sqrt(jobs.area / 60)
        wiring = (rng.random((size, n)) < 0.15) * rng.uniform(0.05, 0.2, (size, n))
        minds = rng.poisson(0.6, (size, n)) * rng.gamma(1.5, 0.025, (size, n))
        noise = np.exp(0.08 * np.clip(rng.standard_t(4, (size, n)), -12, 12))
        return np.asarray(seen * noise * (1 + wiring + minds) + found)


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

    def quantiles(self, jobs: Drivers, chances: Sequence[float], draws: int = 0) -> Floats:
        """Quantiles in closed form."""
        reach = np.asarray(stats.norm.ppf(chances)) * self.spread
        return np.exp(self.middle(jobs)[None, :] + reach[:, None])


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

    def quantiles(self, jobs: Drivers, chances: Sequence[float], draws: int = 0) -> Floats:
        """Quantiles in closed form."""
        unit = np.asarray(stats.gamma.ppf(chances, self.shape)) / self.shape
        return unit[:, None] * self._mean(jobs)[None, :]

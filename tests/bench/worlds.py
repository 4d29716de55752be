"""Five invented worlds of a small renovation firm, each with the true odds of every job in it.

All names and numbers are invented; the worlds compare estimators and say nothing about how exact
a real firm's prices are. Each history is one firm: its coefficients are drawn anew, so that no
estimator can be tuned to one of them. The worlds differ in *form*, not only in numbers:

* ``ledger``: costs add up, each line with its own skewed error, prices rise steadily;
* ``compound``: effects multiply, and the finish grade makes every square foot dearer;
* ``behind the wall``: what is found after opening is in no record, and tails are heavy;
* ``idle items``: only size counts, up to a kink; no item does anything; prices break once;
* ``fog``: nearly nothing on record says what the job will come to.

A firm sends two people to big jobs, as firms do, so crew and size are tied in every world. The
bars (``bars.py``) are for the mean of the first four. Person-days and elapsed days have laws of the
world's own form too; the three totals of a job are drawn on their own, since each is scored alone.

A quote is no copy of the records: after a look at the place the contractor knows a part (``LOOK``)
of what they do not say, and errs on top of it, so that what a job comes to is on average 15 to 20 %
off its quote (common practice, no source). The oracle knows the records, not the quote.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from laws import (
    BehindTheWall,
    Calendar,
    Compound,
    Drivers,
    Floats,
    Fog,
    IdleItems,
    Law,
    Ledger,
)
from numpy.random import Generator

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
MIDDLE_DRAWS = 600
TARGETS = ("cost", "person_days", "elapsed_days")
LOOK = 0.25
"""The part of what the records do not say that a contractor sees when looking at the place."""


Laws = Mapping[str, Law]
"""The law of each of TARGETS."""


@dataclass(frozen=True)
class World:
    """A world: its form, how a firm in it is made, and how far off that firm's quotes are."""

    name: str
    make: Callable[[Generator, float], Laws]
    quote_bias: float
    quote_sd: float
    in_bars: bool = True


@dataclass(frozen=True)
class Sample:
    """Jobs with what each of TARGETS came to and what the contractor had quoted, shape (n,)."""

    jobs: Drivers
    actual: Mapping[str, Floats]
    quote: Mapping[str, Floats]


@dataclass(frozen=True)
class Trial:
    """One firm's history, its next jobs, and the laws they follow."""

    history: Sample
    next_jobs: Sample
    laws: Laws


def make_trial(world: World, size: int, next_jobs: int, rng: Generator) -> Trial:
    """A firm with ``size`` finished jobs, and the jobs it is asked about within a season after."""
    years = max(1.0, size / JOBS_A_YEAR)
    laws = world.make(rng, years)
    history = _drivers(rng, np.sort(rng.uniform(0, years, size)))
    ahead = _drivers(rng, np.sort(rng.uniform(years, years + 0.3, next_jobs)))
    return Trial(_observed(world, laws, history, rng), _observed(world, laws, ahead, rng), laws)


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


def _observed(world: World, laws: Laws, jobs: Drivers, rng: Generator) -> Sample:
    actual: dict[str, Floats] = {}
    quote: dict[str, Floats] = {}
    mood = rng.normal(0, world.quote_sd, len(jobs.area))
    for target in TARGETS:
        actual[target] = laws[target].draw(rng, jobs, 1)[0]
        middle = laws[target].quantiles(jobs, [0.5], MIDDLE_DRAWS)[0]
        seen = (actual[target] / middle) ** LOOK
        slip = np.sqrt(0.5) * (mood + rng.normal(0, world.quote_sd, len(middle)))
        quote[target] = middle * seen * world.quote_bias * np.exp(slip)
    return Sample(jobs, actual, quote)


def calendar(rng: Generator, work: Law, *, items: bool = True) -> Law:
    """A firm's calendar: two people are 1.35 to 1.75 times as fast as one."""
    lumps = np.array([0.0, 1.0, 0.0, 2.0, 0.0, 1.0, 1.5, 4.0]) * rng.uniform(0.5, 1.5) * items
    return Calendar(
        work, rng.uniform(1.35, 1.75), rng.uniform(2, 6), lumps, rng.uniform(0.08, 0.16)
    )


def _ledger(rng: Generator, years: float) -> Laws:
    lumps = np.array([900, 650, 1400, 2100, 800, 500, 3200, 700.0])
    per_unit = np.concatenate(([65, 21, 900, 170], lumps)) * np.exp(rng.normal(0, 0.3, 12))
    spread = np.concatenate(([0.25, 0.22, 0.28, 0.35, 0.3], np.full(8, 0.45)))
    setup = 4200 * float(np.exp(rng.normal(0, 0.3)))
    cost = Ledger(per_unit, setup, rng.uniform(0, 0.07), spread, 1.03)
    hours = np.array([1.2, 0.9, 0.4, 2.5, 0.6, 1.1, 3.0, 0.3])
    units = np.concatenate(([0.05, 0.03, 1.1, 0.15], hours)) * np.exp(rng.normal(0, 0.3, 12))
    start = 3.5 * float(np.exp(rng.normal(0, 0.3)))
    work = Ledger(units, start, 0.0, 1.2 * spread, rng.uniform(1.02, 1.15))
    return {"cost": cost, "person_days": work, "elapsed_days": calendar(rng, work)}


def _compound(rng: Generator, years: float) -> Laws:
    def law(level: float, drift: float, noise: tuple[float, float], second: float) -> Compound:
        items = rng.normal(0.07, 0.06, 8)
        effects = np.concatenate(([0.14, 0.05, 0.03], items, [rng.uniform(0.08, 0.2)]))
        return Compound(
            level + rng.normal(0, 0.2),
            rng.uniform(0.35, 0.6),
            rng.uniform(0.02, 0.12),
            effects,
            drift,
            rng.uniform(*noise),
            second,
        )

    return {
        "cost": law(9.4, rng.uniform(-0.01, 0.06), (0.13, 0.2), 0.0),
        "person_days": law(2.7, 0.0, (0.15, 0.22), rng.uniform(0.0, 0.12)),
        "elapsed_days": law(2.9, 0.0, (0.17, 0.25), -rng.uniform(0.3, 0.5)),
    }


def _behind(rng: Generator, years: float) -> Laws:
    def law(unit: float) -> BehindTheWall:
        lumps = np.array([700, 900, 1100, 1500, 600, -300, 2500, 400.0]) / unit
        return BehindTheWall(
            rng.uniform(3500, 6500) / unit,
            rng.uniform(120, 260) / unit,
            9 / unit,
            600 / unit,
            lumps * np.exp(rng.normal(0, 0.4, 8)),
            rng.uniform(0.15, 0.35),
            rng.uniform(2500, 5000) / unit,
        )

    work = law(850.0)
    return {"cost": law(1.0), "person_days": work, "elapsed_days": calendar(rng, work)}


def _idle(rng: Generator, years: float) -> Laws:
    def law(unit: float, jump: float) -> IdleItems:
        return IdleItems(
            rng.uniform(3000, 7000) / unit,
            rng.uniform(110, 190) / unit,
            rng.uniform(60, 100),
            jump,
            years * rng.uniform(0.5, 0.9),
            rng.uniform(0.12, 0.2),
        )

    cost = law(1.0, float(rng.choice([-1, 1, 1, 1])) * rng.uniform(0.12, 0.28))
    work = law(700.0, 0.0)
    elapsed = calendar(rng, work, items=False)
    return {"cost": cost, "person_days": work, "elapsed_days": elapsed}


def _fog(rng: Generator, years: float) -> Laws:
    def law(level: float) -> Fog:
        return Fog(level * rng.uniform(0.6, 1.6), rng.uniform(0.0, 0.12), rng.uniform(4, 8))

    work = law(16.0)
    elapsed = calendar(rng, work, items=False)
    return {"cost": law(15_500.0), "person_days": work, "elapsed_days": elapsed}


WORLDS = (
    World("ledger", _ledger, 0.95, 0.155),
    World("compound", _compound, 1.0, 0.155),
    World("behind the wall", _behind, 0.92, 0.155),
    World("idle items", _idle, 0.97, 0.155),
    World("fog", _fog, 1.0, 0.18, in_bars=False),
)

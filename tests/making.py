"""Small histories built in code, all invented: every figure is stated here or drawn from a seed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np

from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import Amounts, ChangeEntry, History, Job, PhaseRecord

START = date(2022, 1, 10)
NEW_DAY = date(2025, 6, 2)
NOWHERE = Place("made.csv", "", 1, "")

ALWAYS = {"toilet": 1.0, "vanity": 1.0, "floor_tile": 30.0, "paint": 150.0}
"""Scope that every invented bathroom has."""
SOMETIMES = {"niche": 0.08, "bench": 0.1, "curbless": 0.15, "heated_floor": 0.09, "bath_fan": 0.03}
"""Scope that half of them have, and what it adds in log points."""
PLANNED = {"demo": 2.0, "plumb_rough": 1.5, "board": 2.5, "tile": 5.0, "paint": 1.5, "vent": 0.5}
"""Planned person-days of the phases of an average invented bathroom."""


def job(key: str, **values: Any) -> Job:
    """A finished job with only what is said of it."""
    return Job(**{"key": key, "name": key.upper(), **values})


def change(state: str = "approved", **values: Any) -> ChangeEntry:
    """A change order."""
    return ChangeEntry(**{"job": "a", "label": "CO-1", "state": state, "place": NOWHERE, **values})


def new_bathroom(**values: Any) -> Job:
    """A bathroom like the invented ones, to be asked about."""
    said: dict[str, Any] = {
        "key": "new",
        "name": "New bath",
        "kind": "bathroom",
        "state": "quoted",
        "quoted_on": NEW_DAY,
        "area_sqft": 55.0,
        "grade": 1.0,
        "house_year": 1992,
        "scope": {**ALWAYS, "niche": 1.0, "bath_fan": 1.0},
    }
    return Job(**{**said, **values})


def bathrooms(
    count: int = 20,
    seed: int = 1,
    *,
    noise: float = 0.1,
    rise: float = 0.0,
    plan_noise: float | None = None,
    firm: Firm | None = None,
) -> History:
    """Bathrooms whose cost follows area, items and a yearly rise; with plans if noise is given."""
    rng = np.random.default_rng(seed)
    jobs = []
    for i in range(count):
        area = float(np.round(np.exp(rng.normal(4.0, 0.3))))
        scope = ALWAYS | {k: 1.0 for k in SOMETIMES if rng.random() < 0.5}
        day = START + timedelta(days=int(i * 1200 / max(count - 1, 1)))
        work = 0.55 * np.log(area / 50) + sum(v for k, v in SOMETIMES.items() if k in scope)
        cost = 14_000 * np.exp(work + rise * (day - START).days / 365.25 + rng.normal(0, noise))
        days = 16 * np.exp(work + rng.normal(0, noise))
        crew = float(rng.choice([1.0, 2.0]))
        jobs.append(
            Job(
                key=f"b{i:02d}",
                name=f"B-{i:02d}",
                kind="bathroom",
                started=day,
                finished=day + timedelta(days=30),
                area_sqft=area,
                grade=float(rng.integers(0, 3)),
                house_year=int(rng.integers(1950, 2010)),
                scope=scope,
                actual=Amounts(
                    cost=int(cost * 100),
                    person_days=float(days),
                    site_days=float(days / crew**0.55),
                    wait_days=3.0,
                    elapsed_days=float(days / crew**0.55 + 5),
                    crew=crew,
                ),
                plan=_plan(rng, cost, days, plan_noise),
                books_closed=True,
            )
        )
    return History(firm or Firm(), tuple(jobs))


def phased(
    history: History,
    seed: int = 2,
    *,
    overrun: Mapping[str, float] | None = None,
    everywhere: float = 1.0,
    noise: float = 0.15,
    shared: float = 0.06,
) -> History:
    """The same jobs with phases that make up about all of them; ``overrun`` is by phase."""
    rng = np.random.default_rng(seed)
    factors = overrun or {}
    jobs = []
    for one in history.jobs:
        whole = rng.normal(0, shared)
        scale = (one.actual.person_days or 0.0) / sum(PLANNED.values())
        cents = (one.actual.cost or 0) / (one.actual.person_days or 1.0)
        records = []
        for phase, days in PLANNED.items():
            plan = days * scale
            actual = plan * everywhere * factors.get(phase, 1.0)
            actual *= np.exp(whole + rng.normal(0, noise))
            crew = float(rng.choice([1.0, 2.0]))
            records.append(
                PhaseRecord(
                    phase,
                    Amounts(cost=int(plan * cents), person_days=plan),
                    Amounts(
                        cost=int(actual * cents),
                        person_days=float(actual),
                        site_days=float(actual / crew**0.55),
                        crew=crew,
                    ),
                    books_closed=True,
                )
            )
        jobs.append(replace(one, phases=tuple(records)))
    return replace(history, jobs=tuple(jobs))


def _plan(rng: np.random.Generator, cost: float, days: float, noise: float | None) -> Amounts:
    if noise is None:
        return Amounts()
    off = np.exp(rng.normal(0, noise))
    return Amounts(cost=int(cost * off * 92), person_days=float(days * off))

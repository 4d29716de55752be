"""How often a job ends, and its tile begins, when told: ``python tests/bench/dates.py``.

Invented firms whose jobs have seven phases with days on site, waits after three of them and other
gaps, in three worlds of different form:

* ``even``: days follow floor area, a job runs long or short throughout, few gaps;
* ``gappy``: every third job stands still for days on end (exponential, mean 6), waits scatter;
* ``summed``: as ``even``, but no job says its first and last day and there are no gaps, so that
  days on site and waits are added up.

For each firm one new job is laid on the calendar and then drawn by the same law. The 80 % range of
working days should hold 80 of 100, the dates a little more, since a day counts whole. Invented
worlds check the arithmetic; they are no evidence about real jobs.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.random import Generator

from costlearn.firm import Firm
from costlearn.questions.planning.calendar import site_calendar
from costlearn.records import Amounts, History, Job, PhaseRecord

WORLDS = ("even", "gappy", "summed")
SIZES = (8, 20, 40)
FIRMS = 150
START = date(2027, 1, 11)
PHASES = {
    "demo": 2.0,
    "plumb_rough": 1.5,
    "vent": 0.5,
    "board": 2.5,
    "waterproof": 1.5,
    "tile": 4.0,
    "paint": 1.5,
}
WAITS = {"board": 1.0, "waterproof": 2.0, "tile": 1.0}
SCOPE = {"toilet": 1.0, "vanity": 1.0, "wall_tile": 70.0, "membrane": 70.0}


@dataclass(frozen=True)
class Made:
    """A job with what came true: working days gone when its tile began, and in all."""

    job: Job
    tile: float
    whole: float


@dataclass(frozen=True)
class Row:
    """A cell: how many of 100 each range held, with its standard error, and the range's width."""

    world: str
    jobs: int
    days: float
    finish: float
    tile: float
    width: float
    firms: int

    def error(self, held: float) -> float:
        """The standard error of a share, in points of 100."""
        return 100 * float(np.sqrt(max(held * (1 - held), 0.01) / self.firms))


def make(rng: Generator, world: str, key: str, day: date, *, finished: bool = True) -> Made:
    """One job of a firm."""
    area = float(np.exp(rng.normal(4.0, 0.3)))
    own = rng.normal(0, 0.12)
    there = {p: p != "vent" or rng.random() < 0.6 for p in PHASES}
    site = {
        p: d * (area / 55) ** 0.6 * float(np.exp(own + rng.normal(0, 0.2))) if there[p] else 0.0
        for p, d in PHASES.items()
    }
    spread = 1.5 if world == "gappy" else 0.6
    waits = {p: max(round(rng.normal(w, spread)), 0.0) for p, w in WAITS.items()}
    gap = float(rng.exponential(6.0)) if world == "gappy" and rng.random() < 1 / 3 else 0.0
    if world == "even":
        gap = float(rng.random() < 0.3)
    total = sum(site.values())
    before = [p for p in PHASES if list(PHASES).index(p) < list(PHASES).index("tile")]
    worked = sum(site[p] for p in before)
    tile = worked + sum(waits.get(p, 0.0) for p in before) + gap * worked / total
    whole = total + sum(waits.values()) + gap
    records = tuple(
        PhaseRecord(p, actual=Amounts(site_days=d, person_days=d, wait_days=waits.get(p)))
        for p, d in site.items()
        if d > 0
    )
    actual = Amounts(
        person_days=total,
        site_days=total,
        wait_days=float(sum(waits.values())),
        elapsed_days=None if world == "summed" else whole,
        crew=1.0,
    )
    said = Job(
        key,
        key,
        kind="bathroom",
        state="finished" if finished else "quoted",
        started=day if finished else None,
        quoted_on=day,
        area_sqft=area,
        grade=1.0,
        scope={**SCOPE, "bath_fan": float(there["vent"])},
        phases=records if finished else (),
        actual=actual if finished else Amounts(),
        books_closed=True,
    )
    return Made(said, tile, whole)


def run(world: str, jobs: int, firms: int = FIRMS, seed: int = 5) -> Row:
    """One cell: so many firms with so many finished jobs, one new job each."""
    days = finish = tile = told = 0
    widths = []
    for firm in range(firms):
        rng = np.random.default_rng([seed, WORLDS.index(world), jobs, firm])
        first = date(2023, 1, 9)
        past = [make(rng, world, f"j{i}", first + timedelta(days=30 * i)) for i in range(jobs)]
        new = make(rng, world, "new", START, finished=False)
        history = History(Firm(), tuple(m.job for m in past))
        answer = site_calendar(history, new.job, START)
        assert answer.elapsed is not None
        assert answer.finish is not None
        span = next((s for s in answer.spans if s.phase == "tile"), None)
        week = history.firm.workdays
        days += answer.elapsed.holds(new.whole)
        finish += answer.finish.early <= week.on(START, new.whole) <= answer.finish.late
        if span is not None:  # A range too wide to lean on has no dates by phase.
            told += 1
            tile += span.begins[0] <= week.on(START, new.tile + 0.01) <= span.begins[1]
        widths.append(answer.elapsed.high / answer.elapsed.low)
    return Row(
        world, jobs, days / firms, finish / firms, tile / told, float(np.mean(widths)), firms
    )


def print_rows(rows: list[Row]) -> None:
    """The cells, a line each."""
    print("world   jobs  days held  finish held  tile begins held  upper/lower end")
    for r in rows:
        cells = [f"{100 * h:4.0f} ({r.error(h):.0f})" for h in (r.days, r.finish, r.tile)]
        named = f"{r.world:7s} {r.jobs:4d}"
        print(f"{named}  {cells[0]:>9s}  {cells[1]:>11s}  {cells[2]:>16s}  {r.width:.2f}")


if __name__ == "__main__":
    count = 30 if "--short" in sys.argv else FIRMS
    print_rows([run(world, jobs, count) for world in WORLDS for jobs in SIZES])

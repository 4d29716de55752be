"""How well forgotten scope is found: ``python tests/bench/omissions.py``.

Three invented worlds draw the scopes of a firm's jobs, items that go together among them:

* ``packages``: what belongs to a tub, a tiled shower, a floor and so on comes or stays away as one;
* ``kinds``: bathrooms, laundries and kitchens, each with a core of its own, and few extras;
* ``chains``: one item calls for the next, which calls for another.

How often an item is there when its reason is, is drawn for each firm and item: ``SURE`` to 1 for
those that nearly always come along, much less for the others. From a complete scope, drawn like
those on file, one item that nearly always comes along is taken out: found is, if the check asks
for just that item. A false alarm is any item asked for in a complete scope: one that lacks nothing
that nearly always comes along. Scopes that do lack such an item, for a reason nobody wrote down,
look forgetful to anybody; their alarms are counted apart (``odd``). What the trade calls for is
always there (``features.forgotten.MUST_HAVES``), so that its rules raise no alarm of their own.

The firm's habits are invented: the figures compare methods and say nothing of a real firm.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from costlearn.features.forgotten import MUST_HAVES
from costlearn.questions.quoting.gaps import forgotten_items
from costlearn.records import Amounts, Job

SURE = 0.98
JOBS = 35
AHEAD = 20
SIZES = (8, 12, 20, 35, 60)
FOUND_BAR, ALARM_BAR = 0.9, 0.1

PACKAGES: Mapping[str, tuple[float, tuple[str, ...]]] = {
    "strip": (0.9, ("gut_demo", "drywall", "insulation")),
    "tub": (0.4, ("tub_install", "shower_valve")),
    "shower": (0.45, ("tiled_shower_floor", "wall_tile", "membrane", "backer", "shower_glass")),
    "floor": (0.8, ("floor_tile", "floor_leveling")),
    "basin": (0.85, ("vanity", "lav_sink", "faucet", "mirror")),
    "warm": (0.25, ("heated_floor", "new_circuit")),
    "light": (0.7, ("lighting", "outlet", "bath_fan")),
    "walls": (0.2, ("new_partition", "door_window")),
}
"""Chance of each package, and its items."""
LOOSE = ("niche", "bench", "curbless", "subfloor_repair", "accessories", "blocking", "mosaic")
CORES: Mapping[str, tuple[str, ...]] = {
    "bathroom": ("gut_demo", "drywall", "toilet", "vanity", "faucet", "bath_fan", "floor_tile"),
    "laundry": ("laundry_hookup", "drywall", "paint", "vinyl_plank", "outlet"),
    "kitchen": ("kitchen_cabinets", "countertop", "backsplash", "outlet", "lighting", "paint"),
}
CHAINS = (
    ("gut_demo", "drywall", "paint", "accessories"),
    ("tub_to_shower", "move_drain", "subfloor_repair", "floor_leveling"),
    ("heated_floor", "new_circuit", "outlet"),
    ("wall_removal", "new_partition", "door_window", "blocking"),
    ("wall_tile", "backer", "membrane", "niche"),
)


@dataclass(frozen=True)
class Scope:
    """A drawn scope, its kind, and which of its items nearly always come along."""

    kind: str
    items: frozenset[str]
    nearly_always: frozenset[str]
    absent: int
    """How many items it lacks that nearly always come along, for a reason nobody wrote down."""

    @property
    def closed(self) -> frozenset[str]:
        """Its items with what the trade calls for."""
        items = set(self.items)
        for causes, needs in MUST_HAVES:
            if items & set(causes) and not items & set(needs):
                items.add(needs[0])
        return frozenset(items)


Draw = Callable[[Generator], Scope]


@dataclass(frozen=True)
class World:
    """A world: how a firm in it is made, which then draws scopes."""

    name: str
    make: Callable[[Generator], Draw]


def _came(rng: Generator, rates: Mapping[str, float]) -> tuple[set[str], set[str], int]:
    """Which of some items came along, which of them nearly always do, and how many of those not."""
    came = {k for k, rate in rates.items() if rng.random() < rate}
    sure = {k for k, rate in rates.items() if rate >= SURE}
    return came, came & sure, len(sure - came)


def _rates(rng: Generator, items: tuple[str, ...], usual: float = 0.7) -> dict[str, float]:
    """A chance for each item: three in four nearly always come along, the others now and then."""
    sure = rng.random(len(items)) < 0.75
    rates = np.where(sure, rng.uniform(SURE, 1.0, len(items)), rng.uniform(0.2, usual, len(items)))
    return {k: float(v) for k, v in zip(items, rates, strict=True)}


def _packages(rng: Generator) -> Draw:
    chances = {k: float(np.clip(rng.normal(p, 0.1), 0.1, 0.97)) for k, (p, _) in PACKAGES.items()}
    rates = {k: _rates(rng, items) for k, (_, items) in PACKAGES.items()}
    stray = {k: rng.uniform(0, 0.08) for _, items in PACKAGES.values() for k in items}
    loose = {k: rng.uniform(0.05, 0.6) for k in LOOSE}

    def draw(rng: Generator) -> Scope:
        items, always, absent = _came(rng, loose)
        for name, own in rates.items():
            taken = rng.random() < chances[name]
            came, sure, less = _came(rng, own if taken else {k: stray[k] for k in own})
            items, always, absent = items | came, always | sure, absent + less
        return Scope("bathroom", frozenset(items), frozenset(always), absent)

    return draw


def _kinds(rng: Generator) -> Draw:
    rates = {kind: _rates(rng, items, 0.6) for kind, items in CORES.items()}
    loose = {k: rng.uniform(0.05, 0.5) for k in LOOSE}

    def draw(rng: Generator) -> Scope:
        kind = str(rng.choice(list(CORES), p=[0.6, 0.2, 0.2]))
        items, always, absent = _came(rng, rates[kind])
        more, _, _ = _came(rng, loose)
        return Scope(kind, frozenset(items | more), frozenset(always), absent)

    return draw


def _chains(rng: Generator) -> Draw:
    starts = [rng.uniform(0.25, 0.9) for _ in CHAINS]
    steps = [_rates(rng, chain[1:], 0.5) for chain in CHAINS]
    loose = {k: rng.uniform(0.05, 0.6) for k in ("bench", "curbless", "toilet", "vanity", "mosaic")}

    def draw(rng: Generator) -> Scope:
        items, always, absent = _came(rng, loose)
        for chain, start, rates in zip(CHAINS, starts, steps, strict=True):
            if rng.random() >= start:
                continue
            items.add(chain[0])
            for key in chain[1:]:
                if rng.random() < rates[key]:
                    items.add(key)
                    always |= {key} if rates[key] >= SURE else set()
                else:
                    absent += rates[key] >= SURE
                    break
        return Scope("bathroom", frozenset(items), frozenset(always), absent)

    return draw


WORLDS = (World("packages", _packages), World("kinds", _kinds), World("chains", _chains))


@dataclass(frozen=True)
class Row:
    """Over many firms: share of planted omissions found, mean alarms of a complete scope."""

    name: str
    size: int
    planted: int
    found: float
    alarms: float
    scopes_alarmed: float
    odd: float


def _job(scope: Scope, number: int, left_out: str = "") -> Job:
    items = {k: 1.0 for k in sorted(scope.closed) if k != left_out}
    return Job(f"j{number}", f"J-{number}", scope.kind, actual=Amounts(cost=1), scope=items)


def run(world: World, size: int, firms: int) -> Row:
    """Omissions and complete scopes of several firms of one world."""
    found, alarms, odd = [], [], []
    for seed in range(firms):
        rng = np.random.default_rng(4_000 + seed)
        draw = world.make(rng)
        history = [_job(draw(rng), i) for i in range(size)]
        for _ in range(AHEAD):
            scope = draw(rng)
            said = forgotten_items(history, _job(scope, -1))
            (odd if scope.absent else alarms).append(len(said))
            if scope.nearly_always and not scope.absent:
                gone = str(rng.choice(sorted(scope.nearly_always)))
                asked = forgotten_items(history, _job(scope, -1, gone))
                found.append(gone in {f.item for f in asked})
    return Row(
        world.name,
        size,
        len(found),
        float(np.mean(found)),
        float(np.mean(alarms)),
        float(np.mean(np.array(alarms) > 0)),
        float(np.mean(odd)) if odd else 0.0,
    )


def mean_row(rows: Sequence[Row]) -> Row:
    """The mean of several worlds."""
    means = [
        float(np.mean([getattr(r, k) for r in rows]))
        for k in ("found", "alarms", "scopes_alarmed", "odd")
    ]
    return Row("mean", rows[0].size, sum(r.planted for r in rows), *means)


def missed(row: Row) -> list[str]:
    """The bars that a row does not keep, in words."""
    said = []
    if row.found < FOUND_BAR:
        said.append(f"{row.name}: {row.found:.3f} found, under {FOUND_BAR}")
    if row.alarms > ALARM_BAR:
        said.append(f"{row.name}: {row.alarms:.3f} alarms a complete scope, over {ALARM_BAR}")
    return said


def line(row: Row) -> str:
    """One row of the table."""
    return (
        f"{row.name:10s} {row.size:4d} jobs   {row.planted:5d} planted, found "
        f"{100 * row.found:5.1f} of 100   alarms in 10 complete scopes {10 * row.alarms:5.2f} "
        f"(in {10 * row.scopes_alarmed:.2f} of them), in 10 odd ones {10 * row.odd:.1f}"
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--firms", type=int, default=100)
    parser.add_argument("--short", action="store_true", help="20 firms, 35 jobs only")
    told = parser.parse_args()
    firms, sizes = (20, (JOBS,)) if told.short else (told.firms, SIZES)
    for size in sizes:
        rows = [run(world, size, firms) for world in WORLDS]
        for row in (*rows, mean_row(rows)):
            print(line(row))
        if size == JOBS:
            print("\n".join(missed(mean_row(rows))) or "both bars are kept")


if __name__ == "__main__":
    main()

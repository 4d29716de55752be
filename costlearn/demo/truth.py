"""What is true in the invented firm: work and goods by phase, overruns, crew, waits and prices.

Everything here is invented. Person-days are those of one person working alone; dollars are those of
:data:`BASE_DAY`. The other modules of this room only draw from these tables.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from random import Random
from statistics import NormalDist
from typing import TypeVar

T = TypeVar("T")

SEED = 81
"""The one seed of the invented firm."""

BASE_DAY = date(2021, 1, 1)
TODAY = date(2026, 10, 31)
HELPER_FROM = date(2024, 3, 4)
HOURS_PER_DAY = 8.0
YEARLY_RISE = 0.05
DAY_RATE = 385.0
"""Loaded cost of one person-day at :data:`BASE_DAY`."""

PACE = 1.1
"""What the person-days of :data:`WORK` are multiplied by in this firm."""

SALES_TAX = 0.07
MARGIN = 0.275
QUOTING_NOISE = 0.12
JOB_EFFECT = 0.08
GOODS_NOISE = 0.07

OVERRUN = {"demo": 1.14, "waterproof": 1.11, "tile": 1.22}
"""Actual over plan of the phases that overrun; every other phase is on plan (1.00)."""

PHASE_NOISE = {
    "precon": 0.20,
    "setup": 0.18,
    "demo": 0.13,
    "framing": 0.20,
    "plumb_rough": 0.16,
    "elec_rough": 0.16,
    "vent": 0.18,
    "board": 0.14,
    "waterproof": 0.10,
    "tile": 0.12,
    "paint": 0.13,
    "cabs_trim": 0.15,
    "finish_set": 0.14,
    "closeout": 0.20,
}
"""Spread of the logarithm of actual person-days round what was to be expected, by phase."""

CREW_FACTOR = {
    "precon": 0.95,
    "setup": 0.62,
    "demo": 0.55,
    "framing": 0.62,
    "plumb_rough": 0.80,
    "elec_rough": 0.85,
    "vent": 0.78,
    "board": 0.62,
    "waterproof": 0.68,
    "tile": 0.62,
    "paint": 0.60,
    "cabs_trim": 0.62,
    "finish_set": 0.70,
    "closeout": 0.65,
}
"""Site days with two people over site days alone; person-days are twice that."""

CREW_LEANING = {
    "precon": 0.0,
    "demo": 1.3,
    "elec_rough": 0.7,
    "vent": 0.7,
    "plumb_rough": 0.9,
    "closeout": 0.5,
}
"""How readily a phase is done with two people, against 1.0 for the rest."""

GRADES = {"basic": (0.95, 0.80), "middle": (1.0, 1.0), "high": (1.08, 1.40)}
"""Finish level: what it multiplies days and goods of the visible phases by."""

VISIBLE = ("tile", "cabs_trim", "finish_set")

Table = Mapping[str, Mapping[str, float]]

WORK: Table = {
    "precon": {"always": 0.40, "gut": 0.25, "area": 0.003, "kitchen_cabinets?": 0.6},
    "setup": {"always": 0.30, "area": 0.004, "gut": 0.15},
    "demo": {
        "gut": 0.55,
        "gut_area": 0.020,
        "part": 0.35,
        "part_area": 0.008,
        "tub_removal": 0.25,
        "wall_removal": 0.06,
        "kitchen_cabinets": 0.05,
        "old_gut": 0.35,
    },
    "framing": {
        "gut": 0.30,
        "subfloor_repair": 0.014,
        "floor_leveling": 0.012,
        "niche": 0.18,
        "bench": 0.35,
        "blocking": 0.08,
        "curbless": 0.80,
        "new_partition": 0.09,
        "door_window": 0.40,
        "wall_removal": 0.06,
    },
    "plumb_rough": {
        "shower_valve": 0.45,
        "tub_install": 0.40,
        "freestanding_tub": 0.70,
        "move_drain": 0.65,
        "repipe": 0.30,
        "tub_to_shower": 0.45,
        "laundry_hookup": 0.50,
        "lav_sink": 0.20,
        "toilet": 0.10,
        "kitchen_cabinets": 0.05,
    },
    "elec_rough": {
        "lighting": 0.10,
        "outlet": 0.10,
        "new_circuit": 0.35,
        "heated_floor?": 0.35,
        "bath_fan": 0.15,
    },
    "vent": {"bath_fan": 0.50, "laundry_hookup": 0.30},
    "board": {
        "gut": 0.70,
        "gut_area": 0.024,
        "part": 0.50,
        "part_area": 0.006,
        "new_partition": 0.06,
        "wall_removal": 0.06,
    },
    "waterproof": {
        "backer": 0.0080,
        "membrane": 0.0060,
        "tiled_shower_floor?": 0.50,
        "curbless": 0.40,
        "niche": 0.12,
        "bench": 0.20,
    },
    "tile": {
        "wall_tile": 0.025,
        "floor_tile": 0.022,
        "mosaic": 0.045,
        "tiled_shower_floor?": 0.50,
        "niche": 0.30,
        "bench": 0.35,
        "curbless": 0.35,
        "heated_floor?": 0.20,
        "backsplash?": 0.30,
        "backsplash": 0.035,
    },
    "paint": {"paint?": 0.45, "paint_area": 0.011},
    "cabs_trim": {
        "always": 0.30,
        "vanity": 0.65,
        "countertop?": 0.25,
        "kitchen_cabinets": 0.40,
        "vinyl_plank?": 0.30,
        "vinyl_plank": 0.012,
        "door_window": 0.35,
    },
    "finish_set": {
        "toilet": 0.22,
        "lav_sink": 0.20,
        "faucet": 0.12,
        "shower_valve": 0.18,
        "shower_glass": 0.35,
        "tub_install": 0.40,
        "freestanding_tub": 0.55,
        "shower_base": 0.35,
        "mirror": 0.12,
        "accessories": 0.06,
        "lighting": 0.07,
        "laundry_hookup": 0.30,
        "bath_fan": 0.10,
        "kitchen_cabinets": 0.05,
    },
    "closeout": {"always": 0.40, "area": 0.005},
}
"""Person-days alone, by phase and driver (an item's size; ``item?`` = there or not)."""

GOODS: Mapping[str, Table] = {
    "precon": {"permit": {"gut": 140, "kitchen_cabinets?": 120}},
    "setup": {"material": {"always": 55, "area": 0.5}},
    "demo": {"disposal": {"gut": 210, "gut_area": 2.2, "part": 110, "part_area": 0.8}},
    "framing": {
        "material": {
            "gut": 70,
            "subfloor_repair": 4.0,
            "floor_leveling": 3.5,
            "niche": 25,
            "bench": 60,
            "blocking": 10,
            "curbless": 120,
            "new_partition": 14,
            "door_window": 320,
            "wall_removal": 22,
        },
        "rental": {"floor_leveling?": 75, "wall_removal?": 90},
    },
    "plumb_rough": {
        "material": {"shower_valve": 170, "laundry_hookup": 90, "repipe": 70, "always": 30},
        "sub": {"move_drain": 330, "freestanding_tub": 240, "tub_to_shower": 210, "gut": 230},
    },
    "elec_rough": {
        "material": {"lighting": 28, "outlet": 16, "heated_floor": 9.0},
        "sub": {"new_circuit": 310, "gut": 260, "kitchen_cabinets?": 480},
    },
    "vent": {"material": {"bath_fan": 150, "laundry_hookup": 45}},
    "board": {
        "material": {"gut": 90, "gut_area": 2.6, "part": 45, "part_area": 0.6, "new_partition": 9}
    },
    "waterproof": {
        "material": {"backer": 2.0, "membrane": 1.9, "tiled_shower_floor?": 110, "curbless": 140}
    },
    "tile": {
        "material": {
            "wall_tile": 6.2,
            "floor_tile": 6.6,
            "mosaic": 17,
            "backsplash": 9,
            "niche": 45,
            "bench": 80,
        }
    },
    "paint": {"material": {"paint?": 45, "paint_area": 0.8}},
    "cabs_trim": {
        "material": {
            "always": 60,
            "vanity": 560,
            "kitchen_cabinets": 185,
            "vinyl_plank": 3.9,
            "door_window": 40,
        },
        "sub": {"countertop": 58},
    },
    "finish_set": {
        "material": {
            "toilet": 260,
            "lav_sink": 90,
            "faucet": 130,
            "shower_valve": 120,
            "tub_install": 480,
            "freestanding_tub": 1250,
            "shower_base": 420,
            "mirror": 110,
            "accessories": 32,
            "lighting": 48,
        },
        "sub": {"shower_glass": 880},
    },
    "closeout": {"material": {"always": 25}},
}
"""Dollars at :data:`BASE_DAY` besides labour, by phase, cost kind and driver."""


@dataclass(frozen=True)
class Scope:
    """What a job of the invented firm consists of; sizes are in each item's own unit."""

    kind: str
    title: str
    area: float
    grade: str
    house_year: int
    items: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Content:
    """The work in one phase: person-days of one person alone, and dollars by kind of cost."""

    days: float
    goods: Mapping[str, float]


class Dice:
    """Seeded chance that is the same on every machine: all draws go through ``random()``."""

    def __init__(self, purpose: str, seed: int = SEED) -> None:
        self._random = Random(f"{seed} {purpose}")
        self._normal = NormalDist()

    def share(self) -> float:
        """A number between 0 and 1."""
        return self._random.random()

    def between(self, low: float, high: float) -> float:
        """A number between two others."""
        return low + (high - low) * self.share()

    def whole(self, low: int, high: int) -> int:
        """A whole number from low to high, both included."""
        return low + int(self.share() * (high - low + 1))

    def chance(self, odds: float) -> bool:
        """True with the given odds."""
        return self.share() < odds

    def pick(self, among: tuple[T, ...]) -> T:
        """One of several things."""
        return among[self.whole(0, len(among) - 1)]

    def normal(self, spread: float) -> float:
        """A draw from the normal distribution with mean 0 and the given standard deviation."""
        return spread * self._normal.inv_cdf(min(max(self.share(), 1e-9), 1 - 1e-9))


def price_level(day: date) -> float:
    """What a day's prices are, relative to :data:`BASE_DAY`."""
    return float((1 + YEARLY_RISE) ** ((day - BASE_DAY).days / 365.25))


def day_rate(day: date) -> float:
    """Loaded cost of one person-day at a date, in dollars."""
    return DAY_RATE * price_level(day)


def crew_change(phase: str, crew: int) -> float:
    """Person-days of a phase with this crew, over person-days of one person alone."""
    return 2 * CREW_FACTOR[phase] if crew == 2 else 1.0


def content_of(scope: Scope) -> dict[str, Content]:
    """The work in each phase of a scope, in the order of the trade; empty phases are left out."""
    drivers = _drivers(scope)
    days_by, goods_by = GRADES[scope.grade]
    found: dict[str, Content] = {}
    for phase, needs in WORK.items():
        seen = phase in VISIBLE
        days = PACE * _sum(needs, drivers) * (days_by if seen else 1.0)
        if days < 0.05:
            continue
        goods = {
            kind: _sum(rates, drivers) * (goods_by if seen else 1.0)
            for kind, rates in GOODS[phase].items()
        }
        found[phase] = Content(days, {k: v for k, v in goods.items() if v > 0})
    return found


def solo_days(scope: Scope) -> float:
    """Person-days one person alone would need for the whole scope if nothing overran."""
    return sum(c.days for c in content_of(scope).values())


def expected_waits(scope: Scope) -> dict[str, float]:
    """Working days usually lost after each phase to drying, curing, inspection, late goods."""
    has = scope.items
    waits = {
        "plumb_rough": 0.5 if "gut_demo" in has else 0.0,
        "board": 1.0 if "gut_demo" in has else 0.5,
        "waterproof": 1.5 if "tiled_shower_floor" in has else (0.5 if "membrane" in has else 0.0),
        "tile": 1.0 if "tiled_shower_floor" in has else 0.5,
        "cabs_trim": 1.5 if "shower_glass" in has or "countertop" in has else 0.0,
    }
    present = content_of(scope)
    return {p: w for p, w in waits.items() if w and p in present}


def _drivers(scope: Scope) -> dict[str, float]:
    gut = 1.0 if "gut_demo" in scope.items else 0.0
    part = 1.0 if "part_demo" in scope.items else 0.0
    drivers = {
        "always": 1.0,
        "area": scope.area,
        "gut": gut,
        "gut_area": gut * scope.area,
        "part": part,
        "part_area": part * scope.area,
        "old_gut": gut if scope.house_year < 1960 else 0.0,
        "paint_area": scope.area if "paint" in scope.items else 0.0,
    }
    for key, size in scope.items.items():
        drivers[key] = size
        drivers[key + "?"] = 1.0
    return drivers


def _sum(rates: Mapping[str, float], drivers: Mapping[str, float]) -> float:
    return sum(rate * drivers.get(name, 0.0) for name, rate in rates.items())

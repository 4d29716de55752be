"""A sixth invented world that nothing was chosen on: looked at when all choices were made.

Prices come in bands of size and are multiplied by a factor of the finish; some extras are cheap
because a neighbouring item has already opened the wall; prices rise ever faster; most jobs go as
thought and one in five does not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from laws import Calendar, Drivers, Floats, Simulated
from numpy.random import Generator
from worlds import Laws, World

BANDS = np.array([40.0, 65.0, 110.0])


@dataclass(frozen=True)
class Packages(Simulated):
    """Packages by size band and finish, bundled extras, rare rough jobs."""

    bands: Floats
    finish: Floats
    extras: Floats
    per_wall: float
    rise: float
    calm: float
    rough: float

    def draw(self, rng: Generator, jobs: Drivers, size: int) -> Floats:
        """Totals, shape (size, n)."""
        package = self.bands[np.searchsorted(BANDS, jobs.area)]
        base = package * self.finish[jobs.grade.astype(int)]
        bundled = 1 - 0.5 * jobs.items[:, 0]
        extra = (jobs.items[:, 1:] @ self.extras) * bundled
        plain = base + extra + self.per_wall * jobs.wall + 0.06 * self.bands[0] * jobs.moved
        level = np.exp(self.rise * jobs.date**2)
        shape = (size, len(jobs.area))
        rough = rng.random(shape) < 0.2
        off = rng.normal(0, 1, shape) * np.where(rough, self.rough, self.calm)
        return np.asarray(plain * level * np.exp(off + 0.12 * rough))


def _packages(rng: Generator, years: float) -> Laws:
    def law(unit: float, rise: float) -> Packages:
        steps = np.array([1.0, rng.uniform(1.15, 1.4), rng.uniform(1.5, 2.0), rng.uniform(2.1, 3)])
        extras = np.array([900, 500, 2200, 1100, 700, 2600, 1500.0]) / unit
        return Packages(
            rng.uniform(6500, 10_000) / unit * steps,
            np.array([1.0, rng.uniform(1.1, 1.3), rng.uniform(1.35, 1.8)]),
            extras * np.exp(rng.normal(0, 0.3, 7)),
            rng.uniform(6, 16) / unit,
            rise,
            rng.uniform(0.07, 0.13),
            rng.uniform(0.2, 0.35),
        )

    cost = law(1.0, rng.uniform(0, 0.2) / years**2)
    work = law(800.0, 0.0)
    lumps = np.array([0.5, 0.5, 0.0, 3.0, 0.5, 1.0, 2.0, 5.0]) * rng.uniform(0.5, 1.5)
    elapsed = Calendar(work, rng.uniform(1.3, 1.8), rng.uniform(2, 5), lumps, 0.12)
    return {"cost": cost, "person_days": work, "elapsed_days": elapsed}


HELD_OUT = World("packages", _packages, 0.96, 0.155, in_bars=False)

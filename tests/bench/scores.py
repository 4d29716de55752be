"""What a method says of some jobs, and how good that was beside an oracle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from laws import Floats
from worlds import Trial

from costlearn.models.scoring import CHANCES, crps_of_quantiles, interval_score

LEVELS = (0.5, 0.8, 0.9)
AT = LEVELS.index(0.8)


@dataclass(frozen=True)
class Said:
    """``ends`` of the intervals, shape (levels, jobs, 2); ``points``, the 1 % to 99 % points,
    shape (jobs, 99), where the method gives a whole distribution."""

    ends: Floats
    points: Floats | None = None


@dataclass(frozen=True)
class Row:
    """What one method did in one world at one history size; scores as multiples of the oracle's."""

    world: str
    size: int
    target: str
    quoted: bool
    method: str
    score: float
    error: float
    crps: float
    covered: tuple[float, ...]
    width: float
    histories: int
    failed: int
    seconds: float


def oracle(trial: Trial, target: str) -> Said:
    """What someone says who knows the law."""
    chances = [c for level in LEVELS for c in ((1 - level) / 2, (1 + level) / 2)]
    found = trial.laws[target].quantiles(trial.next_jobs.jobs, [*chances, *CHANCES, 0.5])
    ends = np.stack([found[2 * k : 2 * k + 2].T for k in range(len(LEVELS))])
    return Said(ends, found[2 * len(LEVELS) : -1].T)


class Tally:
    """Sums over the histories of one method."""

    def __init__(self) -> None:
        self.own: list[float] = []
        self.best: list[float] = []
        self.crps: list[float] = []
        self.best_crps: list[float] = []
        self.held: list[Floats] = []
        self.width: list[Floats] = []
        self.failed = 0
        self.seconds: list[float] = []

    def add(self, said: Said | None, best: Said, value: Floats, seconds: float) -> None:
        """One history: what the method said, what the oracle said, and what came."""
        if said is None:
            self.failed += 1
            return
        assert best.points is not None
        unit = best.points[:, 49]
        self.own.append(_score(said, value, unit))
        self.best.append(_score(best, value, unit))
        if said.points is not None:
            self.crps.append(float(np.mean(crps_of_quantiles(said.points, value) / unit)))
            self.best_crps.append(float(np.mean(crps_of_quantiles(best.points, value) / unit)))
        inside = (said.ends[:, :, 0] <= value) & (value <= said.ends[:, :, 1])
        self.held.append(inside.mean(axis=1))
        self.width.append((said.ends[AT, :, 1] - said.ends[AT, :, 0]) / unit)
        self.seconds.append(seconds)

    def row(self, world: str, size: int, target: str, quoted: bool, method: str) -> Row:
        """The figures; NaN where no history could be fitted."""
        if not self.own:
            gap, held = float("nan"), (float("nan"),) * len(LEVELS)
            key = (world, size, target, quoted, method)
            return Row(*key, gap, gap, gap, held, gap, 0, self.failed, gap)
        own, best = np.array(self.own), np.array(self.best)
        ratio = own.sum() / best.sum()
        error = np.sqrt(np.sum((own - ratio * best) ** 2)) / best.sum()
        crps = sum(self.crps) / sum(self.best_crps) if self.crps else float("nan")
        return Row(
            world,
            size,
            target,
            quoted,
            method,
            float(ratio),
            float(error),
            float(crps),
            tuple(np.mean(self.held, axis=0).tolist()),
            float(np.median(np.concatenate(self.width))),
            len(self.own),
            self.failed,
            float(np.mean(self.seconds)),
        )


def _score(said: Said, value: Floats, unit: Floats) -> float:
    low, high = said.ends[AT].T
    return float(np.mean(interval_score(low, high, value, 0.8) / unit))


def mean_row(rows: Sequence[Row], name: str) -> Row:
    """The mean over worlds of rows of one method; NaN where a world has no figure."""
    first = rows[0]
    return Row(
        name,
        first.size,
        first.target,
        first.quoted,
        first.method,
        float(np.mean([r.score for r in rows])),
        float(np.sqrt(np.sum([r.error**2 for r in rows])) / len(rows)),
        float(np.mean([r.crps for r in rows])),
        tuple(np.mean([r.covered for r in rows], axis=0).tolist()),
        float(np.mean([r.width for r in rows])),
        sum(r.histories for r in rows),
        sum(r.failed for r in rows),
        float(np.mean([r.seconds for r in rows])),
    )

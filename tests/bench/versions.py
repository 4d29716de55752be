"""How well the difference of two versions of a job is foretold: ``python tests/bench/versions.py``.

In each invented world (``worlds.py``) a firm is asked about jobs in two versions: one item more or
one less. What really happens is drawn twice from the world's law with the same random numbers, so
that the luck of the job is common to both and the luck of the changed line is its own. Counted:
how often the 80 % range holds the true difference, said odds that the second comes to more against
how often it did, and the width beside that of two ranges taken off each other.

As everywhere here, the worlds are invented: they show whether ranges are what they say under laws
that were not made for the method, not how a real firm fares.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from laws import Drivers, Floats
from ours import records_of
from worlds import ITEMS, WORLDS, Sample, World, make_trial

from costlearn.features.pairs import alike
from costlearn.questions.quoting.differing import Difference, compared
from costlearn.records import History

AHEAD = 4
SIZES = (8, 20, 35, 60)
TARGETS = ("cost", "person_days")


@dataclass(frozen=True)
class Asked:
    """One question and its outcome: the true difference, second less first."""

    said: Difference
    truth: float

    @property
    def held(self) -> bool:
        """Whether the 80 % range held the truth."""
        return self.said.interval.holds(self.truth)

    @property
    def width(self) -> float:
        """Width of the range as a share of that of the ends taken off each other."""
        one, other = self.said.first.interval, self.said.second.interval
        return (self.said.interval.high - self.said.interval.low) / (
            other.high - one.low - (other.low - one.high)
        )


def _flipped(sample: Sample, items: Floats) -> Sample:
    jobs = sample.jobs
    return replace(sample, jobs=Drivers(**{**vars(jobs), "items": items}))


def ask(world: World, size: int, seed: int, target: str) -> list[Asked]:
    """One firm's questions: each job ahead with one of its items added or left out."""
    rng = np.random.default_rng(seed)
    trial = make_trial(world, size, AHEAD, rng)
    firm = History(jobs=records_of(trial.history, "finished"))
    ahead = trial.next_jobs
    items = ahead.jobs.items.copy()
    at = rng.integers(0, len(ITEMS), AHEAD)
    items[np.arange(AHEAD), at] = 1 - items[np.arange(AHEAD), at]
    other = _flipped(ahead, items)
    luck = int(rng.integers(1 << 30))
    law = trial.laws[target]
    low, high = (law.draw(np.random.default_rng(luck), s.jobs, 1)[0] for s in (ahead, other))
    found = []
    pairs = zip(records_of(ahead, "quoted"), records_of(other, "quoted"), strict=True)
    for k, (first, second) in enumerate(pairs):
        one, two, _ = alike(first, second)
        answer = compared(firm, one, two, target)
        if answer is not None:
            found.append(Asked(answer.difference, float(high[k] - low[k])))
    return found


def run(world: World, size: int, firms: int, target: str = "cost") -> list[Asked]:
    """The questions of several firms of one world."""
    return [one for seed in range(firms) for one in ask(world, size, 7_000 + seed, target)]


def line(name: str, size: int, target: str, asked: Sequence[Asked]) -> str:
    """One row of the table."""
    held = np.mean([a.held for a in asked])
    odds = np.array([a.said.chance_more for a in asked], dtype=float)
    came = np.array([a.truth > 0 for a in asked], dtype=float)
    real = np.array([a.truth != 0 for a in asked])
    lean = odds[real] > 0.5
    sure = np.where(lean, odds[real], 1 - odds[real])
    right = np.where(lean, came[real], 1 - came[real])
    said, was = (sure.mean(), right.mean()) if real.any() else (np.nan, np.nan)
    width = np.median([a.width for a in asked])
    return (
        f"{name:16s} {target:12s} {size:4d} {100 * held:5.1f} held   "
        f"side said {said:.2f}, right {was:.2f}   width {width:.2f} of two ranges"
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--firms", type=int, default=40)
    parser.add_argument("--short", action="store_true", help="12 firms, two sizes")
    told = parser.parse_args()
    firms, sizes = (12, (8, 35)) if told.short else (told.firms, SIZES)
    for target in TARGETS:
        for size in sizes:
            every = []
            for world in WORLDS:
                asked = run(world, size, firms, target)
                print(line(world.name, size, target, asked))
                every += asked if world.in_bars else []
            print(line("mean of four", size, target, every))


if __name__ == "__main__":
    main()

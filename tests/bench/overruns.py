"""How far the calls on phase overruns can be trusted: ``python tests/bench/overruns.py [firms]``.

Invented firms whose true phase overruns are known, in worlds of different form:

* ``even``: a phase's ratios scatter normally about its own mean, a job adds something to all;
* ``rough``: heavy tails (Student's t, 3 degrees of freedom), and one record in 14 is a surprise
  that adds a third to a doubling, more often in some phases than in others;
* ``tied``: no job effect; each phase has a scatter of its own (.08 to .45), and half of the phases
  are missing from a job.

The truth of a phase is the mean of its log ratio, surprises included. Printed for each number of
jobs: coverage of the pooled 80 % interval, error and bias of the top phase (pooled and raw), firms
with any false "runs over" (all phases truly alike, at 0, 3 or 5 % over), and power where 3 of 10
phases run 12 to 30 % over, beside Benjamini-Hochberg at 5 % (which keeps about as few firms from
false calls as ours) and at 10 % on plain t tests of the raw records. Then, of the phases that are
called, how many truly matter and how many lie in their 80 % interval: a call picks the phases whose
luck was bad, so fewer than 80 % do where phases differ little.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from costlearn.models.pooling import called_over, pool
from costlearn.models.signal import false_discoveries, luck_above
from costlearn.questions.overrun.phases import FEWEST_SURE

Floats = NDArray[np.float64]
PHASES = 10
MATTERS = 1.05
COUNTS = (3, 5, 8, 12, 20, 35)
SURPRISE = 1 / 14
Drawn = tuple[Floats, NDArray[np.bool_]]


@dataclass(frozen=True)
class World:
    """A world: draws log ratios (jobs, phases) about a truth, and which of them are on file."""

    name: str
    draw: Callable[[Generator, int, Floats], tuple[Drawn, Floats]]


def _even(rng: Generator, jobs: int, truth: Floats) -> tuple[Drawn, Floats]:
    noise = rng.uniform(0.15, 0.35, len(truth))
    shared = rng.normal(0, 0.1, (jobs, 1))
    y = truth + shared + noise * rng.normal(size=(jobs, len(truth)))
    return (y, np.ones(y.shape, dtype=bool)), truth


def _rough(rng: Generator, jobs: int, truth: Floats) -> tuple[Drawn, Floats]:
    noise = rng.uniform(0.09, 0.2, len(truth))
    often = rng.dirichlet(np.full(len(truth), 2.0)) * SURPRISE * len(truth)
    shared = rng.normal(0, 0.08, (jobs, 1))
    scatter = rng.standard_t(3, (jobs, len(truth))) * noise
    met = rng.random((jobs, len(truth))) < often
    y = truth + shared + scatter + met * np.log(rng.uniform(4 / 3, 2, met.shape))
    # Mean of log u over u uniform on (4/3, 2): (u log u - u) between the ends, over their distance.
    mean = (2 * np.log(2) - 2 - (4 / 3 * np.log(4 / 3) - 4 / 3)) / (2 / 3)
    return (y, np.ones(y.shape, dtype=bool)), truth + often * mean


def _tied(rng: Generator, jobs: int, truth: Floats) -> tuple[Drawn, Floats]:
    noise = np.geomspace(0.08, 0.45, len(truth))[rng.permutation(len(truth))]
    y = truth + noise * rng.normal(size=(jobs, len(truth)))
    on_file = rng.random(y.shape) < 0.5
    on_file[rng.integers(0, jobs, len(truth)), np.arange(len(truth))] = True
    return (y, on_file), truth


WORLDS = (World("even", _even), World("rough", _rough), World("tied", _tied))


@dataclass(frozen=True)
class Row:
    """What was measured in one world at one number of jobs; shares, biases in log points."""

    world: str
    jobs: int
    coverage: float
    rmse: float
    rmse_raw: float
    top_bias: float
    top_bias_raw: float
    power: float
    power_raw: tuple[float, float]
    wrong: float
    wrong_raw: tuple[float, float]


def some_over(rng: Generator) -> Floats:
    """Three of ten phases run 12 to 30 % over."""
    truth = np.zeros(PHASES)
    truth[rng.permutation(PHASES)[:3]] = np.log(rng.uniform(1.12, 1.30, 3))
    return truth


Flags = tuple[Floats, Floats, Floats, NDArray[np.bool_], NDArray[np.bool_]]


def flags(y: Floats, on_file: NDArray[np.bool_]) -> Flags:
    """Pooled means, their 80 % ends, raw means; our calls, and plain ones at 5 and 10 %, a row."""
    job, phase = np.nonzero(on_file)
    found = pool(y[job, phase], phase, job)
    means = np.array([g.mean for g in found.groups])
    ends = np.log([[g.interval(0.8).low, g.interval(0.8).high] for g in found.groups])
    raw = np.array([g.raw for g in found.groups])
    enough = on_file.sum(axis=0) >= FEWEST_SURE
    ours = np.array(called_over(found, MATTERS)) & enough
    tested = [k for k in range(y.shape[1]) if on_file[:, k].sum() >= 2]
    plain = np.zeros((2, y.shape[1]), dtype=bool)
    if tested:
        p = [luck_above(y[on_file[:, k], k], np.log(MATTERS)) for k in tested]
        plain[:, tested] = [false_discoveries(p, rate).rejected for rate in (0.05, 0.1)]
    return means, ends, raw, ours, plain


def measure(world: World, jobs: int, firms: int, seed: int = 0) -> Row:
    """Run one cell: firms with three phases that overrun, and firms whose phases are all alike."""
    held, square, top, hits, chances = [], [], [], [], 0
    wrong = []
    for firm in range(firms):
        rng = np.random.default_rng([seed, jobs, firm])
        (y, on_file), truth = world.draw(rng, jobs, some_over(rng))
        means, ends, raw, ours, plain = flags(y, on_file)
        held.append((ends[:, 0] <= truth) & (truth <= ends[:, 1]))
        square.append([(means - truth) ** 2, (raw - truth) ** 2])
        best, best_raw = int(np.argmax(means)), int(np.argmax(raw))
        top.append([means[best] - truth[best], raw[best_raw] - truth[best_raw]])
        real = truth > np.log(1.10)
        hits.append([(ours & real).sum(), *(plain & real).sum(axis=1)])
        chances += int(real.sum())
        wrong.append(_wrong(world, rng, jobs, firm))
    rmse = np.sqrt(np.mean(square, axis=(0, 2)))
    bias = np.mean(top, axis=0)
    power = np.sum(hits, axis=0) / chances
    false = np.mean(wrong, axis=0)
    return Row(
        world.name,
        jobs,
        float(np.mean(held)),
        *map(float, (*rmse, *bias)),
        float(power[0]),
        (float(power[1]), float(power[2])),
        float(false[0]),
        (float(false[1]), float(false[2])),
    )


def _wrong(world: World, rng: Generator, jobs: int, firm: int) -> tuple[bool, ...]:
    """Whether any phase is called, by us and by plain tests, where none truly matters."""
    level = np.log((1.0, 1.03, 1.05)[firm % 3])
    (y, on_file), truth = world.draw(rng, jobs, np.zeros(PHASES))
    # Surprises fall where they fall: every phase is brought to the same true mean.
    _, _, _, ours, plain = flags(y - truth + level, on_file)
    return (bool(ours.any()), *map(bool, plain.any(axis=1)))


def called(law: Callable[[Generator], Floats], jobs: int, firms: int) -> tuple[int, float, float]:
    """Of all worlds: how many phases are called, the share that truly matter, and that are held."""
    number = matter = held = 0
    for world in WORLDS:
        for firm in range(firms):
            rng = np.random.default_rng([7, jobs, firm])
            (y, on_file), truth = world.draw(rng, jobs, law(rng))
            _, ends, _, ours, _ = flags(y, on_file)
            inside = (ends[:, 0] <= truth) & (truth <= ends[:, 1])
            number += int(ours.sum())
            matter += int((ours & (truth > np.log(MATTERS))).sum())
            held += int((ours & inside).sum())
    return number, matter / max(number, 1), held / max(number, 1)


def spread_by(sd: float) -> Callable[[Generator], Floats]:
    """Phases that differ normally about a common 4 % over."""
    return lambda rng: rng.normal(0.04, sd, PHASES)


def print_called(firms: int) -> None:
    """Print what became of the phases that were called."""
    print("phases      jobs  called  truly over 5 %  held in 80 %")
    laws = (("3 of 10", some_over), ("differ .1", spread_by(0.1)), ("differ .2", spread_by(0.2)))
    for name, law in laws:
        for jobs in COUNTS[1:]:
            number, matter, held = called(law, jobs, firms)
            print(f"{name:10} {jobs:5} {number:7}   {matter:10.0%}    {held:9.0%}", flush=True)


def main(firms: int = 300) -> None:
    """Print the tables."""
    print(f"{firms} firms a cell; raw = from plain records; wrong = firms with any false call")
    print(
        "world jobs  coverage  rmse   raw    top bias  raw     power  raw 5 %  10 %   "
        "wrong  raw 5 %  10 %"
    )
    for world in WORLDS:
        for jobs in COUNTS:
            r = measure(world, jobs, firms)
            print(
                f"{r.world:6}{r.jobs:3}   {r.coverage:6.1%}   {r.rmse:.3f}  {r.rmse_raw:.3f}  "
                f"{r.top_bias:+.3f}    {r.top_bias_raw:+.3f}  {r.power:5.0%}  {r.power_raw[0]:5.0%}"
                f"   {r.power_raw[1]:4.0%}   {r.wrong:5.1%}  {r.wrong_raw[0]:5.1%}   "
                f"{r.wrong_raw[1]:5.1%}",
                flush=True,
            )
    print_called(firms // 3)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 300)

"""When a job would be finished: site days and wait days laid on working days, phase after phase.

Wait days belong to the calendar: nobody dries mortar faster by being two. They come from the firm's
records; only where none is on file, usual waits of the trade stand in, marked as such.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from costlearn.models.distribution import Floats
from costlearn.models.few_counts import next_counts
from costlearn.records import History, Job
from costlearn.vocabulary import standard
from costlearn.workdays import Workdays

SEED = 31
ENOUGH_ALIKE = 3
USUAL_WAITS = {"board": 1.0, "waterproof": 2.0, "tile": 1.0}
"""Working days after a phase where none is on file. Tile: grout 24 h or more after setting
(ANSI A108); membrane: no flood test in the first 24 h, then 24 h of test (ASTM D5957, often
borrowed for showers); board: joint compound a day a coat (common practice, no source)."""


@dataclass(frozen=True)
class Waits:
    """Wait days of a job, by phase where known, and where they come from.

    ``source`` is "recorded", "usual of the trade, none on file", or "none on file".
    """

    total: float
    by_phase: Mapping[str, float]
    source: str


@dataclass(frozen=True)
class Stretch:
    """One phase on the calendar: first and last day on site, then wait days."""

    name: str
    first: date
    last: date
    wait: float


@dataclass(frozen=True)
class Between:
    """Days of a job without work on site, from its first to its last day, as draws.

    ``waits`` are those of the records or the trade; ``gaps`` all other days nobody worked there
    (elapsed less site and wait days). ``wait_jobs`` and ``gap_jobs`` tell how many jobs say so;
    0 gap jobs: other gaps are not known, and not counted.
    """

    waits: Waits
    wait_draws: Floats
    gap_draws: Floats
    wait_jobs: int
    gap_jobs: int

    @property
    def draws(self) -> Floats:
        """All days without work on site."""
        return self.wait_draws + self.gap_draws


def usual_wait(history: History, new: Job | None) -> float | None:
    """Mean recorded wait days of the jobs most like a new one; None where there is no record."""
    pool = recorded_waits(history, new)
    return float(np.mean(pool)) if pool else None


def recorded_waits(history: History, new: Job | None) -> list[float]:
    """Wait days of the finished jobs most like a new one; empty where none was ever recorded."""
    return _of_kind(history, new, lambda j: j.actual.wait_days)


def between(history: History, new: Job, phases: Sequence[str], size: int) -> Between:
    """The days without work on site to reckon with in a job, shape (size,) each.

    Where no job records its waits but some say first and last day and days on site, the usual waits
    of the trade are taken out of the days between; never fewer than those waits are kept.
    """
    waits = waits_of(history, new, phases)
    waited = recorded_waits(history, new) or _waited_by_phase(history, new)
    if waited:
        gaps = _of_kind(history, new, lambda j: _idle(j, j.actual.wait_days))
        drawn = next_counts(waited, size, SEED)
        return Between(waits, drawn, next_counts(gaps, size, SEED + 1), len(waited), len(gaps))
    idle = _of_kind(history, new, lambda j: _idle(j, 0.0))
    kept = np.full(size, waits.total)
    rest = np.maximum(next_counts(idle, size, SEED) - kept, 0.0)
    return Between(waits, kept, rest, 0, len(idle))


def _idle(job: Job, waited: float | None) -> float | None:
    """Working days from first to last less those on site and those waited; None if not known."""
    elapsed, site = job.actual.elapsed_days, job.actual.site_days
    if elapsed is None or site is None or waited is None:
        return None
    return max(elapsed - site - waited, 0.0)


def _of_kind(
    history: History, new: Job | None, figure: Callable[[Job], float | None]
) -> list[float]:
    """A figure of the finished jobs most like the new one that say it; of all without one.

    Most like: of its kind and as wet (with a membrane or without), where there are three; else of
    its kind; else all.
    """
    known = [(j, v) for j in history.usable if (v := figure(j)) is not None]
    if new is None:
        return [v for _, v in known]
    kind = [(j, v) for j, v in known if j.kind == new.kind]
    wet = [v for j, v in kind if j.scope and new.scope and _wet(j) == _wet(new)]
    return wet if len(wet) >= ENOUGH_ALIKE else [v for _, v in kind or known]


def _wet(job: Job) -> bool:
    """True if something in the job must be made watertight, which has to cure and be tested."""
    return any(i.role == "wet" and job.scope.get(i.key) for i in standard().items)


def _waited_by_phase(history: History, new: Job) -> list[float]:
    """Wait days summed over phases, of the jobs that say any."""

    def summed(job: Job) -> float | None:
        known = [w for p in job.phases if (w := p.actual.wait_days) is not None]
        return sum(known) if known else None

    return _of_kind(history, new, summed)


def waits_of(history: History, new: Job, phases: Sequence[str]) -> Waits:
    """The wait days to reckon with in a job, shared out over its phases."""
    spread = _recorded_by_phase(history, new, phases)
    total = usual_wait(history, new)
    if total is None and spread:
        total = sum(spread.values())
    if total is not None:
        shape = spread or _usual(new, phases)
        whole = sum(shape.values())
        shared = {p: total * w / whole for p, w in shape.items()} if whole else {}
        return Waits(total, shared, "recorded")
    shape = _usual(new, phases)
    if not shape:
        return Waits(0.0, {}, "none on file")
    return Waits(sum(shape.values()), shape, "usual of the trade, none on file")


def _recorded_by_phase(history: History, new: Job, phases: Sequence[str]) -> dict[str, float]:
    """Mean wait days after each phase, over the jobs with any phase wait on file.

    Jobs of the new one's kind alone where there are enough of them.
    """
    jobs = [j for j in history.usable if any(p.actual.wait_days is not None for p in j.phases)]
    alike = [j for j in jobs if j.kind == new.kind]
    jobs = alike if len(alike) >= ENOUGH_ALIKE else jobs
    found = {}
    for key in phases:
        waited = [p.actual.wait_days or 0.0 for j in jobs for p in j.phases if p.phase == key]
        if sum(waited):
            found[key] = sum(waited) / len(jobs)
    return found


def _usual(new: Job, phases: Sequence[str]) -> dict[str, float]:
    """Usual waits of the phases the job has: those asked about, else those its scope speaks of."""
    named = [p for p in phases if p]
    if not named:
        named = [p for i in standard().items if new.scope.get(i.key) for p in i.phases]
    return {p: w for p, w in USUAL_WAITS.items() if p in named}


def calendar(
    names: Sequence[str],
    days: Sequence[float],
    waits: Sequence[float],
    start: date,
    workdays: Workdays,
) -> tuple[Stretch, ...]:
    """Phases one after the other from a start, each with its site days and then its waits."""
    gone = 0.0
    rows = []
    for name, site, wait in zip(names, days, waits, strict=True):
        first = workdays.on(start, gone + min(site, 0.01))
        last = workdays.on(start, gone + site)
        rows.append(Stretch(name, first, last, wait))
        gone += site + wait
    return tuple(rows)

"""When a job would be finished: site days and wait days laid on working days, phase after phase.

Wait days belong to the calendar: nobody dries mortar faster by being two. They come from the firm's
records; only where none is on file, usual waits of the trade stand in, marked as such.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from costlearn.records import History, Job
from costlearn.vocabulary import standard
from costlearn.workdays import Workdays

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


def usual_wait(history: History, new: Job | None) -> float | None:
    """Mean recorded wait days of finished jobs of the kind; None where none was ever recorded."""
    waits = [(j.kind, w) for j in history.usable if (w := j.actual.wait_days) is not None]
    alike = [w for kind, w in waits if new is None or kind == new.kind]
    pool = alike or [w for _, w in waits]
    return float(np.mean(pool)) if pool else None


def waits_of(history: History, new: Job, phases: Sequence[str]) -> Waits:
    """The wait days to reckon with in a job, shared out over its phases."""
    spread = _recorded_by_phase(history, phases)
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


def _recorded_by_phase(history: History, phases: Sequence[str]) -> dict[str, float]:
    """Mean wait days after each phase, over the jobs with any phase wait on file."""
    jobs = [j for j in history.usable if any(p.actual.wait_days is not None for p in j.phases)]
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

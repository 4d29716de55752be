"""Which records may speak of overruns: no copies of the plan, no slips of a whole job.

A job of which nearly every phase cost its plan to the cent was copied, not counted, and says that
plans are kept; a job that came to a hundredth or to ten times its plan in all phases is a slip
(cents, another unit) and would move the mean of every phase. Both are left out, and named.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np

from costlearn.features.copies import copied_by_phase
from costlearn.questions.overrun.records import Record
from costlearn.questions.wording import count_of, say_list
from costlearn.records import Job

FEWEST = 5
"""Jobs from which one can be said to be a slip."""
FACTOR = 4.0
"""A whole job so many times off what the others came to against plan is a slip, if it is also
beyond six robust spreads (trade judgement, no source)."""
SPREADS = 6.0
LEAST_SPREAD = 0.1
NAMED = 3


@dataclass(frozen=True)
class Sound:
    """Records that count; keys of jobs left out as copied, and as slips with their ratio."""

    records: tuple[Record, ...]
    copied: tuple[str, ...] = ()
    slipped: tuple[tuple[str, float], ...] = ()

    @property
    def left_out(self) -> tuple[str, ...]:
        """Keys of all jobs left out."""
        return (*self.copied, *(k for k, _ in self.slipped))


def sound(records: Sequence[Record], jobs: Sequence[Job]) -> Sound:
    """Part the records of one target into those that count and those that would mislead."""
    copies = {j.key for j in jobs if copied_by_phase(j)}
    kept = [r for r in records if r.job not in copies]
    odd = dict(_slipped(kept))
    copied = dict.fromkeys(r.job for r in records if r.job in copies)
    return Sound(tuple(r for r in kept if r.job not in odd), tuple(copied), tuple(odd.items()))


def _slipped(records: Sequence[Record]) -> list[tuple[str, float]]:
    """Jobs far off the others in the middle of their phases, and how many times their plan."""
    logs: dict[str, list[float]] = {}
    for r in records:
        logs.setdefault(r.job, []).append(log(r.ratio))
    if len(logs) < FEWEST:
        return []
    middles = np.array([np.median(v) for v in logs.values()])
    off = middles - np.median(middles)
    spread = max(1.4826 * float(np.median(np.abs(off))), LEAST_SPREAD)
    far = np.abs(off) > max(log(FACTOR), SPREADS * spread)
    return [(k, float(np.exp(m))) for k, m, f in zip(logs, middles, far, strict=True) if f]


def say_left_out(found: Sequence[Sound], names: dict[str, str]) -> tuple[str, ...]:
    """What was left out, in sentences; the same job of two targets is told once."""
    copied = list(dict.fromkeys(names[k] for s in found for k in s.copied))
    slipped = {names[k]: v for s in reversed(found) for k, v in s.slipped}
    said = []
    if copied:
        said.append(
            f"{count_of(len(copied), 'job')} left out, since nearly every phase cost its plan to "
            f"the cent: copied, not counted? ({_named(copied)})"
        )
    if slipped:
        rounded = {name: float(f"{ratio:.2g}") for name, ratio in slipped.items()}
        times = [f"{name} at {ratio:g} times its plan" for name, ratio in rounded.items()]
        said.append(f"Left out as a likely slip: {_named(times)}")
    return tuple(said)


def _named(names: Sequence[str]) -> str:
    more = len(names) - NAMED
    return say_list([*names[:NAMED], f"{more} more"] if more > 0 else names)

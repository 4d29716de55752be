"""The invented firm's working days, and how a job's phases fall on them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

DAY = timedelta(days=1)
FULL_DAY = 8.0


@dataclass(frozen=True, slots=True)
class WorkDay:
    """A stretch of one day on one phase: hours of each person there, or a day lost waiting."""

    day: date
    phase: str
    crew: int
    hours: float
    waiting: bool = False


def works(day: date) -> bool:
    """True on the days the firm works: Monday to Friday, not at the turn of the year."""
    return day.weekday() < 5 and (day.month, day.day) not in {
        (1, 1),
        (7, 4),
        (12, 24),
        (12, 25),
        (12, 26),
        (12, 31),
    }


def move(day: date, working_days: int) -> date:
    """The day so many working days later (or earlier, if negative)."""
    step = DAY if working_days >= 0 else -DAY
    left = abs(working_days)
    while left:
        day += step
        left -= works(day)
    return day


def build(
    begin: date, phases: Sequence[tuple[str, int, float, int]]
) -> tuple[tuple[WorkDay, ...], date]:
    """Put phases on working days, one after the other, eight hours a day.

    A phase's waiting starts the day after it; what is left of its last day goes to the next phase.

    Args:
        begin: first day on site.
        phases: phase, people, hours of each of them, days of waiting after it.

    Returns:
        The stretches of work and waiting in order, and the last day worked.
    """
    made: list[WorkDay] = []
    day, left = begin, FULL_DAY
    waits: list[str] = []
    for phase, crew, hours, waiting in phases:
        need = hours
        while need > 0:
            if left <= 0:
                day = move(day, 1)
                for after in waits:
                    made.append(WorkDay(day, after, 1, 0.0, waiting=True))
                    day = move(day, 1)
                waits, left = [], FULL_DAY
            spent = min(left, need)
            made.append(WorkDay(day, phase, crew, spent))
            need -= spent
            left -= spent
        waits += [phase] * waiting
    return tuple(made), max(w.day for w in made if not w.waiting)

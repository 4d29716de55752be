"""Phases on dates: each with its likely first and last day, and where both may fall; the finish."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from math import ceil

import numpy as np

from costlearn.models.distribution import Draws, Floats, Interval
from costlearn.questions.planning.drawn import Positions, SiteDays
from costlearn.workdays import Workdays

ONE = timedelta(days=1)
JUST_BEGUN = 0.01
"""A phase that begins when a day is full begins on the next one."""
SHOWN_WAIT = 0.25
"""Wait days under this are not worth a line (printed, they would be none)."""


@dataclass(frozen=True)
class Span:
    """One phase that likely occurs.

    ``first`` and ``last`` are its likely days, ``begins`` and ``ends`` the days between which it
    begins and ends 8 times in 10. ``site`` (8 in 10) and ``site_middle`` are its days of work if it
    occurs, ``wait`` the wait days after it on average. ``seen`` finished jobs recorded it.
    """

    phase: str
    name: str
    chance: float
    first: date
    last: date
    begins: tuple[date, date]
    ends: tuple[date, date]
    site: Interval
    site_middle: float
    wait: float
    helper: bool
    seen: int
    drawn: tuple[float, float, float]
    """The same as moments on the calendar: begin, end, end of the wait; days as ordinals (1 is
    1 January of year 1), parts of a day as fractions."""


@dataclass(frozen=True)
class Wait:
    """Whole days on which nobody works between two phases, for the wait after the first."""

    phase: str
    name: str
    first: date
    last: date
    days: float


@dataclass(frozen=True)
class Finish:
    """The last day on site: 1, 5 and 9 jobs in 10 are done by then, and the promise.

    ``promised`` is the day stated, or the one the quote's own working days lead to (``stated``
    False), with the chance to be done by it.
    """

    early: date
    likely: date
    late: date
    promised: date | None = None
    stated: bool = False
    chance: float | None = None


def spans_of(
    days: SiteDays,
    laid: Positions,
    waits: Floats,
    start: date,
    workdays: Workdays,
    names: Mapping[str, str],
    helped: Sequence[str],
) -> tuple[Span, ...]:
    """The phases that more than half of such jobs have, on dates.

    Args:
        days: their site days, for the chance of each and the jobs that recorded it.
        laid: where they begin and end, in working days gone since the start.
        waits: wait days after each in each draw, shape (draws, phases).
        start: the first day on site.
        workdays: the firm's calendar.
        names: of the phases.
        helped: phases with a helper.
    """
    return tuple(
        _span(days, laid, waits, start, workdays, k, names[key], key in helped)
        for k, key in enumerate(days.keys)
        if days.likely[k]
    )


def _span(
    days: SiteDays,
    laid: Positions,
    waits: Floats,
    start: date,
    workdays: Workdays,
    k: int,
    name: str,
    helper: bool,
) -> Span:
    there = days.draws[:, k] > 0
    begins = np.quantile(laid.begins[there, k], (0.1, 0.5, 0.9)) + JUST_BEGUN
    ends = np.quantile(laid.ends[there, k], (0.1, 0.5, 0.9))
    early, first, late = (workdays.on(start, float(v)) for v in begins)
    soon, last, end = (workdays.on(start, float(v)) for v in ends)
    work = Draws.of(laid.work[there, k])
    wait = float(np.mean(waits[:, k]))
    return Span(
        days.keys[k],
        name,
        days.chances[k],
        first,
        max(first, last),
        (early, late),
        (soon, max(end, late)),
        work.interval(0.8),
        work.median,
        wait,
        helper,
        days.seen[k],
        _moments(float(begins[1]), float(ends[1]), wait, start, workdays),
    )


def _moments(
    begin: float, end: float, wait: float, start: date, workdays: Workdays
) -> tuple[float, float, float]:
    """Begin, end and end of the wait; a wait that is not worth a line ends where the work does."""

    def moment(at: float, whole: int) -> float:
        return workdays.on(start, at).toordinal() + at - whole

    until = end + (wait if wait >= SHOWN_WAIT else 0.0)
    first = moment(begin, ceil(begin) - 1) - JUST_BEGUN
    last, over = (moment(at, max(ceil(at) - 1, 0)) for at in (end, until))
    return first, last, over


def waits_between(spans: Sequence[Span], workdays: Workdays) -> tuple[Wait, ...]:
    """The whole days between likely phases that waits are for."""
    found = []
    for one, following in pairwise(spans):
        first = workdays.after(one.last, 1.0)
        last = following.first - ONE
        if one.wait >= SHOWN_WAIT and workdays.count(first, last):
            found.append(Wait(one.phase, one.name, first, _last_working(last, workdays), one.wait))
    return tuple(found)


def _last_working(day: date, workdays: Workdays) -> date:
    return workdays.after(day, 0.0)

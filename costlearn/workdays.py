"""Which days a firm works, and how working days are counted: the one calendar all answers use.

Days of work are laid on working days of the firm: Monday to Friday unless it says otherwise, less
its holidays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from math import ceil
from typing import Any

from costlearn.errors import InputProblem, Place

WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
USUAL_WEEK = WEEK[:5]
LONGEST = 366
"""A range of holidays with more days than this is taken for a slip."""
RANGE = ".."
ONE = timedelta(days=1)
DUST = 1e-9
EXPECTED = "dates such as 2026-12-25, or ranges such as 2026-12-21..2027-01-02"


@dataclass(frozen=True)
class Workdays:
    """The days a firm works: weekdays (0 is Monday) but for ``off``, single dates in order.

    A holiday on a day off counts for nothing. Fractions of a day fill the day they fall on.
    """

    weekdays: tuple[int, ...] = (0, 1, 2, 3, 4)
    off: tuple[date, ...] = ()

    def works(self, day: date) -> bool:
        """True if the firm works on a day."""
        return day.weekday() in self.weekdays and day not in self.off

    def on(self, start: date, gone: float) -> date:
        """The working day on which so many working days have passed, the first from ``start`` on.

        >>> Workdays().on(date(2026, 11, 6), 1.5)
        datetime.date(2026, 11, 9)
        """
        return self._step(start, max(ceil(gone - DUST) - 1, 0), "forward")

    def after(self, day: date, days: float) -> date:
        """The working day on which so many days of work after a day are done.

        >>> Workdays().after(date(2026, 10, 30), 1.2)  # a Friday; Monday is one, Tuesday the rest
        datetime.date(2026, 11, 3)
        """
        return self._step(day, max(ceil(days - DUST), 0), "backward")

    def between(self, day: date, later: date) -> int:
        """Working days after a day, up to and with a later one; below zero if that is past.

        >>> Workdays().between(date(2026, 10, 30), date(2026, 11, 3))
        2
        """
        if later < day:
            return -self.between(later, day)
        return self.count(day + ONE, later)

    def count(self, first: date, last: date) -> int:
        """Working days from a first to a last day, both counted; 0 if the last comes before.

        >>> Workdays(off=(date(2026, 12, 25),)).count(date(2026, 12, 24), date(2026, 12, 28))
        2
        """
        import numpy as np

        if last < first:
            return 0
        return int(np.busday_count(first, last + ONE, busdaycal=_counted(self)))

    def _step(self, day: date, steps: int, roll: Any) -> date:
        import numpy as np

        found = np.busday_offset(day, steps, roll=roll, busdaycal=_counted(self))
        return date.fromisoformat(str(found))

    @property
    def said(self) -> str:
        """The week in words, and how many holidays it leaves out."""
        week = _week_said(self.weekdays)
        if not self.off:
            return week
        count = sum(day.weekday() in self.weekdays for day in self.off)
        return f"{week}, less {count} holiday{'' if count == 1 else 's'}"

    def without(self, more: Sequence[date]) -> Workdays:
        """The same week with more days off."""
        return Workdays(self.weekdays, tuple(sorted({*self.off, *more})))


@lru_cache(maxsize=64)
def _counted(days: Workdays) -> Any:
    """The calendar in the form the counting takes; numpy is loaded only where days are counted."""
    import numpy as np

    mask = [i in days.weekdays for i in range(7)]
    return np.busdaycalendar(weekmask=mask, holidays=list(days.off))


def _week_said(days: Sequence[int]) -> str:
    """Weekdays in words: "Monday to Friday", "Tuesday and Thursday".

    >>> _week_said((0, 1, 2, 3, 5))
    'Monday to Thursday and Saturday'
    """
    runs: list[list[int]] = []
    for day in sorted(days):
        if runs and day == runs[-1][-1] + 1:
            runs[-1].append(day)
        else:
            runs.append([day])
    parts = []
    for run in runs:
        if len(run) > 2:
            parts.append(f"{NAMES[run[0]]} to {NAMES[run[-1]]}")
        else:
            parts += [NAMES[day] for day in run]
    return parts[0] if len(parts) == 1 else ", ".join(parts[:-1]) + " and " + parts[-1]


def read_week(words: Any, place: Place) -> tuple[str, ...]:
    """The days of a working week, as their first three letters, Monday first.

    Raises:
        InputProblem: no list, an unknown day, or none at all.
    """
    listed = [words] if isinstance(words, str) else words
    known = {name.lower(): short for name, short in zip(NAMES, WEEK, strict=True)}
    found: set[str] = set()
    for word in listed if isinstance(listed, list | tuple) else ():
        day = str(word).strip().lower()
        short = known.get(day, day)
        if short not in WEEK:
            found.clear()
            break
        found.add(short)
    if not found:
        raise InputProblem(
            f"found {words!r}", place=place, expected='days of the week, ["mon", "tue", "wed"]'
        )
    return tuple(day for day in WEEK if day in found)


def read_holidays(said: Any, place: Place) -> tuple[str, ...]:
    """Holidays as single dates and ranges, each written the same way; two dots part a range.

    >>> read_holidays(["2026-12-25", "2026-12-28 .. 2027-01-01"], Place())
    ('2026-12-25', '2026-12-28..2027-01-01')

    Raises:
        InputProblem: no list of dates or ranges, a range that ends before it begins or is longer
            than a year.
    """
    listed = [said] if isinstance(said, str | date) else said
    if not isinstance(listed, list | tuple):
        raise InputProblem(f"found {said!r}", place=place, expected=EXPECTED)
    return tuple(_checked_range(one, place) for one in listed)


def _checked_range(said: Any, place: Place) -> str:
    text = said.isoformat()[:10] if isinstance(said, date) else str(said)
    first, dots, last = (part.strip() for part in text.partition(RANGE))
    try:
        begin = date.fromisoformat(first)
        end = date.fromisoformat(last) if dots else begin
    except ValueError:
        raise InputProblem(f"found '{text}'", place=place, expected=EXPECTED) from None
    if not 0 <= (end - begin).days < LONGEST:
        raise InputProblem(
            f"found '{text}'",
            place=place,
            expected="a range from its first to its last day, at most a year",
        )
    return begin.isoformat() + (f"{RANGE}{end.isoformat()}" if dots else "")


def days_off(holidays: Sequence[str]) -> tuple[date, ...]:
    """Every single day of checked holidays, in order."""
    found: set[date] = set()
    for text in holidays:
        first, _, last = text.partition(RANGE)
        begin, end = date.fromisoformat(first), date.fromisoformat(last or first)
        found.update(begin + i * ONE for i in range((end - begin).days + 1))
    return tuple(sorted(found))


def workdays_of(week: Sequence[str], holidays: Sequence[str]) -> Workdays:
    """The calendar of a working week and holidays, both checked."""
    return Workdays(tuple(i for i, day in enumerate(WEEK) if day in week), days_off(holidays))


def whole_days(limit: float) -> float:
    """A limit of whole working days on the scale of days that need not be whole.

    Records count working days whole, ranges do not: to end on the limit's own day keeps it, so half
    of that day belongs to it (the continuity correction of a count). Without it, odds of a promised
    day came out 8 to 15 in 100 too low (``tests/bench/odds.py``).
    """
    return limit + 0.5

"""The date of a weekday's column: from the row's week, or from the week a title names."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, timedelta

from costlearn.intake.tables import Table
from costlearn.intake.titles import year_around
from costlearn.intake.values.days import read_day
from costlearn.vocabulary import fold

_ENDING = {"ending", "end", "ended", "fin", "finissant"}
_WEEK_OF = re.compile(
    r"(?:week|wk|semaine)"
    r"(?: (?:of|starting|beginning|ending|du|finissant(?: le)?|d[eé]butant(?: le)?))?"
    r"\s*:?\s+(?P<day>.+)",
    re.IGNORECASE,
)


def in_week(stated: date, weekday: int, *, ends: bool) -> date:
    """The date of a weekday (0 is Monday) in the seven days that start or end on a date.

    >>> in_week(date(2025, 3, 3), 2, ends=False), in_week(date(2025, 3, 9), 2, ends=True)
    (datetime.date(2025, 3, 5), datetime.date(2025, 3, 5))
    """
    if ends:
        return stated - timedelta(days=(stated.weekday() - weekday) % 7)
    return stated + timedelta(days=(weekday - stated.weekday()) % 7)


def ends_week(heading: str) -> bool:
    """Whether a heading or title says that the date it gives is the week's last day."""
    return bool(_ENDING & set(fold(heading).split()))


def titled_week(table: Table, order: str) -> tuple[date, str] | None:
    """The date a title or the sheet's name gives for the week, with the words around it."""
    for text in _around(table):
        match = _WEEK_OF.search(text)
        said = match["day"].strip() if match else ""
        day = read_day(said, order=order, year=year_around(table)).value if said else None
        if day is not None:
            return day, text
    return None


def _around(table: Table) -> Iterable[str]:
    yield from reversed(table.titles)
    yield table.grid.sheet
    yield table.grid.file.rsplit(".", 1)[0]

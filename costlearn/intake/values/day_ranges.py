"""One cell that says when a job was: "Jan 15 - Feb 14", "May 13 to 29", "from 3 June"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from costlearn.intake.values.cells import Raw, Reading, is_missing, refused
from costlearn.intake.values.days import read_day
from costlearn.intake.values.numerals import tidy, unquoted

_BETWEEN = re.compile(r"\s+(?:to|until|till|thru|through|au|a|à|-|/)\s+|\s*(?:->|\.\.)\s*", re.I)
_OPEN = re.compile(r"\s*(?:to|until|-|->|au)\s*$|\s+(?:on|onwards|\+)$", re.IGNORECASE)
_LEAD = re.compile(r"^(?:from|since|du|des)\s+", re.IGNORECASE)
_DAY_ALONE = re.compile(r"\d{1,2}(?:st|nd|rd|th)?")
_MONTH = re.compile(r"[^\W\d_]{3,9}\.?")


@dataclass(frozen=True, slots=True)
class DayRange:
    """First and last day; None for an end that is still open."""

    first: date
    last: date | None = None


def read_day_range(raw: Raw, *, order: str, year: int | None = None) -> Reading[DayRange]:
    """First and last day of a cell that holds both; one that is open has no last day.

    Args:
        raw: the cell.
        order: "month-first" or "day-first" for dates in figures.
        year: the year of days that name none, as the sheet says it.

    >>> read_day_range("May 13 - 29", order="month-first", year=2024).value
    DayRange(first=datetime.date(2024, 5, 13), last=datetime.date(2024, 5, 29))
    """
    if is_missing(raw) or not isinstance(raw, str):
        day = read_day(raw, order=order, year=year)
        return Reading(None if day.value is None else DayRange(day.value), day.problem)
    text = _LEAD.sub("", unquoted(tidy(raw)))
    parts = [part.strip() for part in _BETWEEN.split(text, maxsplit=1)]
    if len(parts) == 1:
        return _open_range(raw, text, order, year)
    begin, end = parts
    if _DAY_ALONE.fullmatch(end) and (month := _MONTH.search(begin)):
        end = f"{month.group()} {end}"
    last = read_day(end, order=order, year=year)
    first = read_day(begin, order=order, year=last.value.year if last.value else year)
    if first.value and last.value and first.value > last.value and year is None:
        # "Dec 10 - Jan 15 2025" begins in the year before.
        first = read_day(begin, order=order, year=last.value.year - 1)
    if first.value is None or last.value is None:
        bad = last if last.value is None else first
        return Reading(problem=bad.problem or f"'{raw}' is no date", code=bad.code)
    if first.value > last.value:
        return refused(raw, "ends before it begins")
    return Reading(DayRange(first.value, last.value))


def _open_range(raw: str, text: str, order: str, year: int | None) -> Reading[DayRange]:
    """A first day whose last is still to come ("Sep 14 -")."""
    open_text = _OPEN.sub("", text)
    day = read_day(open_text, order=order, year=year)
    if day.value is None or open_text == text:
        return refused(raw, "gives no first and last day")
    return Reading(DayRange(day.value))

"""One cell to a date, or the reason it is none; and the order of day and month in a column.

Which of 3 and 4 is the month in "03/04/2025" is decided once for a column, never for one cell.
Month names are matched here and not by the operating system, whose language may be another.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from costlearn.intake.values.cells import Raw, Reading, is_missing
from costlearn.intake.values.numerals import shown, tidy, unquoted
from costlearn.vocabulary import fold

FIRST_YEAR, LAST_YEAR = 1950, 2100
_PIVOT = 50
"""Two-digit years below this are 20xx, the others 19xx."""

_SERIAL_ZERO = date(1899, 12, 30)
"""Day 0 of the 1900 date system for serials from 61 on (ISO/IEC 29500-1, 18.17.4.1)."""

_MONTHS = {
    word: number
    for number, words in enumerate(
        (
            "january jan janvier janv", "february feb fevrier fevr fev", "march mar mars",
            "april apr avril avr", "may mai", "june jun juin", "july jul juillet juil juill",
            "august aug aout aou", "september sept sep septembre", "october oct octobre",
            "november nov novembre", "december dec decembre",
        ),
        start=1,
    )
    for word in words.split()
}  # fmt: skip

_CLOCK = re.compile(
    r"[T, ]+(?:at |à )?[0-9]{1,2}(?::[0-9]{2}(?::[0-9]{2}(?:[.,][0-9]+)?)?|(?= ?[ap]))"
    r" ?(?:[ap]\.?m\.?)?(?: ?Z| ?[+-][0-9]{2}:?[0-9]{2})?$",
    re.IGNORECASE,
)
_WEEKDAY = re.compile(
    r"(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?\.?,? +"
    r"|(?:le +)?(?:lun|mar|mercre|jeu|vendre|same)di\.?,? +|(?:le +)?dimanche,? +|le +",
    re.IGNORECASE,
)
_YEAR_FIRST = re.compile(r"([0-9]{4})([-/. ])([0-9]{1,2})\2([0-9]{1,2})")
_COMPACT = re.compile(r"((?:19|20|21)[0-9]{2})([0-9]{2})([0-9]{2})(?:\.0+)?")
_SERIAL = re.compile(r"([0-9]{5})(?:\.[0-9]+)?")
_NUMERIC = re.compile(r"([0-9]{1,2})([-/. ])([0-9]{1,2})\2'?([0-9]{4}|[0-9]{2})")
_LETTERS = r"([^\W\d_]{3,9})\.?"
_SEP = r"[-/., ]*"
_DAY = r"([0-9]{1,2})(?:st|nd|rd|th|er|e)?"
_YEAR = r"'?([0-9]{4}|[0-9]{2})"
_DAY_NAME = re.compile(rf"{_DAY}{_SEP}(?:of )?(?:de )?{_LETTERS}{_SEP}{_YEAR}", re.IGNORECASE)
_NAME_DAY = re.compile(rf"{_LETTERS}{_SEP}{_DAY}[-/., ]+{_YEAR}", re.IGNORECASE)
_YEAR_NAME = re.compile(rf"([0-9]{{4}}){_SEP}{_LETTERS}{_SEP}{_DAY}", re.IGNORECASE)
_NO_YEAR = re.compile(
    rf"[0-9]{{1,2}}[-/.][0-9]{{1,2}}|{_DAY}{_SEP}{_LETTERS}|{_LETTERS}{_SEP}{_DAY}", re.IGNORECASE
)
_MONTH_AND_NUMBER = re.compile(rf"{_LETTERS}{_SEP}[0-9]{{2}}", re.IGNORECASE)
_NO_DAY = re.compile(
    rf"{_LETTERS}{_SEP}(?:[0-9]{{4}})|[0-9]{{1,2}}[-/][0-9]{{4}}|[0-9]{{4}}[-/][0-9]{{1,2}}",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class DateVote:
    """In which order a column writes day and month.

    Attributes:
        order: "month-first" or "day-first".
        proven: True if the cells prove it, or if no cell depends on it.
        clash: indexes of the first two cells that contradict each other, or None.
    """

    order: str
    proven: bool
    clash: tuple[int, int] | None = None


def vote_date_order(raws: Sequence[Raw], preferred: str) -> DateVote:
    """Whether a column writes "month-first" or "day-first", from parts that can be no month.

    Args:
        raws: the cells of the column.
        preferred: the order to take where the cells prove none.

    >>> vote_date_order(["03/04/2025", "02/14/2025"], "day-first")
    DateVote(order='month-first', proven=True, clash=None)
    """
    first: dict[str, int] = {}
    depends = False
    met: set[str] = set()
    for index, raw in enumerate(raws):
        if not isinstance(raw, str) or raw in met:
            continue
        met.add(raw)
        parts = _numeric_parts(raw)
        if parts is None or parts[0] == parts[1]:
            continue
        one, two = parts
        if one > 12 >= two:
            first.setdefault("day-first", index)
        elif two > 12 >= one:
            first.setdefault("month-first", index)
        elif one <= 12 and two <= 12:
            depends = True
    if len(first) == 2:
        low, high = sorted(first.values())
        return DateVote(preferred, proven=False, clash=(low, high))
    if first:
        return DateVote(next(iter(first)), proven=True)
    return DateVote(preferred, proven=not depends)


def _numeric_parts(raw: Raw) -> tuple[int, int] | None:
    """The first two parts of a date in figures whose year comes last, or None."""
    if not isinstance(raw, str):
        return None
    match = _NUMERIC.fullmatch(_bare(raw))
    return (int(match.group(1)), int(match.group(3))) if match else None


def _bare(raw: str) -> str:
    """A date's text without quotes, weekday and clock time."""
    text = unquoted(tidy(raw))
    without = _WEEKDAY.sub("", text, count=1) if _WEEKDAY.match(text) else text
    return _CLOCK.sub("", without).strip(" ,")


def read_day(raw: Raw, *, order: str) -> Reading[date]:
    """A date; years from 1950 to 2100.

    Takes ISO dates, dates in figures in the given order, English and French month names, two-digit
    years (50 to 99 are 19xx), and serial numbers of the 1900 date system.

    Args:
        raw: the cell.
        order: "month-first" or "day-first", from :func:`vote_date_order`.

    >>> read_day("45719", order="month-first").value
    datetime.date(2025, 3, 3)
    >>> read_day("3-Mar", order="month-first").problem
    "'3-Mar' has no year"
    """
    if isinstance(raw, datetime):
        return _in_range(raw.date(), raw)
    if isinstance(raw, date):
        return _in_range(raw, raw)
    if is_missing(raw):
        return Reading()
    if isinstance(raw, bool | time | timedelta):
        return Reading(problem=f"{shown(raw)} is no date")
    if isinstance(raw, int | float):
        return _from_number(raw)
    return _from_text(str(raw), order)


def _from_number(raw: float) -> Reading[date]:
    """A serial number of the 1900 date system, or the eight figures of an ISO date."""
    if not math.isfinite(raw):
        return Reading(problem=f"{shown(raw)} is no date")
    if raw == int(raw) and _COMPACT.fullmatch(str(int(raw))):
        return _from_text(str(int(raw)), "month-first")
    serial = math.floor(raw)
    if 0 < serial < 100_000:
        day = _SERIAL_ZERO + timedelta(days=serial)
        if FIRST_YEAR <= day.year <= LAST_YEAR:
            return Reading(day)
    if 1900 <= raw <= LAST_YEAR:
        return Reading(problem=f"{shown(raw)} is a year, not a date")
    return Reading(problem=f"{shown(raw)} is no date")


def _from_text(raw: str, order: str) -> Reading[date]:
    """A date written as text."""
    text = _bare(raw)
    if _SERIAL.fullmatch(text):
        return _from_number(float(text))
    parts = _named_parts(text) or _numeric_day(text, order)
    if parts is None:
        return Reading(problem=f"{shown(raw)} {_why_not(text)}")
    year, month, day = parts
    if int(month) > 12 >= int(day) and _NUMERIC.fullmatch(text):
        return Reading(problem=f"{shown(raw)} has no month {int(month)}; the order is {order}")
    return _build(year, month, day, raw)


def _numeric_day(text: str, order: str) -> tuple[str, str, str] | None:
    """Year, month and day of a date in figures whose year comes last."""
    match = _NUMERIC.fullmatch(text)
    if match is None:
        return None
    one, two, year = match.group(1), match.group(3), match.group(4)
    return (year, one, two) if order == "month-first" else (year, two, one)


def _named_parts(text: str) -> tuple[str, str, str] | None:
    """Year, month and day of a date whose order is plain: year first, or the month named."""
    if (match := _YEAR_FIRST.fullmatch(text)) is not None:
        return match.group(1), match.group(3), match.group(4)
    if (match := _COMPACT.fullmatch(text)) is not None:
        return match.group(1), match.group(2), match.group(3)
    for pattern, (year, month, day) in (
        (_DAY_NAME, (3, 2, 1)),
        (_NAME_DAY, (3, 1, 2)),
        (_YEAR_NAME, (1, 2, 3)),
    ):
        match = pattern.fullmatch(text)
        number = _MONTHS.get(fold(match.group(month))) if match else None
        if match and number:
            return match.group(year), str(number), match.group(day)
    return None


def _why_not(text: str) -> str:
    """Why a text is no date."""
    words = [w for w in re.findall(r"[^\W\d_]{3,}", text) if fold(w) not in _MONTHS]
    if not words and _NO_DAY.fullmatch(text):
        return "has no day"
    if not words and _MONTH_AND_NUMBER.fullmatch(text):
        return "lacks the day or the year"
    if not words and _NO_YEAR.fullmatch(text):
        return "has no year"
    if re.fullmatch("(?:19|20)[0-9]{2}", text):
        return "is a year, not a date"
    return "is no date"


def _build(year: str, month: str, day: str, raw: str) -> Reading[date]:
    """A date from its parts, if there is such a day."""
    full = int(year)
    if len(year) == 2:
        full += 2000 if full < _PIVOT else 1900
    try:
        built = date(full, int(month), int(day))
    except ValueError:
        return Reading(problem=f"{shown(raw)} is no day of the calendar")
    return _in_range(built, raw)


def _in_range(day: date, raw: Raw) -> Reading[date]:
    """A date, if its year is one in which jobs are on record."""
    if FIRST_YEAR <= day.year <= LAST_YEAR:
        return Reading(day)
    return Reading(problem=f"{shown(raw)} is not between the years {FIRST_YEAR} and {LAST_YEAR}")

"""One cell to a date, or the reason it is none; and the order of day and month in a column.

Which of 3 and 4 is the month in "03/04/2025" is decided once for a column, never for one cell.
Month names are matched here and not by the operating system, whose language may be another.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from costlearn.intake.values.cells import Raw, Reading, is_missing, refused
from costlearn.intake.values.numerals import tidy, unquoted
from costlearn.intake.values.tokens import Token, lex, lexicon
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
    r" ?(?:[ap]\.?m\.?)?(?: ?Z| ?[+-][0-9]{2}(?::?[0-9]{2})?)?$",
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
    rf"(?P<one>[0-9]{{1,2}})[-/.](?P<two>[0-9]{{1,2}})|{_DAY}{_SEP}{_LETTERS}|{_LETTERS}{_SEP}{_DAY}",
    re.IGNORECASE,
)
_WORDS = lexicon(
    month="|".join(_MONTHS),
    season="spring|summer|fall|autumn|winter|printemps|ete|automne|hiver",
    vague="done|done in|finished|finished in|in|early|mid|late|end of|beginning of|start of|the|of"
    "|debut|fin|en|de|around|about|~|sometime in|some time in",
    week="wk of|week of|wk|week|w/c|semaine du|sem du|sem. du",
    mark="-|/|.|,|st|nd|rd|th|er|e",
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


def read_day(raw: Raw, *, order: str, year: int | None = None) -> Reading[date]:
    """A date; years from 1950 to 2100.

    Takes ISO dates, dates in figures in the given order, English and French month names, two-digit
    years (50 to 99 are 19xx), and serial numbers of the 1900 date system.

    Args:
        raw: the cell.
        order: "month-first" or "day-first", from :func:`vote_date_order`.
        year: the year of days that name none, from the sheet; None if that is not known. "Mar 24"
            is then a day, unless 24 may be that year itself.

    A problem of code "no day" has in ``rest`` what is told all the same: "2024-05", "2024",
    "2024-W23". A zone never moves a day: the day that is written is the day.

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
        return refused(raw, "is no date", "wrong type")
    if isinstance(raw, int | float):
        return _from_number(raw)
    return _from_text(str(raw), order, year)


def _from_number(raw: float) -> Reading[date]:
    """A serial number of the 1900 date system, or the eight figures of an ISO date."""
    if not math.isfinite(raw):
        return refused(raw, "is no date")
    if raw == int(raw) and _COMPACT.fullmatch(str(int(raw))):
        return _from_text(str(int(raw)), "month-first", None)
    serial = math.floor(raw)
    if 0 < serial < 100_000:
        day = _SERIAL_ZERO + timedelta(days=serial)
        if FIRST_YEAR <= day.year <= LAST_YEAR:
            return Reading(day)
    if 1900 <= raw <= LAST_YEAR:
        return refused(raw, "is a year, not a date", "year only")
    return refused(raw, "is no date")


def _from_text(raw: str, order: str, known: int | None) -> Reading[date]:
    """A date written as text."""
    text = _bare(raw)
    if _SERIAL.fullmatch(text):
        return _from_number(float(text))
    parts = _named_parts(text) or _numeric_day(text, order)
    if parts is None and known is not None:
        parts = _yearless(text, order, known)
    if parts is None:
        return _without(text, raw)
    year, month, day = parts
    if int(month) > 12 >= int(day) and _NUMERIC.fullmatch(text):
        return refused(raw, f"has no month {int(month)}; the order is {order}")
    return _build(year, month, day, raw)


def _yearless(text: str, order: str, year: int) -> tuple[str, str, str] | None:
    """Year, month and day of a date that names no year, "Mar-23" in 2023 left open."""
    match = _NO_YEAR.fullmatch(text)
    if match is None:
        return None
    one, two, day, name, other_name, other_day = match.groups()
    if one:
        return _numeric_day(f"{one}/{two}/{year}", order)
    day, month = day or other_day, _MONTHS.get(fold(name or other_name))
    if month is None or (int(day) == year % 100 and not name):
        return None
    return str(year), str(month), day


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


def _without(text: str, raw: str) -> Reading[date]:
    """Why a text is no date, and what it tells all the same."""
    if re.fullmatch("(?:19|20)[0-9]{2}", text):
        return refused(raw, "is a year, not a date", "year only")
    tokens = [t for t in lex(text, ".", _WORDS) if t.kind not in {"mark", "vague"}]
    kinds = [t.kind for t in tokens]
    if kinds[:1] == ["week"]:
        day = read_day(text[tokens[0].end :], order="month-first").value
        if day is not None and "month" in kinds:
            week = f"{day.isocalendar().year}-W{day.isocalendar().week:02d}"
            return replace(refused(raw, "names a week and has no day", "no day"), rest=week)
    numbers = [t.text for t in tokens if t.kind == "number" and t.text.isdigit()]
    if len(numbers) == 1 and set(kinds) <= {"month", "season", "number", "'"} and len(kinds) > 1:
        return _with_month(numbers[0], tokens, raw)
    if re.fullmatch(r"[0-9]{1,2}[-/][0-9]{4}|[0-9]{4}[-/][0-9]{1,2}", text):
        return refused(raw, "has no day", "no day")
    if _NO_YEAR.fullmatch(text) and "word" not in kinds:
        return refused(raw, "has no year", "no year")
    return refused(raw, "is no date")


def _with_month(number: str, tokens: Sequence[Token], raw: str) -> Reading[date]:
    """Why a month or a season with one number is no date: it has no day, or no year."""
    month = next((_MONTHS[t.text] for t in tokens if t.kind == "month"), None)
    if len(number) == 4 or any(t.kind == "'" for t in tokens):
        year = number if len(number) == 4 else f"20{number}"
        told = year if month is None else f"{year}-{month:02d}"
        return replace(refused(raw, "has no day", "no day"), rest=told)
    if month is None:
        return refused(raw, "is no date")
    if tokens[0].kind == "month" and len(number) == 2:
        return refused(raw, "lacks the day or the year", "no year")
    return refused(raw, "has no year", "no year")


def _build(year: str, month: str, day: str, raw: str) -> Reading[date]:
    """A date from its parts, if there is such a day."""
    full = int(year)
    if len(year) == 2:
        full += 2000 if full < _PIVOT else 1900
    try:
        built = date(full, int(month), int(day))
    except ValueError:
        return refused(raw, "is no day of the calendar")
    return _in_range(built, raw)


def _in_range(day: date, raw: Raw) -> Reading[date]:
    """A date, if its year is one in which jobs are on record."""
    if FIRST_YEAR <= day.year <= LAST_YEAR:
        return Reading(day)
    return refused(raw, f"is not between the years {FIRST_YEAR} and {LAST_YEAR}")

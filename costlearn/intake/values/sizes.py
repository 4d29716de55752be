"""One cell to an area in square feet or to hours of work, or the reason it is none."""

from __future__ import annotations

import re
from datetime import datetime, time, timedelta
from itertools import pairwise

from costlearn.intake.values.cells import Raw, Reading, is_missing, not_a_number, refused
from costlearn.intake.values.lengths import area_unit, quantity, read_length, rectangle, split_unit
from costlearn.intake.values.numerals import shown, take_sign, tidy, unquoted
from costlearn.intake.values.times import TIMES, WORKING_DAYS_A_WEEK, take_span
from costlearn.intake.values.tokens import Walk, lex
from costlearn.units import SQFT_PER_SQM

LARGEST_AREA = 1e6
LARGEST_HOURS = 1e5
"""Beyond these a size is taken for a slip: 23 acres of floor, 50 working years on one line."""

NO_UNIT = ("no unit of area", "no unit of length")
"""How the problem of a figure ends that may be in feet or in metres."""

_ABOUT = re.compile(
    r"^(?:[~≈±]|(?:approx(?:imately|\.)?|about|around|circa|ca\.?|c\.|environ)(?![a-z])) ?"
    r"| ?(?:approx\.?|\+/-)$",
    re.IGNORECASE,
)
_TIMES = re.compile(r"(?<=[0-9'\"a-z.]) ?[x×*] ?(?=[0-9])| by ", re.IGNORECASE)
_LINEAR = re.compile(r"(?:l(?:in(?:eal|ear)?)?\.? ?(?:f|ft|feet|foot|m)\.?|ft|feet|m|'|\")", re.I)


def read_area(raw: Raw, *, unit: str | None, decimal: str = ".") -> Reading[float]:
    r"""An area in square feet: "42 sf", "3.9 m2", "12'6\" x 5'", or a bare number.

    Args:
        raw: the cell.
        unit: "sqft" or "sqm" for numbers without a unit (from the column's heading), or None.
        decimal: the decimal mark of its column.

    >>> read_area("12'6\" x 5'", unit=None).value
    62.5
    >>> read_area(35, unit=None).problem
    "'35' has no unit of area"
    """
    if is_missing(raw):
        return Reading()
    problem = not_a_number(raw, "area")
    if problem:
        return Reading(problem=problem)
    text = unquoted(tidy(f"{raw:.15g}" if isinstance(raw, int | float) else str(raw)))
    if isinstance(raw, int | float):
        decimal = "."
    core = _ABOUT.sub("", text)
    note = "approximate" if core != text else ""
    total = 0.0
    for part in re.split(r" ?\+ ?", core):
        sqft = _one_area(part, unit if unit in {"sqft", "sqm"} else None, decimal)
        if isinstance(sqft, str):
            return Reading(problem=f"{shown(raw)} {sqft}")
        total += sqft
    if total > LARGEST_AREA:
        return Reading(problem=f"{shown(raw)} is too large to be the area of a job")
    return Reading(total, note=note)


def _one_area(text: str, unit: str | None, decimal: str) -> float | str:
    """One area in square feet, or why it is none."""
    signed = take_sign(text)
    core, word = split_unit(signed.text)
    stated = area_unit(word)
    if stated is None:
        core = signed.text
    figure = quantity(core, decimal)
    if figure is None:
        return _from_sides(core, word, stated or unit, decimal)
    if figure and signed.minuses:
        return "is negative; an area cannot be"
    known = stated or unit
    if known is None:
        return f"has {NO_UNIT[0]}"
    return figure * (SQFT_PER_SQM if known == "sqm" else 1.0)


def _from_sides(text: str, word: str, unit: str | None, decimal: str) -> float | str:
    """The area of "12 x 5", or why a text with last word ``word`` is no area."""
    sides = _TIMES.split(text)
    if len(sides) == 3:
        return "gives three sizes, not an area"
    lengths = [read_length(side.strip(), decimal) for side in sides]
    if len(lengths) == 2 and lengths[0] is not None and lengths[1] is not None:
        area = rectangle(lengths[0], lengths[1], unit)
        return f"has {NO_UNIT[1]}" if area is None else area
    if lengths[0] is not None or _LINEAR.fullmatch(word):
        return "is a length, not an area"
    return "is no area"


def read_hours(
    raw: Raw, *, unit: str | None, hours_per_day: float, decimal: str = "."
) -> Reading[float]:
    """Hours of work: "6:30", "2d 4h", "1 1/2 days", "half day", a time cell, or a bare number.

    Args:
        raw: the cell.
        unit: "hours" or "days" for numbers without a unit (from the column's heading), or None.
        hours_per_day: working hours in one day.
        decimal: the decimal mark of its column.

    >>> read_hours("2d 4h", unit=None, hours_per_day=8).value
    20.0
    >>> read_hours("6", unit=None, hours_per_day=8).problem
    "'6' has no unit (hours or days)"
    """
    if is_missing(raw):
        return Reading()
    clock = clock_cell(raw)
    if clock is not None:
        return _checked_hours(clock, raw, "")
    problem = not_a_number(raw, "number of hours")
    if problem:
        return Reading(problem=problem, code="wrong type")
    hours = _bare(float(raw), unit, hours_per_day) if isinstance(raw, int | float) else None
    if isinstance(raw, int | float):
        return _checked_hours(hours, raw, "")
    return _hours_from_text(str(raw), unit, hours_per_day, decimal)


def clock_cell(raw: Raw) -> float | None:
    """Hours of a cell that a workbook holds as a time or a duration."""
    if isinstance(raw, timedelta):
        return raw.total_seconds() / 3600
    if isinstance(raw, time):
        return raw.hour + raw.minute / 60 + raw.second / 3600
    if isinstance(raw, datetime) and raw.year <= 1900:
        # A duration of a day or more that the workbook shows as a time of day.
        naive = raw.replace(tzinfo=None)
        return (naive - datetime(1899, 12, 31)).total_seconds() / 3600
    return None


def _bare(figure: float, unit: str | None, hours_per_day: float) -> float | None:
    """The hours of a number whose unit only the column can say."""
    return {"hours": figure, "days": figure * hours_per_day}.get(unit or "")


def _checked_hours(hours: float | None, raw: Raw, note: str) -> Reading[float]:
    """Hours that can be worked."""
    if hours is None:
        return refused(raw, "has no unit (hours or days)", "no unit")
    if hours < 0:
        return refused(raw, "is negative; hours of work cannot be", "negative")
    if hours > LARGEST_HOURS:
        return refused(raw, "is too large to be hours of work", "too large")
    return Reading(hours, note=note)


def _hours_from_text(
    raw: str, unit: str | None, hours_per_day: float, decimal: str
) -> Reading[float]:
    """Hours of work written as text."""
    signed = take_sign(unquoted(tidy(raw)))
    walk = Walk(lex(signed.text, decimal, TIMES))
    span = take_span(walk, hours_per_day)
    if span is None or walk.kind():
        return _no_hours(raw, signed.text, decimal)
    if span.whose == "crew":
        return refused(raw, "counts days of the crew, not hours of a person", "crew days")
    if span.low < span.high:
        return refused(raw, "is a range, not hours worked", "range")
    known = {"day": "days", "hour": "hours"}.get(span.measure, unit)
    hours = _bare(-span.low if signed.minuses else span.low, known, hours_per_day)
    note = "approximate" if span.rough else ""
    if span.weeks:
        note = f"a week taken as {WORKING_DAYS_A_WEEK} working days"
    return _checked_hours(hours, raw, note)


def _no_hours(raw: str, text: str, decimal: str) -> Reading[float]:
    """Why a text is no number of hours."""
    tokens = lex(text, decimal, TIMES)
    for one, two in pairwise(tokens):
        if one.kind == "number" and two.text in {":", "a", "p", "am", "pm"}:
            why = "gives times of day, which may hold a break; write the hours worked, such as 8"
            return refused(raw, why, "times of day")
    if quantity(text, "," if decimal == "." else ".") is not None:
        why = f"does not fit the decimal mark '{decimal}' of its column"
        return refused(raw, why, "decimal mark")
    return refused(raw, "is no number of hours or days")

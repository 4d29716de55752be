"""One cell to an area in square feet or to hours of work, or the reason it is none."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import datetime, time, timedelta
from itertools import pairwise

from costlearn.intake.values.cells import Code, Raw, Reading, is_missing, not_a_number, refused
from costlearn.intake.values.lengths import SIZES, quantity, rectangle, take_sides
from costlearn.intake.values.numerals import take_sign, tidy, unquoted
from costlearn.intake.values.times import TIMES, WORKING_DAYS_A_WEEK, take_span
from costlearn.intake.values.tokens import Token, Walk, lex
from costlearn.units import SQFT_PER_SQM

LARGEST_AREA = 1e6
LARGEST_HOURS = 1e5
"""Beyond these a size is taken for a slip: 23 acres of floor, 50 working years on one line."""

_ROOM_IN_FEET = (30.0, 1500.0)
"""A bare rectangle between these is a room in square feet, and too large for one in square metres:
hardly a kitchen of this trade is larger than 30 of those."""


_PLAIN = re.compile(r"([0-9]{1,5}(?:\.[0-9]{1,2})?) ?([a-z]*)")
"""A figure with one word or none, as nearly all are: read without the grammar."""


def _plainly(raw: Raw, decimal: str, kinds: Mapping[str, str]) -> tuple[float, str] | None:
    """The figure of a plain cell and the kind of its unit, "" if it has none; else None."""
    match = _PLAIN.fullmatch(raw) if isinstance(raw, str) and decimal == "." else None
    kind = kinds.get(match[2]) if match and match[2] else ""
    return None if match is None or kind is None else (float(match[1]), kind)


def read_area(
    raw: Raw, *, unit: str | None, decimal: str = ".", firm_unit: str | None = None
) -> Reading[float]:
    r"""An area in square feet: "42 sf", "3.9 m2", "12'6\" x 5'", or a bare number.

    Args:
        raw: the cell.
        unit: "sqft" or "sqm" for numbers without a unit (from the column's heading), or None.
        decimal: the decimal mark of its column.
        firm_unit: what the firm measures in; "sqft" makes "5x8" a room of 40 square feet, which
            would be far too large in metres.

    >>> read_area("12'6\" x 5'", unit=None).value
    62.5
    >>> read_area(35, unit=None).problem
    "'35' has no unit of area"
    """
    plain = _plainly(raw, decimal, SIZES.kinds)
    worth = plain and {"sqft": 1.0, "sqm": SQFT_PER_SQM}.get(plain[1] or unit or "")
    if plain and worth:
        return Reading(plain[0] * worth)
    if is_missing(raw):
        return Reading()
    if problem := not_a_number(raw, "area"):
        return Reading(problem=problem, code="wrong type")
    text = unquoted(tidy(f"{raw:.15g}" if isinstance(raw, int | float) else str(raw)))
    tokens = lex(text, "." if isinstance(raw, int | float) else decimal, SIZES)
    kept = [t for i, t in enumerate(tokens) if not _is_mark(tokens, i)]
    walk = Walk(kept)
    known = unit if unit in {"sqft", "sqm"} else None
    total = 0.0
    while True:
        area = _one_area(walk, known, firm_unit)
        if isinstance(area, tuple):
            return refused(raw, *area)
        total += area
        if walk.kind() != "plus":
            break
        walk.take()
    if total > LARGEST_AREA:
        return refused(raw, "is too large to be the area of a job", "too large")
    return Reading(total, note="approximate" if len(kept) < len(tokens) else "")


def _is_mark(tokens: Sequence[Token], at: int) -> bool:
    """Whether a token only says that a size is rough, full stop or hyphen included."""
    kinds = [t.kind for t in tokens]
    if kinds[at] == ".":
        return at > 0 and kinds[at - 1] == "rough"
    return kinds[at] == "rough" or (kinds[at] == "-" and kinds[at + 1 : at + 2] == ["rough"])


def _one_area(walk: Walk, unit: str | None, firm_unit: str | None) -> float | tuple[str, Code]:
    """One area in square feet, or why it is none."""
    minus = walk.kind() == "-"
    walk.at += minus
    sides, stated = take_sides(walk)
    known = stated or unit
    lone = len(sides) == 1 and (sides[0].unit or walk.kind() == "linear")
    if len(sides) > 2 or lone:
        why = "is a length, not an area" if lone else "gives three sizes, not an area"
        return why, "unreadable"
    if not sides or walk.kind() not in {"", "plus"}:
        return "is no area", "unreadable"
    if len(sides) == 1:
        figure = sides[0].figure
        if figure and minus:
            return "is negative; an area cannot be", "negative"
        worth = {"sqm": SQFT_PER_SQM, "sqft": 1.0}.get(known or "")
        return ("has no unit of area", "no unit") if worth is None else figure * worth
    feet = sides[0].figure * sides[1].figure
    if known is None and firm_unit == "sqft" and _ROOM_IN_FEET[0] < feet <= _ROOM_IN_FEET[1]:
        known = "sqft"
    area = rectangle(sides[0], sides[1], known)
    return ("has no unit of length", "no unit") if area is None else area


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
    plain = _plainly(raw, decimal, TIMES.kinds)
    known = plain and ({"hour": "hours", "day": "days"}.get(plain[1]) if plain[1] else unit)
    if plain and known in {"hours", "days"}:
        return _checked_hours(_bare(plain[0], known, hours_per_day), raw, "")
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

"""One cell to an area in square feet or to hours of work, or the reason it is none."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from costlearn.intake.values.cells import NUMBER_WORDS, Raw, Reading, is_missing, not_a_number
from costlearn.intake.values.lengths import area_unit, quantity, read_length, rectangle, split_unit
from costlearn.intake.values.numerals import shown, take_sign, tidy, unquoted
from costlearn.units import SQFT_PER_SQM

LARGEST_AREA = 1e6
LARGEST_HOURS = 1e5
"""Beyond these a size is taken for a slip: 23 acres of floor, 50 working years on one line."""

NO_UNIT = ("no unit of area", "no unit of length")
"""How the problem of a figure ends that may be in feet or in metres."""

WORKING_DAYS_A_WEEK = 5
"""Common practice, no source."""

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


_CREW_UNIT = re.compile(r"\b(?:crew|site|team)[- ]?(?:days?|hours?)\b", re.IGNORECASE)
_CLOCK = re.compile(r"([0-9]{1,4})(?: ?[:h] ?)([0-5][0-9])(?::[0-5][0-9])?", re.IGNORECASE)
_SPAN = re.compile(r"[0-9](?::[0-9]{2}| ?[ap]\.?m)", re.IGNORECASE)
_HALF_DAY = re.compile(
    r"(?:a |one )?half(?:[- ]?|(?: of)? a )day|1/2 day|(?:une )?demi[- ]?journ[eé]e",
    re.IGNORECASE,
)
_WHOLE_DAY = re.compile(
    r"(?:(?:a|all|full|whole|one|1 full|a full|a whole) day|(?:une )?journ[eé]e(?: enti[eè]re)?)",
    re.I,
)
_AND_A_HALF = re.compile(r"\b(?:and|&|et) (?:a )?(?:half|demie?)\b", re.IGNORECASE)
_HOURS_TERM = re.compile(
    r"([0-9]+(?: |-)[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9.,]*[0-9]|[a-zé]+) ?"
    r"((?:(?:man|person|labou?r|crew member)[- ]?)?[a-zé]+)\.?(?:[, ]+(?:and |et |& )?| ?[+&] ?)?",
    re.IGNORECASE,
)
_PER_DAY = {
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours", "heure", "heures"), 0.0),
    **dict.fromkeys(("d", "dy", "day", "days", "j", "jr", "jrs", "jour", "jours", "pd", "md"), 1.0),
    **dict.fromkeys(("journée", "journées"), 1.0),
    **dict.fromkeys(
        ("w", "wk", "wks", "week", "weeks", "sem", "semaine", "semaines"),
        float(WORKING_DAYS_A_WEEK),
    ),
}
"""Working days in a unit; 0 for hours, which are counted as they are."""
_MINUTES = {"min", "mins", "minute", "minutes", "m"}


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
    span = _from_clock_cell(raw)
    if span is not None:
        return _checked_hours(span, raw, "")
    problem = not_a_number(raw, "number of hours")
    if problem:
        return Reading(problem=problem)
    if isinstance(raw, int | float):
        return _bare_hours(float(raw), raw, _Frame(unit, hours_per_day, decimal), "")
    return _hours_from_text(str(raw), _Frame(unit, hours_per_day, decimal))


@dataclass(frozen=True, slots=True)
class _Frame:
    """What a cell's column says about its hours."""

    unit: str | None
    hours_per_day: float
    decimal: str


def _from_clock_cell(raw: Raw) -> float | None:
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


def _bare_hours(figure: float, raw: Raw, frame: _Frame, note: str) -> Reading[float]:
    """A number whose unit only the column can say."""
    if frame.unit not in {"hours", "days"}:
        return Reading(problem=f"{shown(raw)} has no unit (hours or days)")
    return _checked_hours(
        figure * (frame.hours_per_day if frame.unit == "days" else 1.0), raw, note
    )


def _checked_hours(hours: float, raw: Raw, note: str) -> Reading[float]:
    """Hours that can be worked."""
    if hours < 0:
        return Reading(problem=f"{shown(raw)} is negative; hours of work cannot be")
    if hours > LARGEST_HOURS:
        return Reading(problem=f"{shown(raw)} is too large to be hours of work")
    return Reading(hours, note=note)


def _hours_from_text(raw: str, frame: _Frame) -> Reading[float]:
    """Hours of work written as text."""
    text = unquoted(tidy(raw))
    core = _ABOUT.sub("", text)
    note = "approximate" if core != text else ""
    clock = _CLOCK.fullmatch(core)
    if clock:
        return _checked_hours(int(clock.group(1)) + int(clock.group(2)) / 60, raw, note)
    if _CREW_UNIT.search(core):
        return Reading(problem=f"{shown(raw)} counts days of the crew, not hours of a person")
    signed = take_sign(core)
    figure = quantity(signed.text, frame.decimal)
    if figure is not None:
        return _bare_hours(-figure if signed.minuses else figure, raw, frame, note)
    hours = _sum_of_terms(signed.text, frame)
    if hours is None:
        return Reading(problem=f"{shown(raw)} {_no_hours(core, frame.decimal)}")
    if re.search("w(?:ee)?k|semaine", core, re.IGNORECASE):
        note = f"a week taken as {WORKING_DAYS_A_WEEK} working days"
    return _checked_hours(-hours if signed.minuses else hours, raw, note)


def _no_hours(text: str, decimal: str) -> str:
    """Why a text is no number of hours."""
    if _SPAN.search(text):
        return "gives times of day, which may hold a break; write the hours worked, such as 8"
    if quantity(text, "," if decimal == "." else ".") is not None:
        return f"does not fit the decimal mark '{decimal}' of its column"
    return "is no number of hours or days"


def _sum_of_terms(text: str, frame: _Frame) -> float | None:
    """The hours of "2d 4h", "half day", "one and a half days", or None."""
    if _HALF_DAY.fullmatch(text):
        return frame.hours_per_day / 2
    if _WHOLE_DAY.fullmatch(text):
        return float(frame.hours_per_day)
    half = _AND_A_HALF.search(text)
    if half:
        text = (text[: half.start()] + text[half.end() :]).replace("  ", " ")
    total, position, last = 0.0, 0, ""
    while position < len(text):
        match = _HOURS_TERM.match(text, position)
        worth = _term(match, last, frame) if match else None
        if match is None or worth is None:
            return None
        figure, size = worth
        total += (figure + 0.5 if half and not position else figure) * size
        last, position = match.group(2).lower(), match.end()
    return total


def _term(match: re.Match[str], last: str, frame: _Frame) -> tuple[float, float] | None:
    """One term as its figure and the hours of its unit; "m" is minutes only after hours."""
    word = match.group(1).lower()
    figure = NUMBER_WORDS.get(word, quantity(word, frame.decimal))
    unit = re.sub(r"^(?:man|person|labou?r|crew member)[- ]?", "", match.group(2).lower())
    if figure is None:
        return None
    if unit in _MINUTES:
        return None if unit == "m" and last[:1] != "h" else (float(figure), 1 / 60)
    days = _PER_DAY.get(unit)
    if days is None:
        return None
    return float(figure), days * frame.hours_per_day if days else 1.0

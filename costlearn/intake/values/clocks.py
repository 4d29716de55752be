"""Times of day to hours between them: "7:30" to "4", with a break; and how long a break was."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import product

from costlearn.intake.values.cells import Raw, Reading, is_missing, read_yes_no, refused
from costlearn.intake.values.numerals import tidy, unquoted
from costlearn.intake.values.sizes import read_hours

LONGEST_SHIFT = 16.0
"""Hours below which a day's work must last for two times of day to be read as its ends."""
_LONGEST_BREAK = 4.0
_FEWEST_MINUTES, _MOST_HOURS = 5.0, 2.0
"""A bare break from the one on is in minutes, up to the other in hours; between, it is unclear."""
_NOON = {"noon": 12.0, "midday": 12.0, "midi": 12.0, "midnight": 0.0, "minuit": 0.0}
_CLOCK = re.compile(
    r"(?P<hour>\d{1,2})(?:(?P<mark>[:h.] ?)(?P<minute>[0-5]\d)?(?::[0-5]\d(?:\.\d+)?)?"
    r"|(?P<glued>[0-5]\d))? ?(?P<half>[ap])?\.?(?:m\.?)?",
    re.IGNORECASE,
)
_BETWEEN = re.compile(r" ?(?:-|\bto\b|\bà\b) ?", re.IGNORECASE)
_HALF_HOUR = re.compile(r"(?:a )?half(?: an)?[- ]?(?:hour|hr)|(?:une )?demi[- ]?heure", re.I)
_AN_HOUR = re.compile(r"(?:an|one|1|une?) ?(?:hour|hr|heure)", re.I)
_MINUTES = re.compile(r"(\d{1,3}) ?(?:m|min|mins|minutes?|')", re.I)


@dataclass(frozen=True, slots=True)
class Clock:
    """A time of day in hours; ``settled`` where it cannot be twelve hours later."""

    hour: float
    settled: bool

    @property
    def ways(self) -> tuple[float, ...]:
        """The hours of the day it may be."""
        return (self.hour,) if self.settled else (self.hour, (self.hour + 12) % 24)


def read_clock(raw: Raw) -> Clock | None:
    """A time of day, or None for anything else.

    >>> read_clock("7:30"), read_clock("4 pm"), read_clock("7.5 h")
    (Clock(hour=7.5, settled=False), Clock(hour=16.0, settled=True), None)
    """
    if isinstance(raw, datetime):
        # A stamp of a real day is of 24 hours; a workbook shows bare times as days of 1899.
        found = read_clock(raw.time())
        return found and Clock(found.hour, settled=found.settled or raw.year > 1900)
    if isinstance(raw, timedelta):
        return _at(raw.total_seconds() / 3600)
    if isinstance(raw, time):
        return _at(raw.hour + raw.minute / 60 + raw.second / 3600)
    if isinstance(raw, bool | date) or is_missing(raw):
        return None
    if isinstance(raw, int | float):
        return _of_figure(float(raw))
    return _of_text(unquoted(tidy(str(raw))))


def _of_figure(figure: float) -> Clock | None:
    """A bare number: an hour, an hour with quarters, "730", or a workbook's part of a day."""
    if figure == int(figure):
        return _of_text(str(int(figure)))
    if 0 < figure < 1:
        return _at(round(figure * 24, 6))
    return _at(figure) if figure * 4 == int(figure * 4) else None


def _at(hour: float, *, settled: bool = False) -> Clock | None:
    if not 0 <= hour <= 24:
        return None
    return Clock(hour % 24, settled or hour >= 13 or hour < 1)


def _of_text(text: str) -> Clock | None:
    if text.lower() in _NOON:
        return Clock(_NOON[text.lower()], settled=True)
    match = _CLOCK.fullmatch(text)
    if match is None:
        return None
    hour, minute = int(match["hour"]), int(match["minute"] or match["glued"] or 0)
    dotted = (match["mark"] or "").startswith(".")
    if dotted and (not match["minute"] or minute % 15 or minute == 50):
        return None
    if not match["half"]:
        return _at(hour + minute / 60)
    if not 1 <= hour <= 12:
        return None
    return _at(hour % 12 + 12 * (match["half"].lower() == "p") + minute / 60, settled=True)


def shifts(ends: Sequence[Clock], *, by_24: bool = False) -> tuple[float, ...]:
    """The hours a person may have worked between times of day, shortest first.

    Args:
        ends: start and end, between them out and back of each break.
        by_24: whether the times are of a clock of 24 hours, as others beside them prove.

    >>> shifts([Clock(7.5, False), Clock(4.0, False)])
    (8.5,)
    """
    if by_24 and ends[0].hour == ends[-1].hour:
        return ()
    if by_24:
        plain = shifts([Clock(end.hour, settled=True) for end in ends])
        if plain and ends[0].hour < ends[-1].hour:
            return plain
    found: set[float] = set()
    for start, *between, end in product(*(clock.ways for clock in ends)):
        whole = (end - start) % 24
        steps = [(moment - start) % 24 for moment in between]
        if 0 < whole < LONGEST_SHIFT and steps == sorted(steps) and max(steps, default=0) <= whole:
            away = sum(back - out for out, back in zip(steps[::2], steps[1::2], strict=True))
            found.add(round(whole - away, 4))
    return tuple(sorted(found))


def read_pause(raw: Raw, *, minutes: bool | None = None) -> Reading[float]:
    """How long a break was, in hours; a bare yes gives no value, and the note "yes".

    Args:
        raw: the cell; blank or "none" is no break.
        minutes: whether bare figures are minutes (True) or hours (False), as the heading says.

    >>> [read_pause(raw).value for raw in ("30", "0:30", "1/2 h", "none", "12-12:30")]
    [0.5, 0.5, 0.5, 0.0, 0.5]
    """
    if is_missing(raw):
        return Reading(0.0)
    text = unquoted(tidy(str(raw)))
    yes = read_yes_no(raw) if not isinstance(raw, int | float) or raw == 0 else Reading()
    if yes.value is False or text == "0":
        return Reading(0.0)
    if yes.value and text != "1":
        return Reading(note="yes")
    read = _pause_of(raw, text, minutes=minutes)
    if read is None or not 0 <= read <= _LONGEST_BREAK:
        return refused(raw, "is no length of a break")
    return Reading(read)


def _pause_of(raw: Raw, text: str, *, minutes: bool | None) -> float | None:
    for form, hours in ((_HALF_HOUR, 0.5), (_AN_HOUR, 1.0)):
        if form.fullmatch(text):
            return hours
    if match := _MINUTES.fullmatch(text):
        return int(match[1]) / 60
    sides = [read_clock(side) for side in _BETWEEN.split(text)]
    if isinstance(raw, str) and len(sides) == 2 and sides[0] and sides[1]:
        found = shifts([sides[0], sides[1]])
        return found[0] if found else None
    read = read_hours(raw, unit="hours", hours_per_day=8).value
    bare = isinstance(raw, int | float) or text.replace(".", "", 1).replace(",", "", 1).isdigit()
    if read is None or not bare:
        return read
    unclear = minutes is None and _MOST_HOURS < read < _FEWEST_MINUTES
    in_minutes = read >= _FEWEST_MINUTES if minutes is None else minutes
    return None if unclear else read / 60 if in_minutes else read

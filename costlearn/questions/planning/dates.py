"""Days, and ranges of them, as a calendar speaks of them."""

from __future__ import annotations

from datetime import date

from costlearn.models.distribution import Interval
from costlearn.units import say_days


def day(when: date) -> str:
    """A day as it is spoken of: "Mon 11 Jan 2027"."""
    return f"{when:%a} {when.day} {when:%b %Y}"


def short(when: date) -> str:
    """A day without its year: "Mon 11 Jan"."""
    return f"{when:%a} {when.day} {when:%b}"


def done_between(early: date, late: date) -> str:
    """Two days in a row, the year said once: "between 3 Feb and 19 Feb 2027"."""
    if early == late:
        return f"on {day(early)}"
    year = f" {early:%Y}" if early.year != late.year else ""
    return f"between {early.day} {early:%b}{year} and {late.day} {late:%b %Y}"


def days_within(interval: Interval) -> str:
    """A range of days without its unit; one figure where both ends print alike."""
    low, high = (say_days(v).split(" ", 1)[0] for v in (interval.low, interval.high))
    return low if low == high else f"{low} to {high}"


def short_between(days: tuple[date, date]) -> str:
    """Two days of one row of a table: "3-19 Feb", "30 Oct - 2 Nov"."""
    early, late = days
    if early == late:
        return f"{early.day} {early:%b}"
    if (early.year, early.month) == (late.year, late.month):
        return f"{early.day}-{late.day} {late:%b}"
    return f"{early.day} {early:%b} - {late.day} {late:%b}"

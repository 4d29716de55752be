"""How figures are put into words: range first, then the middle, then the odds."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.models.distribution import Interval
from costlearn.units import say_days, say_money

PLAIN_TARGET = {
    "cost": "direct cost",
    "person_days": "person-days of work",
    "site_days": "days on site",
    "elapsed_days": "working days from first to last",
}


def say(value: float, target: str, currency: str) -> str:
    """A figure of a target: money or days."""
    return say_money(value, currency) if target == "cost" else say_days(value)


def say_range(interval: Interval, target: str, currency: str) -> str:
    """An interval of a target, without repeating the unit."""
    low, high = say(interval.low, target, currency), say(interval.high, target, currency)
    if target == "cost":
        return f"{low} to {high}"
    return f"{low.split(' ', 1)[0]} to {high}"


def say_list(words: Sequence[str], joint: str = "and") -> str:
    """Words in a row: "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return ", ".join(words[:-1]) + f" {joint} {words[-1]}"


def count_of(number: int, word: str) -> str:
    """A number with its noun: "1 job", "5 jobs".

    >>> count_of(2, "job")
    '2 jobs'
    """
    return f"{number} {word}" + ("" if number == 1 else "s")


def is_are(number: int) -> str:
    """The verb that goes with a number of things."""
    return "is" if number == 1 else "are"

"""Figures said as options: each read strictly, or refused in a sentence that shows it."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING, TypeVar

from costlearn.errors import InputProblem, Place

if TYPE_CHECKING:
    from costlearn.intake.values.cells import Reading

T = TypeVar("T")

LARGEST = 1e9
"""A figure from there on is taken for a slip, whatever it should measure."""
MOST_JOBS = 10_000.0
"""More jobs a year than a small firm could ever sell."""


def number(flag: str, text: str) -> float:
    """A number above zero.

    Raises:
        InputProblem: it is none.
    """
    from costlearn.intake.values.cells import read_number
    from costlearn.intake.values.numerals import decimal_in

    expected = "a number above zero such as 24.5"
    value = _said(flag, text, read_number(text, decimal=decimal_in(text)), expected)
    if not 0 < value < LARGEST:
        raise _refused(flag, text, expected)
    return value


def amount(flag: str, text: str, currency: str, *, zero: bool = False) -> float:
    """An amount of money in whole currency units, above zero, or from zero up.

    Raises:
        InputProblem: it is none, or of another currency than the firm's.
    """
    from costlearn.intake.values.money import read_money
    from costlearn.intake.values.numerals import marks_in

    expected = f"an amount {'from zero up' if zero else 'above zero'} such as 28,900"
    if "," in marks_in(text):
        # Read as it stands, "28,9" would be taken for a price of 29 without a word.
        raise _refused(flag, text, expected)
    money = _said(flag, text, read_money(text), expected)
    if money.currency not in (None, currency) or money.tax is not None:
        raise _refused(flag, text, f"a plain amount in {currency}, the currency of your settings")
    value = money.cents / 100
    if not (0 if zero else 0.01) <= value < LARGEST:
        raise _refused(flag, text, expected)
    return value


def count(flag: str, text: str) -> float:
    """How many jobs a year: a number from zero up.

    Raises:
        InputProblem: it is none.
    """
    from costlearn.intake.values.cells import read_number

    expected = f"a number from zero to {MOST_JOBS:,.0f} such as 14"
    value = _said(flag, text, read_number(text), expected)
    if not 0 <= value <= MOST_JOBS:
        raise _refused(flag, text, expected)
    return value


def span(flag: str, text: str, example: str) -> tuple[float, float | None]:
    """A number from zero up, or two with a dash between them, the smaller first: "10-16".

    Raises:
        InputProblem: it is neither.
    """
    parts = [p.strip() for p in re.split(r"\s*(?:-|–|to)\s*", text.strip())]
    if len(parts) == 1:
        return count(flag, text), None
    try:
        low, high = (float(p) for p in parts)
    except ValueError:
        raise _refused(flag, text, f"a number or a range such as {example}") from None
    if not 0 <= low < high <= LARGEST:
        raise _refused(flag, text, f"a range from zero up, smaller number first, such as {example}")
    return low, high


def belief(text: str) -> tuple[float, float]:
    """Both ends of a believed range of days with two over days alone.

    Raises:
        InputProblem: it is a single number, or no range.
    """
    low, high = span("--belief", text, "0.6-0.85")
    if high is None:
        raise InputProblem(
            f"--belief: found '{text}'", expected="a range such as 0.6-0.85, since nobody is sure"
        )
    return low, high


def share(flag: str, text: str) -> float:
    """A share from 0 to 0.95; "27 %" is 0.27.

    Raises:
        InputProblem: it is none.
    """
    from costlearn.intake.values.cells import read_number, read_percent

    expected = "a share of the price from 0 to 0.95 such as 0.27, or 27 %"
    if text.strip().endswith("%"):
        value = _said(flag, text, read_percent(text), expected)
    else:
        value = _said(flag, text, read_number(text), expected)
    if not 0 <= value <= 0.95:
        raise _refused(flag, text, expected)
    return value


def year(flag: str, text: str) -> int:
    """A year as a whole number.

    Raises:
        InputProblem: it is none.
    """
    if not (text.strip().isascii() and text.strip().isdigit() and len(text.strip()) == 4):
        raise _refused(flag, text, "a year such as 1968")
    return int(text)


def day(flag: str, text: str) -> date:
    """A date written as 2026-11-02.

    Raises:
        InputProblem: it is none.
    """
    from costlearn.intake.asked import iso_day

    return iso_day(text.strip(), Place(flag))


def _said(flag: str, text: str, reading: Reading[T], expected: str) -> T:
    if reading.value is None:
        raise _refused(flag, text, expected)
    return reading.value


def _refused(flag: str, text: str, expected: str) -> InputProblem:
    return InputProblem(f"found '{' '.join(text.split())}'", place=Place(flag), expected=expected)

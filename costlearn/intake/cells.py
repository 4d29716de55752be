"""One cell to a value, or the reason it is none: texts, numbers, counts, shares, yes and no."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Generic, TypeVar

T = TypeVar("T")

Raw = str | int | float | bool | date | datetime | time | timedelta | None
"""What a file reader hands over for one cell."""


@dataclass(frozen=True, slots=True)
class Reading(Generic[T]):
    """What one cell says; no value and no problem means the cell is blank or says "unknown"."""

    value: T | None = None
    problem: str = ""
    note: str = ""


def is_missing(raw: Raw, also: Collection[str] = ()) -> bool:
    """Whether a cell says nothing: blank, a dash, "n/a", "TBD", "#REF!" and the like."""
    raise NotImplementedError


def vote_decimal(raws: Iterable[Raw]) -> str:
    """The decimal mark of a whole column, "." or ","; undecided is "."."""
    raise NotImplementedError


def read_number(raw: Raw, *, decimal: str = ".") -> Reading[float]:
    """A plain number."""
    raise NotImplementedError


def read_count(raw: Raw, *, decimal: str = ".") -> Reading[int]:
    """A whole number of things, 0 or more."""
    raise NotImplementedError


def read_yes_no(raw: Raw) -> Reading[bool]:
    """Yes or no."""
    raise NotImplementedError


def read_percent(raw: Raw, *, decimal: str = ".") -> Reading[float]:
    """A share from 0 to 1."""
    raise NotImplementedError

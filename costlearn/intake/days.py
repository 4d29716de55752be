"""One cell to a date, or the reason it is none; and the order of day and month in a column."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from costlearn.intake.cells import Raw, Reading


@dataclass(frozen=True, slots=True)
class DateVote:
    """Order of a column's dates; ``proven`` also if no cell depends on it; ``clash`` indexes."""

    order: str
    proven: bool
    clash: tuple[int, int] | None = None


def vote_date_order(raws: Sequence[Raw], preferred: str) -> DateVote:
    """Whether a column writes "month-first" or "day-first"."""
    raise NotImplementedError


def read_day(raw: Raw, *, order: str) -> Reading[date]:
    """A date."""
    raise NotImplementedError

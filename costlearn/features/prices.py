"""Bringing costs to one date by a price index that the user keeps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np

from costlearn.errors import InputProblem


@dataclass(frozen=True)
class PriceIndex:
    """Levels of a price index at some dates; between them it runs straight, outside it stays."""

    days: tuple[int, ...]
    levels: tuple[float, ...]
    share: float = 1.0
    """Share of a cost that the index moves; the rest keeps its price."""

    @classmethod
    def of(cls, table: Mapping[str, float], share: float = 1.0) -> PriceIndex | None:
        """From ISO dates to levels; None if the table is empty.

        Raises:
            InputProblem: a date is not a date.
        """
        if not table:
            return None
        try:
            pairs = sorted((date.fromisoformat(k).toordinal(), v) for k, v in table.items())
        except ValueError as problem:
            raise InputProblem(
                "the price index holds a date that is none", expected="dates such as 2024-07-01"
            ) from problem
        return cls(tuple(d for d, _ in pairs), tuple(v for _, v in pairs), share)

    def level(self, day: date) -> float:
        """The index level on a day."""
        return float(np.interp(day.toordinal(), self.days, self.levels))

    def covers(self, day: date) -> bool:
        """True if the day lies within the dates of the table, or a year past its end."""
        return self.days[0] <= day.toordinal() <= self.days[-1] + 365

    def factor(self, then: date, now: date) -> float:
        """What a unit of money of ``then`` is at prices of ``now``."""
        return 1 - self.share + self.share * self.level(now) / self.level(then)

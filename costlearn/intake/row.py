"""One row of a table, its cells read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from typing import Any

from costlearn.errors import Place
from costlearn.fields import columns
from costlearn.intake.values.day_ranges import DayRange
from costlearn.intake.values.money import Money
from costlearn.intake.values.stints import Stint
from costlearn.records import Span, job_key

key_of = lru_cache(maxsize=1 << 16)(job_key)
"""The key two spellings of one job share, remembered: a log names a job on every line."""

Value = str | int | float | bool | date | DayRange | Money | Stint


def figure_of(key: str) -> str:
    """The figure a column fills: bare days are days on site.

    >>> figure_of("actual.days"), figure_of("price")
    ('actual.site_days', 'price')
    """
    side, dot, measure = key.rpartition(".")
    return f"{side}{dot}site_days" if measure == "days" else key


@dataclass(slots=True)
class Row:
    """One row: its values by column key. ``bad`` says why the whole row cannot be used."""

    index: int
    place: Place
    values: dict[str, Value] = field(default_factory=dict)
    bad: str = ""
    job_unknown: bool = False
    """The job's cell says something like "n/a", so it is not filled from the row above."""
    after_total: bool = False
    """A grand total stands between this row and the one above."""

    def text(self, key: str) -> str:
        """A text, "" if there is none."""
        value = self.values.get(key)
        return value if isinstance(value, str) else ""

    def number(self, key: str) -> float | None:
        """A number, a time, an area or a share."""
        value = self.values.get(key)
        if isinstance(value, Stint):
            return value.site_days
        if isinstance(value, bool) or not isinstance(value, int | float):
            return None
        return float(value)

    def cents(self, key: str) -> int | None:
        """An amount of money in cents, the middle of a range."""
        value = self.values.get(key)
        if isinstance(value, Money) and value.low is not None:
            return value.cents
        return value if isinstance(value, int) and not isinstance(value, bool) else None

    def money(self, key: str) -> Money | None:
        """An amount with its currency and tax, in a table of receipts."""
        value = self.values.get(key)
        return value if isinstance(value, Money) else None

    def spans(self) -> dict[str, Span]:
        """The figures known only roughly, in cents or days, by the names of their figures."""
        return {
            figure_of(key): Span(value.low, value.high)
            for key, value in self.values.items()
            if isinstance(value, Money | Stint) and value.low is not None and value.high is not None
        }

    def day(self, key: str) -> date | None:
        """A date."""
        value = self.values.get(key)
        return value if isinstance(value, date) else None

    def flag(self, key: str) -> bool | None:
        """Yes or no."""
        value = self.values.get(key)
        return value if isinstance(value, bool) else None

    def stated(self, record: type) -> dict[str, Any]:
        """What the row says of the fields of a kind of record, by their names, but for amounts."""
        found: dict[str, Any] = {}
        for column in columns(record):
            key = column.shown.called or column.field
            value = _STATED[column.style](self, key) if key in self.values else None
            if value is not None and not column.amount:
                found[column.field] = int(value) if column.style == "whole" else value
        return found

    def put(self, key: str, value: Value | None) -> None:
        """Set or, with None, take away a value."""
        if value is None:
            self.values.pop(key, None)
        else:
            self.values[key] = value


_STATED: Mapping[str, Callable[[Row, str], Any]] = {
    **{"text": Row.text, "date": Row.day, "flag": Row.flag, "money": Row.cents},
    **dict.fromkeys(("number", "whole"), Row.number),
    **dict.fromkeys(("scope", "spans"), lambda _row, _key: None),
}
"""How what a row says is taken for each style of a field; scope and ranges are made elsewhere."""

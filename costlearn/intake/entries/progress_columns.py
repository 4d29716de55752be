"""Columns that say how far the phases are: a column a day beside the phases, or a column a phase.

Figures to 100 alone prove nothing, they may be hours: some cell of the columns has a percent sign
or a word such as "done", or the words around the table speak of progress.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from itertools import islice

from costlearn.firm import DATE_ORDERS
from costlearn.intake.files.sheets import Grid
from costlearn.intake.headers import Match
from costlearn.intake.targets import fold_heading
from costlearn.intake.values.cells import Raw, is_missing
from costlearn.intake.values.days import read_day
from costlearn.intake.values.progress import may_say_progress, read_progress, says_progress
from costlearn.vocabulary import Vocabulary

ON, OF = "progress.", "done."
"""What the fields of such columns begin with: those of a day, and those of a phase."""
_SPEAK = frozenset(("percent", "progress", "complete", "completed", "pct", "avancement"))
_ANY_YEAR = 2000
_FEWEST = 2
_MOST_HOURS = 48
"""Hours that two people can work in a day and a night."""


def by_progress(
    grid: Grid,
    body: int,
    found: list[tuple[int, str, Match]],
    hints: Collection[str],
    words: Vocabulary,
) -> list[tuple[int, str, Match]]:
    """The columns of a table of phases with those that say how far the phases are."""
    unknown = [(at, text) for at, text, match in found if not match.field]
    shares = [(at, text) for at, text in unknown if _all_shares(_cells(grid, body, at, text))]
    cells = (raw for at, text in shares for raw in _cells(grid, body, at, text))
    days = {at: day for at, text in shares if (day := _day(text))}
    in_order = sorted(days, key=lambda at: days[at])
    said = set(hints) & _SPEAK or any(says_progress(raw) for raw in cells)
    if not said and not _grows(grid.rows[body:], in_order):
        return found
    phases = {at: key for at, text in shares if (key := words.phase_words.get(fold_heading(text)))}
    meant = {at: f"{ON}{number}" for number, at in enumerate(in_order)}
    if len(set(phases.values())) >= _FEWEST:
        meant |= {at: f"{OF}{key}" for at, key in phases.items()}
    return [
        (at, text, replace(match, field=meant[at], how="exact", near=()) if at in meant else match)
        for at, text, match in found
    ]


def _cells(grid: Grid, body: int, at: int, text: str) -> Iterator[Raw]:
    """The cells below a heading; where it stands again, another table begins."""
    for row in grid.rows[body:]:
        raw = row[at]
        if not is_missing(raw) and raw != text:
            yield raw


def _grows(rows: Iterable[Sequence[Raw]], days: Sequence[int]) -> bool:
    """Whether figures grow from day to day to more than two people work in one: no hours do."""
    if len(days) < _FEWEST:
        return False
    most = 0.0
    for row in rows:
        shares = [value for at in days if (value := read_progress(row[at]).value) is not None]
        if shares != sorted(shares):
            return False
        most = max([most, *(100 * share for share in shares)])
    return most > _MOST_HOURS


def _all_shares(cells: Iterator[Raw]) -> bool:
    return any(map(may_say_progress, islice(cells, 1))) and all(map(may_say_progress, cells))


def _day(text: str) -> date | None:
    """The day a heading names; of days without a year only their order matters."""
    for year in (None, _ANY_YEAR):
        value = read_day(text, order=DATE_ORDERS[0], year=year).value
        if value is not None:
            return value
    return None

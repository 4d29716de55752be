"""Hours logs with a column a weekday, a date, a person or a phase in place of one of hours."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from costlearn.firm import DATE_ORDERS
from costlearn.intake.entries.hours_named import NAMED, by_name
from costlearn.intake.entries.hours_times import (
    CLOCKS,
    PARTS,
    WEEKDAYS,
    Found,
    as_field,
    holds_hours,
    said_in,
    timed,
)
from costlearn.intake.entries.people import legend_of, reads_as_names
from costlearn.intake.files.sheets import Grid
from costlearn.intake.headers import NO_MATCH, HeadingReader, Match
from costlearn.intake.looks import look_of
from costlearn.intake.targets import fold_heading, headings
from costlearn.intake.values.days import read_day
from costlearn.vocabulary import Vocabulary, fold

ON, AT, BY, FOR = "on.", "at.", "by.", "for."
"""How the fields of such columns begin: on a weekday (0 is Monday), at a date, by a person, for a
phase."""
SPREAD = (ON, AT, BY, FOR)

_YEAR = re.compile(r"(?<!\d)(?:19|20)\d\d(?!\d)")
_HOUR_WORDS = {"hrs", "hr", "hours", "h", "heures"}
NO_NAMES = {
    "km", "kms", "miles", "mileage", "kilometres", "rate", "day rate", "hourly rate", "pay", "wage",
    "wages", "cost", "amount", "invoice", "qty", "quantity", "week", "year", "month", "id", "temp",
    "temperature", "weather", "start", "finish", "end", "in", "out", "lunch", "break", "breaks",
    "pause", "overtime", "ot", "taux", "semaine", "crew", "people", "set", "sets", "reps", "rep",
    "weight", "kg", "lbs", "calories", "distance", "pace", "steps", "dose", "mg", "ml", "score",
    "age", "price", "hours", "tax", "balance", "no", "number", "speed",
}  # fmt: skip
"""Headings over figures that name no person, and nothing an hours log is asked about; common
practice, no source."""
_SHORTEST_DATE = 4
_LONGEST_NAME = 3
"""Words of a person's name, at most."""


def log_columns(
    grid: Grid, body: int, found: Sequence[Found], reader: HeadingReader
) -> list[Found]:
    """The columns of an hours log as their cells prove them.

    Times of day and parts of hours come first, then people with hours in one cell, then a column
    a weekday, date, phase or person.

    Args:
        grid: the sheet.
        body: the first row below the headings.
        found: column index, heading, and what it was taken for.
        reader: knows the words of the trade and the people of the firm.
    """
    no_slips = NO_NAMES | headings().totals.keys()
    plain = [
        (i, text, NO_MATCH if match.how == "ask" and fold_heading(text) in no_slips else match)
        for i, text, match in found
    ]
    columns = _crew_by_name(grid, body, timed(grid, body, plain))
    columns = by_name(grid, body, columns, reader.vocabulary)
    if any(match.field == NAMED for _, _, match in columns):
        columns = as_field(grid, body, columns, "total", set(headings().totals) | {"hours"})
    return _spread(grid, body, columns, reader)


def _crew_by_name(grid: Grid, body: int, found: list[Found]) -> list[Found]:
    """A column of the crew that holds names, not numbers, is one of persons."""
    fields = {match.field for _, _, match in found}
    return [
        (i, text, Match("person", None, "exact"))
        if match.field == "crew"
        and "person" not in fields
        and reads_as_names(said_in(grid, body, i))
        else (i, text, match)
        for i, text, match in found
    ]


def _spread(grid: Grid, body: int, found: list[Found], reader: HeadingReader) -> list[Found]:
    """The columns that stand for a weekday, date, person or phase named.

    Weekdays and dates need a person or job beside them, persons and phases a day; they are only
    looked for where no column of hours says otherwise, and each must hold hours and nothing else.
    A column of totals beside them becomes the field ``total``, to be checked.
    """
    fields = {match.field for _, _, match in found if match.how in ("exact", "close")}
    days = _day_fields(grid, body, [text for _, text, _ in found])
    if sum(bool(d) for d in days) >= 2 and fields & {"person", "job", "job_code"}:
        named = {at: d for at, d in enumerate(days) if d}
    elif not fields & {"hours", NAMED, *CLOCKS, *PARTS} and "day" in fields:
        named = _phases(grid, body, found, reader.vocabulary)
        if len(named) < 2 and "person" not in fields:
            named = _people(grid, body, found, reader)
    else:
        return found
    if not named:
        return found
    return [
        (i, text, Match(named[at], "hours", "exact") if at in named else _total(text, match))
        for at, (i, text, match) in enumerate(found)
    ]


def _total(text: str, match: Match) -> Match:
    """A column of totals beside the spread columns; any other stays what it is."""
    folded = fold_heading(text)
    if match.field == "hours" or folded in headings().totals:
        return Match("total", "hours", "exact")
    return match


def _day_fields(grid: Grid, body: int, texts: Sequence[str]) -> list[str]:
    """The fields of headings that are weekdays ("Mon", "lundi 3") or dates; "" for any other.

    "Mar 20", "Mar 21" are dates, and beside "Lun 19" a Tuesday. Dates without a year are of the
    one year the sheet speaks of; where it speaks of none they are days nobody can date.
    """
    days = [_weekday(text) for text in texts]
    if len({day for day in days if day}) >= 2:
        return days
    around = (grid.sheet, grid.file, *(str(raw) for row in grid.rows[: body - 1] for raw in row))
    years = {int(year) for text in around for year in _YEAR.findall(text)}
    year = years.pop() if len(years) == 1 else None
    return [_date_field(text, year) for text in texts]


def _weekday(text: str) -> str:
    words = fold_heading(text).split()
    if words and words[0] in WEEKDAYS and all(any(c.isdigit() for c in w) for w in words[1:]):
        return f"{ON}{WEEKDAYS[words[0]]}"
    return ""


def _date_field(text: str, year: int | None) -> str:
    if not any(c.isdigit() for c in text) or len(text) < _SHORTEST_DATE:
        return ""
    found = [read_day(text, order=order, year=year) for order in DATE_ORDERS]
    day, other = (reading.value for reading in found)
    if isinstance(day, date) and day == other:
        return AT + day.isoformat()
    undated = {reading.code for reading in found} == {"no year"} and any(c.isalpha() for c in text)
    return AT + text if undated else ""


def _phases(grid: Grid, body: int, found: Sequence[Found], words: Vocabulary) -> dict[int, str]:
    """Which headings are phases with hours below them."""
    named: dict[int, str] = {}
    for at, (index, text, match) in enumerate(found):
        if match.how == "exact":
            continue
        key = words.phase_words.get(_without_hours(text))
        if key and f"{FOR}{key}" not in named.values() and holds_hours(grid, body, index):
            named[at] = FOR + key
    return named


def _people(grid: Grid, body: int, found: Sequence[Found], reader: HeadingReader) -> dict[int, str]:
    """Which headings nobody knows may be people with hours below them.

    A lone one must be somebody the firm or the sheet names: any column of figures has a heading.
    """
    words = reader.vocabulary
    firm = {*reader.people, *legend_of(grid)}
    named: dict[int, str] = {}
    for at, (index, text, match) in enumerate(found):
        folded = _without_hours(text)
        known = folded in NO_NAMES or folded in words.phase_words or folded in words.cost_words
        stated = folded in words.ask or folded in headings().totals
        whole = all(c.isalpha() or c in " .-'" for c in folded) and folded
        if match.how == "exact" or known or stated or not whole:
            continue
        if len(folded.split()) > _LONGEST_NAME:
            continue
        # Two columns of clock times are when people came and left, whatever they are called.
        if folded not in firm and _bare_clocks(grid, body, index):
            continue
        if holds_hours(grid, body, index):
            named[at] = BY + _bare(text)
    ours = any(fold(name.removeprefix(BY)) in firm for name in named.values())
    return named if len(named) > 1 or ours else {}


def _bare_clocks(grid: Grid, body: int, index: int) -> bool:
    """Whether a column holds times such as "7:30" and not plain figures, which may be hours."""
    said = said_in(grid, body, index)
    return 2 * sum(look_of(raw) == "clock" for raw in said) > len(said)


def _without_hours(text: str) -> str:
    return " ".join(w for w in fold_heading(text).split() if w not in _HOUR_WORDS)


def _bare(text: str) -> str:
    """A name without the words of its unit: "Ann (hrs)" is "Ann"."""
    kept = [w for w in text.split() if fold_heading(w) not in _HOUR_WORDS]
    return " ".join(kept) or text

"""Hours logs with a column a weekday, a date, a person or a phase in place of one of hours."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from costlearn.intake.entries.hours_named import NAMED
from costlearn.intake.files.sheets import Grid
from costlearn.intake.headers import Match
from costlearn.intake.targets import fold_heading, headings
from costlearn.intake.values.cells import Raw, is_missing
from costlearn.intake.values.days import read_day
from costlearn.intake.values.sizes import read_hours
from costlearn.vocabulary import Vocabulary

ON, AT, BY, FOR = "on.", "at.", "by.", "for."
"""How the fields of such columns begin: on a weekday (0 is Monday), at a date, by a person, for a
phase."""
SPREAD = (ON, AT, BY, FOR)

_WEEKDAYS = {
    word: day
    for day, words in enumerate(
        (
            ("mon", "monday", "lun", "lundi"),
            ("tue", "tues", "tuesday", "mar", "mardi"),
            ("wed", "weds", "wednesday", "mer", "mercredi"),
            ("thu", "thur", "thurs", "thursday", "jeu", "jeudi"),
            ("fri", "friday", "ven", "vendredi"),
            ("sat", "saturday", "sam", "samedi"),
            ("sun", "sunday", "dim", "dimanche"),
        )
    )
    for word in words
}
_HOUR_WORDS = {"hrs", "hr", "hours", "h", "heures"}
_NOBODY = {
    "km", "kms", "miles", "mileage", "kilometres", "rate", "day rate", "hourly rate", "pay", "wage",
    "wages", "cost", "amount", "invoice", "qty", "quantity", "week", "year", "month", "id", "temp",
    "temperature", "weather", "start", "finish", "end", "in", "out", "lunch", "break", "breaks",
    "pause", "overtime", "ot", "taux", "semaine", "crew", "people",
}  # fmt: skip
"""Headings over figures that name no person; common practice, no source."""
_MOST_ROWS = 500
_LONGEST_DAY = 24.0

Found = tuple[int, str, Match]


def spread(grid: Grid, body: int, found: Sequence[Found], words: Vocabulary) -> list[Found]:
    """The columns of an hours log, those that stand for a weekday, date, person or phase named.

    Weekdays and dates need a person or job beside them, persons and phases a day; they are only
    looked for where no column of hours says otherwise, and each must hold hours and nothing else.
    A column of totals beside them becomes the field ``total``, to be checked.

    Args:
        grid: the sheet.
        body: the first row below the headings.
        found: column index, heading, and what it was taken for.
        words: the words of the trade.
    """
    fields = {match.field for _, _, match in found if match.how in ("exact", "close")}
    days = [_day_field(text) for _, text, _ in found]
    if sum(bool(d) for d in days) >= 2 and fields & {"person", "job", "job_code"}:
        named = {at: d for at, d in enumerate(days) if d}
    elif not fields & {"hours", NAMED} and "day" in fields:
        named = _phases(grid, body, found, words)
        if len(named) < 2 and "person" not in fields:
            named = _people(grid, body, found, words)
    else:
        return list(found)
    if not named:
        return list(found)
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


def _day_field(text: str) -> str:
    """The field of a heading that is a weekday ("Mon", "lundi 3") or a date, or an empty text."""
    words = fold_heading(text).split()
    if words and words[0] in _WEEKDAYS and all(any(c.isdigit() for c in w) for w in words[1:]):
        return f"{ON}{_WEEKDAYS[words[0]]}"
    if len(text) > 5 and text[:1].isdigit():
        day = read_day(text, order="month-first").value
        other = read_day(text, order="day-first").value
        if isinstance(day, date) and day == other:
            return AT + day.isoformat()
    return ""


def _phases(grid: Grid, body: int, found: Sequence[Found], words: Vocabulary) -> dict[int, str]:
    """Which headings are phases with hours below them."""
    named: dict[int, str] = {}
    for at, (index, text, match) in enumerate(found):
        if match.how == "exact":
            continue
        key = words.phase_words.get(_without_hours(text))
        if key and f"{FOR}{key}" not in named.values() and _holds_hours(grid, body, index):
            named[at] = FOR + key
    return named


def _people(grid: Grid, body: int, found: Sequence[Found], words: Vocabulary) -> dict[int, str]:
    """Which headings nobody knows are people with hours below them."""
    named: dict[int, str] = {}
    for at, (index, text, match) in enumerate(found):
        folded = _without_hours(text)
        known = folded in _NOBODY or folded in words.phase_words or folded in words.cost_words
        stated = folded in words.ask or folded in headings().totals
        if match.how == "exact" or known or stated or not any(c.isalpha() for c in folded):
            continue
        if _holds_hours(grid, body, index):
            named[at] = BY + _bare(text)
    return named


def _without_hours(text: str) -> str:
    return " ".join(w for w in fold_heading(text).split() if w not in _HOUR_WORDS)


def _bare(text: str) -> str:
    """A name without the words of its unit: "Ann (hrs)" is "Ann"."""
    kept = [w for w in text.split() if fold_heading(w) not in _HOUR_WORDS]
    return " ".join(kept) or text


def _holds_hours(grid: Grid, body: int, index: int) -> bool:
    """Whether a column holds hours of a day and nothing else, and at least one."""
    cells: list[Raw] = [row[index] for row in grid.rows[body : body + _MOST_ROWS]]
    said = [raw for raw in cells if not is_missing(raw)]
    # A row of totals at the foot may hold more than a day.
    hours = [read_hours(raw, unit="hours", hours_per_day=8.0).value for raw in said]
    short = sum(1 for h in hours if h is not None and 0 <= h <= _LONGEST_DAY)
    return short > 0 and short >= len(said) - 1 and None not in hours

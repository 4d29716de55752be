"""Rows of an hours log to entries: a line a person and day, or hours spread over columns."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from costlearn.errors import Place
from costlearn.intake.entries.callbacks import Placed, place_work
from costlearn.intake.entries.hours_columns import AT, BY, FOR, ON, SPREAD
from costlearn.intake.entries.hours_named import NAMED, read_named
from costlearn.intake.entries.line_rows import at, no_job
from costlearn.intake.entries.weeks import ends_week, in_week, titled_week
from costlearn.intake.names import WAITING, says_waiting
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row
from costlearn.intake.rows import set_aside
from costlearn.intake.tables import Column, Table
from costlearn.records import Entry, HoursEntry
from costlearn.units import say_count
from costlearn.vocabulary import fold

_LONGEST = {"day": 24.0, "week": 168.0}
"""Hours there are."""
_SEVERAL = re.compile(r"\s*(?:&|\+|/|\band\b|\bet\b)\s*", re.IGNORECASE)
_OF_ALL = {"person", "man", "labour", "labor", "personne", "total", "all"}
_OF_EACH = {"crew", "each", "site", "equipe"}


@dataclass(frozen=True, slots=True)
class _Week:
    """The week of the weekday columns where the rows do not say it: its date, and which end."""

    day: date
    ends: bool


def hours_entries(table: Table, rows: list[Row], setting: Setting) -> list[Entry]:
    """One entry a person and day; rows without a job or hours are set aside."""
    entries: list[Entry] = []
    columns = [c for c in table.columns if c.field.startswith(SPREAD)]
    named = table.column(NAMED) is not None
    span = "day" if columns else _span(table)
    week = _week(table, columns, setting)
    _tell_people(table, columns, setting)
    for row in rows:
        why = row.bad or no_job(row.text("job"), setting)
        made = [] if why else _of_row(table, row, columns, week, setting)
        if not why:
            why = _why_not(made, row, span)
        if why:
            set_aside(table, row, why, setting)
            continue
        if columns or named:
            made = _usable(made, setting)
            _check_total(table, row, made, setting)
        entries.extend(made)
    return entries


def _why_not(made: Sequence[HoursEntry], row: Row, span: str) -> str:
    """Why a row's hours cannot be used, or an empty text."""
    if not made:
        return "it gives 0 hours" if row.number("hours") == 0 else "it gives no hours"
    first = made[0]
    if len(made) == 1 and first.person and first.day and first.hours > _LONGEST[span]:
        return f"{first.hours:g} hours are more than one person can work in a {span}"
    return ""


def _usable(made: Sequence[HoursEntry], setting: Setting) -> list[HoursEntry]:
    """The hours of a row's columns without those no day has."""
    kept: list[HoursEntry] = []
    for entry in made:
        if entry.hours <= _LONGEST["day"]:
            kept.append(entry)
            continue
        text = f"{entry.hours:g} hours are more than one person can work in a day"
        setting.notes.add("set aside", entry.place, text, f"{entry.hours:g}")
    return kept


def _span(table: Table) -> str:
    """Whether a line of an hours log is a day or, by its heading, a week."""
    column = table.column("day")
    words = set(fold(column.heading).split()) if column else set()
    return "week" if words & {"week", "semaine"} else "day"


def _waits(table: Table, row: Row, word: str, setting: Setting) -> bool:
    """Whether a word says that nobody worked; one of several words is told."""
    if not says_waiting(word):
        return False
    if fold(word) not in WAITING:
        text = f"'{word}' is taken for hours in which nobody could work"
        place = at(table, row, "phase")
        setting.notes.once(("waits", table.grid.sheet, fold(word)), "understood", place, text, word)
    return True


def _of_row(
    table: Table, row: Row, columns: Sequence[Column], week: _Week | None, setting: Setting
) -> list[HoursEntry]:
    """The entries of one row that names its job; none if it gives no hours."""
    person, day = row.text("person"), row.day("day")
    word = row.text("phase")
    waits = _waits(table, row, word, setting)
    waiting = bool(row.flag("waiting")) or waits
    placed = Placed(None) if waits else place_work(table, row, setting)
    hours = 0.0 if columns else row.number("hours") or 0.0
    entry = HoursEntry(
        row.text("job"),
        person,
        day,
        hours,
        row.place,
        placed.phase,
        waiting,
        row.text("notes"),
        placed.callback_of,
    )
    if columns:
        return _of_columns(table, row, entry, columns, week)
    if column := table.column(NAMED):
        _tell_named(table, row, column, setting)
        return [replace(entry, person=p, hours=h) for p, h in read_named(row.text(NAMED)) if h]
    if not hours:
        return []
    _ask_several(table, row, person, hours, setting)
    return _of_crew(table, row, entry, setting)


def _of_columns(
    table: Table, row: Row, entry: HoursEntry, columns: Sequence[Column], week: _Week | None
) -> list[HoursEntry]:
    """An entry for each column that holds hours in a row."""
    made: list[HoursEntry] = []
    for column in columns:
        hours = row.number(column.key)
        if not hours:
            continue
        place = Place(row.place.file, row.place.sheet, row.place.row, column.heading)
        start, said = column.field[:3], column.field[3:]
        if start == FOR[:3]:
            said = column.field.removeprefix(FOR)
            made.append(replace(entry, hours=hours, place=place, phase=said))
        elif start == BY:
            made.append(replace(entry, hours=hours, place=place, person=said))
        elif start == AT:
            day = date.fromisoformat(said)
            made.append(replace(entry, hours=hours, place=place, day=day))
        elif start == ON:
            stated = entry.day or (week.day if week else None)
            ends = _ends(table) if entry.day else bool(week and week.ends)
            on = in_week(stated, int(said), ends=ends) if stated else None
            made.append(replace(entry, hours=hours, place=place, day=on))
    return made


def _ends(table: Table) -> bool:
    column = table.column("day")
    return bool(column) and ends_week(column.heading if column else "")


def _week(table: Table, columns: Sequence[Column], setting: Setting) -> _Week | None:
    """The week of weekday columns without a column of dates; asked if nothing says it."""
    if not any(c.field.startswith(ON) for c in columns) or table.column("day"):
        return None
    place = table.place(table.header)
    found = titled_week(table, setting.firm.date_order)
    if found is None:
        text = "nothing says which week these weekdays belong to; the hours are kept without dates"
        setting.notes.add("asked", place, text)
        return None
    day, said = found
    ends = ends_week(said)
    text = f"the weekdays are those of the week that {'ends' if ends else 'starts'} on {day}"
    setting.notes.add("understood", place, text, said)
    return _Week(day, ends)


def _tell_people(table: Table, columns: Sequence[Column], setting: Setting) -> None:
    """Say which headings were taken for people: only their hours make them so."""
    for column in columns:
        if column.field.startswith(BY):
            name = column.field.removeprefix(BY)
            text = f"column '{column.heading}' holds hours and is taken for a person, '{name}'"
            place = table.place(table.body - 1, column.heading)
            setting.notes.add("proposed", place, text, column.heading)


def _tell_named(table: Table, row: Row, column: Column, setting: Setting) -> None:
    """Say that a cell holds several people's hours, and who a short name is."""
    text = f"each name in column '{column.heading}' is a person, the figure behind it their hours"
    place = at(table, row, NAMED)
    key = ("named", column.heading)
    setting.notes.once(key, "proposed", place, text, row.text(NAMED))


def _check_total(table: Table, row: Row, made: Sequence[HoursEntry], setting: Setting) -> None:
    """Compare a row's total with its columns."""
    stated = row.number("total")
    worked = sum(entry.hours for entry in made)
    if stated is None or abs(stated - worked) < 1e-6:
        return
    text = f"the row's total says {say_count(stated, 'hour')}, its columns make {worked:g}"
    setting.notes.add("checked", at(table, row, "total"), text, f"{stated:g}", agrees=False)


def _ask_several(table: Table, row: Row, person: str, hours: float, setting: Setting) -> None:
    """Ask whether the hours of two people on one line are of each, or of both together."""
    names = [name for name in _SEVERAL.split(person) if name]
    if len(names) < 2 or not any(c.isalpha() for c in person):
        return
    text = (
        f"'{person}' are {len(names)} people on one line: {hours:g} hours each, or together? "
        "Counted as together; a line for each person would settle it"
    )
    key = ("several", person.casefold(), table.grid.sheet)
    setting.notes.once(key, "asked", at(table, row, "person"), text, person)


def _of_crew(table: Table, row: Row, whole: HoursEntry, setting: Setting) -> list[HoursEntry]:
    """The hours of each person of a crew of which no one is named.

    Hours beside a crew size are hours of the crew, as days beside one are, unless the heading says
    that they are of all together.
    """
    crew = row.number("crew")
    if crew is None or crew == 1 or whole.person:
        return [whole]
    column = table.column("hours")
    words = set(fold(column.heading).split()) if column else set()
    place = at(table, row, "hours")
    if words & _OF_ALL:
        share = whole.hours / crew
    else:
        share = whole.hours
        text = "hours beside a crew size are taken for hours of each of the crew"
        kind = "understood" if words & _OF_EACH else "proposed"
        setting.notes.once(("crew hours", table.grid.sheet), kind, place, text)
    people = [min(1.0, crew - n) for n in range(int(-(-crew // 1)))]
    return [
        replace(whole, person=f"{n} of crew {crew:g}", hours=share * part)
        for n, part in enumerate(people, start=1)
    ]

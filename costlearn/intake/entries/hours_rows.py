"""Rows of an hours log to entries: a line a person and day, or hours spread over columns."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from costlearn.intake.entries.callbacks import Placed, place_work
from costlearn.intake.entries.hours_columns import AT, BY, FOR, ON, SPREAD
from costlearn.intake.entries.hours_crew import Crews, settle_people
from costlearn.intake.entries.hours_named import NAMED, read_named
from costlearn.intake.entries.hours_times import LONGEST_DAY, LONGEST_WEEK, WEEKDAYS
from costlearn.intake.entries.hours_worked import RowWaits, Worked
from costlearn.intake.entries.line_rows import at, no_job
from costlearn.intake.entries.people import spelled
from costlearn.intake.entries.waits import stood_still
from costlearn.intake.entries.weeks import ends_week, in_week, titled_week
from costlearn.intake.names import WAITING, says_waiting
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row
from costlearn.intake.rows import row_text, set_aside
from costlearn.intake.tables import Column, Table, cell_text
from costlearn.records import Entry, HoursEntry
from costlearn.units import say_count
from costlearn.vocabulary import fold


@dataclass(frozen=True, slots=True)
class _Week:
    """The week of the weekday columns where the rows do not say it: its date, and which end."""

    day: date
    ends: bool


@dataclass(frozen=True, slots=True)
class _Log:
    """What holds for all rows of an hours log."""

    table: Table
    setting: Setting
    worked: Worked
    crews: Crews
    columns: tuple[Column, ...]
    """The columns that stand for a weekday, date, person or phase."""
    held: frozenset[str]
    """The fields of columns that wait for a person to say whose they are: so do their rows."""
    week: _Week | None
    longest: float
    copies: dict[int, str]
    """Grid rows that repeat one above, and why they do not count."""


def hours_entries(table: Table, rows: list[Row], setting: Setting) -> list[Entry]:
    """One entry a person and day; rows without a job or hours, or not proven, are set aside."""
    log = _log(table, rows, setting)
    entries: list[HoursEntry] = []
    for row in rows:
        try:
            made = _of_row(log, row)
        except RowWaits as held:
            if held.why:
                place = at(table, row, held.field) if held.field else row.place
                setting.notes.add("set aside", place, held.why, row_text(table, row.index))
            else:
                set_aside(table, row, "it waits for the answer to a question", setting)
            continue
        entries.extend(made)
    return list(_within_a_day(entries, setting)) if log.longest == LONGEST_DAY else list(entries)


def _copies(table: Table, rows: Sequence[Row], setting: Setting) -> dict[int, str]:
    """Why rows that are copies of one above do not count: one person's hours stand there twice.

    Nobody is at two places at once, so with times of day a copy is none; else a person is asked.
    """
    seen: set[tuple[str, ...]] = set()
    again: list[Row] = []
    # Copies name the same person and day: few rows are worth a look at all their cells.
    told = [(row.text("person"), row.day("day")) for row in rows]
    times = Counter(told)
    for row, (person, day) in zip(rows, told, strict=True):
        if not person or not day or times[person, day] == 1:
            continue
        cells = tuple(cell_text(raw) for raw in table.grid.rows[row.index])
        if cells in seen and not row.bad:
            again.append(row)
        seen.add(cells)
    sure = "a row above says the same: it counts once"
    open_ones = [row for row in again if not row.text("start")]
    if not open_ones:
        return {row.index: sure for row in again}
    first, about = open_ones[0], (table.grid.file, table.grid.sheet)
    said = setting.answers.get("copies", *about)
    if said == "all count":
        return {row.index: sure for row in again if row.text("start")}
    if said is None:
        text = row_text(table, first.index)
        held = say_count(len(open_ones), "row")
        setting.ask(
            "copies",
            about,
            first.place,
            f"{held} of this log stand there twice, such as '{text}': one record, or do all count? "
            "Each counts once so far.",
            ("one record", "all count"),
            found=text,
            waiting=len(open_ones),
            holds=held,
            samples=(text,),
        )
    wait = "a row above says the same: it waits for whether both count" if said is None else sure
    return {row.index: sure if row.text("start") else wait for row in again}


def _log(table: Table, rows: Sequence[Row], setting: Setting) -> _Log:
    worked = Worked.of(table, rows, setting)
    crews = Crews.of(table, rows, worked, setting)
    gone, waits = settle_people(table, rows, crews, setting)
    columns = tuple(c for c in table.columns if c.field.startswith(SPREAD))
    undated = [c for c in columns if c.field.startswith(AT) and _date(c.field[3:]) is None]
    if undated:
        text = f"nothing says the year of days such as '{undated[0].heading}'; kept without dates"
        setting.notes.add("asked", table.place(table.header), text)
    if table.column("phase") is None:
        _phases_in_notes(rows, setting)
    used = tuple(c for c in columns if c.field not in gone)
    longest = LONGEST_DAY if columns else _span(table)
    week = _week(table, columns, setting)
    _date_weekdays(rows, week)
    return _Log(
        table,
        setting,
        worked,
        crews,
        used,
        gone if waits else frozenset(),
        week,
        longest,
        _copies(table, rows, setting),
    )


def _phases_in_notes(rows: Sequence[Row], setting: Setting) -> None:
    """Where no column names phases, a remark that is a phase's name and nothing else does."""
    for row in rows:
        if fold(row.text("notes")) in setting.vocabulary.phase_words:
            row.values["phase"] = row.text("notes")


def _date_weekdays(rows: Sequence[Row], week: _Week | None) -> None:
    """Date the rows of a column of weekdays by the week a title names."""
    for row in rows:
        day = WEEKDAYS.get(fold(row.text("weekday")))
        if week and day is not None and row.day("day") is None:
            row.values["day"] = in_week(week.day, day, ends=week.ends)


def _within_a_day(entries: Sequence[HoursEntry], setting: Setting) -> list[HoursEntry]:
    """The entries without those of a person whose rows of one day make more than a day."""
    sums: dict[tuple[str, date], float] = {}
    for entry in entries:
        if entry.person and entry.day:
            key = fold(entry.person), entry.day
            sums[key] = sums.get(key, 0.0) + entry.hours
    kept: list[HoursEntry] = []
    for entry in entries:
        whole = sums.get((fold(entry.person), entry.day), 0.0) if entry.day else 0.0
        if whole <= LONGEST_DAY:
            kept.append(entry)
            continue
        text = (
            f"the rows of {entry.person} on {entry.day} make {whole:g} hours, more than a day has; "
            "they wait until one is corrected"
        )
        setting.notes.add("set aside", entry.place, text, f"{entry.hours:g}")
    return kept


def _span(table: Table) -> float:
    """The most hours a person has in a line: those of a day or, by its heading, of a week."""
    column = table.column("day")
    words = set(fold(column.heading).split()) if column else set()
    return LONGEST_WEEK if words & {"week", "semaine", "period"} else LONGEST_DAY


def _waits(table: Table, row: Row, word: str, setting: Setting) -> bool:
    """Whether a word says that nobody worked; one of several words is told."""
    if not says_waiting(word):
        return False
    if fold(word) not in WAITING:
        text = f"'{word}' is taken for hours in which nobody could work"
        place = at(table, row, "phase")
        setting.notes.once(("waits", table.grid.sheet, fold(word)), "understood", place, text, word)
    return True


def _of_row(log: _Log, row: Row) -> list[HoursEntry]:
    """The entries of one row.

    Raises:
        RowWaits: it gives none, or what it says is not proven.
    """
    table, setting = log.table, log.setting
    why = log.copies.get(row.index) or no_job(row.text("job"), setting)
    if why:
        raise RowWaits(why)
    if row.bad and not log.worked.by_clock:
        if wait := _wait_day(log, row):
            return wait
        raise RowWaits(row.bad, "hours")
    if log.held and any(row.number(c.key) for c in table.columns if c.field in log.held):
        raise RowWaits
    if log.columns or log.held:
        made = _of_columns(log, row)
        _check_total(table, row, made, setting)
    elif column := table.column(NAMED):
        made = _of_names(log, row, column)
    elif hours := log.worked.hours(row):
        made = log.crews.entries(row, _entry(log, row, hours))
        if log.worked.clocked(row) and not row.number("hours"):
            # What the clock tells is no cell's: the row says where it comes from.
            made = [replace(entry, place=row.place) for entry in made]
    else:
        made = []
    if not made:
        if wait := _wait_day(log, row):
            return wait
        raise RowWaits("it gives 0 hours" if row.number("hours") == 0 else "it gives no hours")
    for entry in made:
        _check_length(log, row, entry)
    return made


def _entry(log: _Log, row: Row, hours: float) -> HoursEntry:
    """What all people of a row share, under the name of the only one it names."""
    table, setting = log.table, log.setting
    names = log.crews.names(row)
    waits = _waits(table, row, row.text("phase"), setting)
    placed = Placed(None) if waits else place_work(table, row, setting)
    return HoursEntry(
        row.text("job"),
        names[0] if len(names) == 1 else "",
        row.day("day"),
        hours,
        row.place,
        placed.phase,
        bool(row.flag("waiting")) or waits,
        row.text("notes"),
        placed.callback_of,
    )


def _check_length(log: _Log, row: Row, entry: HoursEntry) -> None:
    """Nobody works over 24 hours a day: hours of people nobody names are of one person.

    Raises:
        RowWaits: the entry has more.
    """
    day = log.table.column("day")
    # A day that waits for the order of its date is a day all the same.
    told = entry.day or (day and cell_text(log.table.grid.rows[row.index][day.indexes[0]]))
    if entry.hours <= log.longest or not told:
        return
    column = log.table.column("hours")
    of_all = column and set(fold(column.heading).split()) & {"man", "person", "labour", "labor"}
    if of_all and not entry.person:
        return
    span = "week" if log.longest == LONGEST_WEEK else "day"
    where = entry.place.column or "hours"
    raise RowWaits(f"{entry.hours:g} hours are more than one person can work in a {span}", where)


def _wait_day(log: _Log, row: Row) -> list[HoursEntry]:
    """A day on which a job waited and nobody worked: no hours, and the reason in words."""
    table, day = log.table, row.day("day")
    cells = [row.text(name) for name in ("phase", "notes", NAMED)]
    cells.append(cell_text(log.worked.raw(row, "hours")))
    reason = next((t for text in cells if (t := text) and stood_still(text)), "")
    if day is None or not (reason or row.flag("waiting")):
        return []
    text = "a day without hours and with a reason is a day the job waited"
    place = at(table, row, "hours")
    log.setting.notes.once(("wait day", table.grid.sheet), "understood", place, text, reason)
    names = log.crews.names(row)
    return [HoursEntry(row.text("job"), " + ".join(names), day, 0.0, row.place, None, True, reason)]


def _of_names(log: _Log, row: Row, column: Column) -> list[HoursEntry]:
    """An entry a person of a cell that gives each one's hours; its total proves them."""
    named = read_named(row.text(NAMED))
    text = f"each name in column '{column.heading}' is a person, the figure behind it their hours"
    place = at(log.table, row, NAMED)
    log.setting.notes.once(("named", column.heading), "understood", place, text, row.text(NAMED))
    stated = row.number("total")
    made = sum(hours for _, hours in named)
    if named and stated is not None and abs(stated - made) > 1e-6:
        raise RowWaits(f"its people have {made:g} hours, the total says {stated:g}", "total")
    whole = _entry(log, row, 0.0) if named else None
    legend = log.crews.legend
    entries = [
        replace(whole, person=spelled(person, legend), hours=hours, place=place)
        for person, hours in named
        if whole and hours
    ]
    return _usable(entries, log.setting)


def _of_columns(log: _Log, row: Row) -> list[HoursEntry]:
    """An entry for each column that holds hours in a row, or why nobody worked on its day."""
    table = log.table
    made: list[HoursEntry] = []
    whole: HoursEntry | None = None
    for column in log.columns:
        hours = row.number(column.key)
        cell = cell_text(table.grid.rows[row.index][column.indexes[0]])
        waits = not hours and column.field.startswith((ON, AT)) and stood_still(cell)
        if not hours and not waits:
            continue
        if whole is None:
            whole = _entry(log, row, 0.0)
            whole = whole if whole.person else replace(whole, person=row.text("person"))
        place = replace(row.place, column=column.heading)
        entry = replace(whole, hours=hours or 0.0, place=place)
        if waits:
            entry = replace(entry, waiting=True, phase=None, notes=cell)
        start, said = column.field[:3], column.field[3:]
        if start == FOR[:3]:
            entry = replace(entry, phase=column.field.removeprefix(FOR))
        elif start == BY:
            entry = replace(entry, person=spelled(said, log.crews.legend))
        elif start == AT:
            entry = replace(entry, day=_date(said))
        elif start == ON:
            stated = entry.day or (log.week.day if log.week else None)
            ends = _ends(table) if entry.day else bool(log.week and log.week.ends)
            on = in_week(stated, int(said), ends=ends) if stated else None
            entry = replace(entry, day=on)
        if hours or entry.day:
            made.append(entry)
    return _usable(made, log.setting)


def _usable(made: Sequence[HoursEntry], setting: Setting) -> list[HoursEntry]:
    """The hours of a row's columns without those no day has."""
    kept: list[HoursEntry] = []
    for entry in made:
        if entry.hours <= LONGEST_DAY:
            kept.append(entry)
            continue
        text = f"{entry.hours:g} hours are more than one person can work in a day"
        setting.notes.add("set aside", entry.place, text, f"{entry.hours:g}")
    return kept


def _date(said: str) -> date | None:
    """The date of a column; None for one whose year nobody says."""
    try:
        return date.fromisoformat(said)
    except ValueError:
        return None


def _ends(table: Table) -> bool:
    column = table.column("day")
    return bool(column) and ends_week(column.heading if column else "")


def _week(table: Table, columns: Sequence[Column], setting: Setting) -> _Week | None:
    """The week of weekday columns without a column of dates; asked if nothing says it."""
    spread = any(c.field.startswith(ON) for c in columns)
    if not (spread or table.column("weekday")) or table.column("day"):
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


def _check_total(table: Table, row: Row, made: Sequence[HoursEntry], setting: Setting) -> None:
    """Compare a row's total with its columns."""
    stated = row.number("total")
    worked = sum(entry.hours for entry in made)
    if stated is None or abs(stated - worked) < 1e-6:
        return
    text = f"the row's total says {say_count(stated, 'hour')}, its columns make {worked:g}"
    setting.notes.add("checked", at(table, row, "total"), text, f"{stated:g}", agrees=False)

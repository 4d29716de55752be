"""Rows of a phase table, long or wide, to phase entries."""

from __future__ import annotations

from dataclasses import replace

from costlearn.errors import Place
from costlearn.intake.amounts import amounts, dates, put_elapsed
from costlearn.intake.answers import LEAVE_OUT, NONE, phase_choices
from costlearn.intake.entries.progress_columns import OF, ON
from costlearn.intake.names import phase_of
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row, key_of
from costlearn.intake.rows import set_aside
from costlearn.intake.tables import Column, Table, cell_text
from costlearn.intake.values.cells import is_missing
from costlearn.intake.values.progress import read_progress
from costlearn.records import Entry, PhaseEntry
from costlearn.vocabulary import UNASSIGNED, fold

_ABOUT_TIME = ("started", "finished", "plan.finished")


def phase_entries(table: Table, rows: list[Row], setting: Setting) -> list[Entry]:
    """One entry a row, or one a phase and row where the phases stand in columns."""
    entries: list[Entry] = []
    prefixes = wide_prefixes(table)
    long = table.column("phase") is not None or "phase" in setting.chart.constants
    below = False
    for row in rows:
        # What stands below the total and is no phase reckons with it: "our time", "COST".
        below = (below or row.after_total) and not setting.vocabulary.knows_phase(row.text("phase"))
        why = row.bad or ("" if key_of(row.text("job")) else "it names no job")
        why = why or _no_phase(row.text("phase"), below, setting)
        if why:
            set_aside(table, row, why, setting)
            continue
        made: list[Entry] = list(wide_entries(table, row, prefixes, setting))
        made.extend(_progress_across(table, row))
        if long:
            made.extend(_long(table, row, setting))
        if not made:
            set_aside(table, row, "it holds no figure that can be used", setting)
        entries.extend(made)
    return entries


def _no_phase(word: str, below: bool, setting: Setting) -> str:
    """Why a row of a table of phases is none of work; empty if it may be one."""
    if fold(word) in setting.vocabulary.reserve:
        return f"'{word}' is money put by, and the work of no phase"
    return "it stands below the total and names no phase" if word and below else ""


def wide_prefixes(table: Table) -> dict[str, str]:
    """Prefix of the columns of each phase ("phase.tile.") to the heading of the first of them."""
    prefixes: dict[str, str] = {}
    for column in table.columns:
        if column.field.startswith("phase."):
            prefix = f"phase.{column.key.split('.')[1]}."
            prefixes.setdefault(prefix, column.heading)
    return prefixes


def wide_entries(
    table: Table, row: Row, prefixes: dict[str, str], setting: Setting
) -> list[PhaseEntry]:
    """An entry for each phase whose columns say anything in a row."""
    entries: list[PhaseEntry] = []
    for prefix, heading in prefixes.items():
        phase = prefix.split(".")[1].partition("@")[0]
        plan = amounts(table, row, "plan", setting, prefix=prefix, keep_credit=False)
        actual = amounts(table, row, "actual", setting, prefix=prefix, keep_credit=True)
        if not (plan.empty and actual.empty):
            place = replace(row.place, column=heading)
            entries.append(PhaseEntry(row.text("job"), phase, place, plan, actual))
    return entries


def _long(table: Table, row: Row, setting: Setting) -> list[PhaseEntry]:
    word = row.text("phase")
    column = table.column("phase")
    place = replace(row.place, column=column.heading if column else "phase")
    dates(table, row, setting)
    put_elapsed(table, row, setting)
    plan = amounts(table, row, "plan", setting, keep_credit=False)
    actual = amounts(table, row, "actual", setting, keep_credit=True)
    share = _progress(table, row, setting)
    about_time = share is not None or any(f in row.values for f in _ABOUT_TIME)
    if plan.empty and actual.empty and not about_time:
        return []
    phase = phase_of(word, place, setting) if word else _told_phase(table, row, place, setting)
    found = row.stated(PhaseEntry) | {"phase": phase, "percent_complete": share}
    return [PhaseEntry(**found, place=row.place, plan=plan, actual=actual)]


def _progress(table: Table, row: Row, setting: Setting) -> float | None:
    """How far a phase is by the last day that says it; a cell in doubt is asked about."""
    columns = [c for c in table.columns if c.field == "percent_complete"]
    columns += [c for c in table.columns if c.field.startswith(ON)]
    columns.sort(key=lambda c: (c.field == "percent_complete", c.field))
    for column in reversed(columns):
        raw = table.grid.rows[row.index][column.indexes[0]]
        share = row.number(column.key)
        if share is None and not is_missing(raw):
            share = _told_progress(table, row, column, cell_text(raw), setting)
            if share is None:
                return None
        if share is not None:
            return share
    return None


def _told_progress(
    table: Table, row: Row, column: Column, text: str, setting: Setting
) -> float | None:
    """What a person said of a cell that may say how far a phase is ("70?"); asked if nobody did."""
    place = replace(row.place, column=column.heading)
    about = (table.grid.file, table.grid.sheet, f"row {row.place.row}", column.heading)
    said = setting.answers.get("how far", *about)
    if said == LEAVE_OUT:
        return None
    if said is not None:
        setting.notes.add("understood", place, f"it is {float(said):.0%}, as you answered", text)
        return float(said)
    likely = read_progress(text.rstrip("? ")).value
    choices = (*([] if likely is None else [f"{100 * likely:g}%"]), LEAVE_OUT)
    phase = row.text("phase")
    question = f"How far was '{phase}' of '{row.text('job')}'? The cell says '{text}'."
    setting.ask("how far", about, place, question, choices, found=text, samples=(text,))
    return None


def _progress_across(table: Table, row: Row) -> list[PhaseEntry]:
    """How far each phase is, where the phases stand across the top."""
    found = []
    for column in table.columns:
        share = row.number(column.key) if column.field.startswith(OF) else None
        if share is not None:
            place = replace(row.place, column=column.heading)
            phase = column.field.removeprefix(OF)
            found.append(PhaseEntry(row.text("job"), phase, place, percent_complete=share))
    return found


def _told_phase(table: Table, row: Row, place: Place, setting: Setting) -> str:
    """The phase a person gave for a job's rows that name none; asked if nobody did."""
    job = row.text("job")
    about = (f"rows without a phase in {table.grid.file}", table.grid.sheet, job)
    said = setting.answers.get("phase", *about)
    if said is not None:
        name = setting.vocabulary.phase_name(said)
        text = f"its phase is {'none' if said == NONE else name}, as you answered"
        setting.notes.add("understood", place, text, job)
        return UNASSIGNED if said == NONE else said
    text = "it names no phase; kept in the job's total without a phase"
    setting.notes.add("asked", place, text, job)
    question = f"Which phase are the rows of '{job}' that name none?"
    choices = phase_choices((), setting.vocabulary)
    setting.ask("phase", about, place, question, choices, found=job)
    return UNASSIGNED

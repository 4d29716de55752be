"""Rows of a phase table, long or wide, to phase entries."""

from __future__ import annotations

from dataclasses import replace

from costlearn.errors import Place
from costlearn.intake.amounts import amounts, dates, put_elapsed
from costlearn.intake.answers import NONE, phase_choices
from costlearn.intake.names import phase_of
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row, key_of
from costlearn.intake.rows import set_aside
from costlearn.intake.tables import Table
from costlearn.records import Entry, PhaseEntry
from costlearn.vocabulary import UNASSIGNED

_ABOUT_TIME = ("started", "finished", "plan.finished", "percent_complete")


def phase_entries(table: Table, rows: list[Row], setting: Setting) -> list[Entry]:
    """One entry a row, or one a phase and row where the phases stand in columns."""
    entries: list[Entry] = []
    prefixes = wide_prefixes(table)
    long = table.column("phase") is not None or "phase" in setting.chart.constants
    for row in rows:
        why = row.bad or ("" if key_of(row.text("job")) else "it names no job")
        if why:
            set_aside(table, row, why, setting)
            continue
        made: list[Entry] = list(wide_entries(table, row, prefixes, setting))
        if long:
            made.extend(_long(table, row, setting))
        if not made:
            set_aside(table, row, "it holds no figure that can be used", setting)
        entries.extend(made)
    return entries


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
    started, finished = dates(table, row, setting)
    put_elapsed(table, row, setting)
    plan = amounts(table, row, "plan", setting, keep_credit=False)
    actual = amounts(table, row, "actual", setting, keep_credit=True)
    share = row.number("percent_complete")
    if plan.empty and actual.empty and not any(f in row.values for f in _ABOUT_TIME):
        return []
    phase = phase_of(word, place, setting) if word else _told_phase(table, row, place, setting)
    return [
        PhaseEntry(
            job=row.text("job"),
            phase=phase,
            place=row.place,
            plan=plan,
            actual=actual,
            started=started,
            finished=finished,
            percent_complete=share,
            books_closed=row.flag("books_closed"),
            notes=row.text("notes"),
        )
    ]


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

"""A table to entries: which rows belong to which job, then the builder of the table's kind."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from costlearn.intake.answers import LEAVE_OUT, OWN
from costlearn.intake.entries.hours_rows import hours_entries
from costlearn.intake.entries.job_rows import job_entries
from costlearn.intake.entries.line_rows import change_entries
from costlearn.intake.entries.phase_rows import phase_entries
from costlearn.intake.entries.receipt_rows import receipt_entries
from costlearn.intake.entries.scope_rows import scope_entries
from costlearn.intake.entries.statement_rows import statement_entries
from costlearn.intake.headers import LEFT_ALONE
from costlearn.intake.on_top import names_room
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row, key_of
from costlearn.intake.rows import read_rows, row_text, set_aside
from costlearn.intake.tables import Table, cell_text
from costlearn.intake.titles import job_of, labelled_job, other_name_of_file
from costlearn.records import Entry
from costlearn.units import say_count

_BUILDERS: Mapping[str, Callable[[Table, list[Row], Setting], list[Entry]]] = {
    "jobs": job_entries,
    "phases": phase_entries,
    "hours": hours_entries,
    "receipts": receipt_entries,
    "changes": change_entries,
    "statement": statement_entries,
    "scope": scope_entries,
}
_UNDER_A_JOB = {"phases", "hours", "changes", "scope"}


def entries_of(table: Table, setting: Setting) -> list[Entry]:
    """The entries of a table, in the order of its rows.

    Raises:
        InputProblem: a date column contradicts itself.
    """
    rows = read_rows(table, setting)
    if table.kind in _UNDER_A_JOB:
        rows = _with_job(table, rows, setting)
    elif table.column("job") is None and table.kind != "jobs":
        _put_labelled(table, rows, setting)
    entries = _BUILDERS[table.kind](table, rows, setting)
    read = f"{say_count(len(rows), 'row')} read as {table.kind}"
    text = f"{read}, giving {say_count(len(entries), 'entry', 'entries')}"
    setting.notes.add("understood", table.place(table.header), text)
    return entries


def _with_job(table: Table, rows: list[Row], setting: Setting) -> list[Row]:
    """Rows with a job each: filled down from the row above, or named by the sheet or file."""
    if "job" in setting.chart.constants:
        return rows
    if table.column("job") is None:
        named = job_of(table)
        waits = table.kind == "hours" and not names_room(named.name)
        waits = not named.sure and (waits or _may_name_jobs(table))
        if waits:
            return _of_told_job(table, rows, named.name, setting)
        if named.sure:
            text = f"no column names the job; the sheet says '{named.name}'"
            if called := other_name_of_file(table, named.name):
                text += f", though its file is called '{called}'"
        else:
            text = (
                f"no column names the job; all rows are taken for job '{named.name}' "
                '(a column map with [constants] job = "..." says otherwise)'
            )
        kind = "understood" if named.sure else "proposed"
        setting.notes.add(kind, table.place(table.header), text, named.name)
        for row in rows:
            row.values["job"] = named.name
        return rows
    return _fill_down(table, rows, setting)


def _may_name_jobs(table: Table) -> bool:
    """Whether a column that is not used speaks of rooms, as jobs' names do."""
    heads = {heading for heading, match in table.unused if match != LEFT_ALONE}
    cells = zip(*table.grid.rows[table.body - 1 :], strict=False)
    return any(
        cell_text(column[0]) in heads and any(names_room(cell_text(raw)) for raw in column[1:])
        for column in cells
    )


def _of_told_job(table: Table, rows: list[Row], name: str, setting: Setting) -> list[Row]:
    """Rows of a sheet that names no job, under the one a person says; until then they wait."""
    about, place = (table.grid.file, table.grid.sheet), table.place(table.header)
    what = "hours" if table.kind == "hours" else "rows"
    said = setting.answers.get("job of a sheet", *about)
    if said and said != LEAVE_OUT:
        job = name if said == OWN else said
        setting.notes.add("understood", place, f"the {what} are of job '{job}', as you answered")
        for row in rows:
            row.values["job"] = job
        return rows
    why = "no column or title names its job"
    if said is None:
        setting.ask(
            "job of a sheet",
            about,
            place,
            f"Which job are the {what} on this sheet of? Nothing on it says so, and its rows wait.",
            (f"{OWN} (a job called '{name}')", f"{OWN}: NAME (another job)", LEAVE_OUT),
            found=name,
            waiting=len(rows),
            holds=f"{what} in {say_count(len(rows), 'row')}",
            samples=tuple(row_text(table, row.index) for row in rows[:3]),
        )
        why += "; it waits for the answer to a question"
    for row in rows:
        set_aside(table, row, why, setting)
    return []


def _put_labelled(table: Table, rows: list[Row], setting: Setting) -> None:
    """Give cost lines without a column for it the job that a line above the table names."""
    name = labelled_job(table)
    if not name:
        return
    text = f"no column names the job; the sheet says '{name}'"
    setting.notes.add("understood", table.place(table.header), text, name)
    for row in rows:
        row.values.setdefault("job", name)


def _fill_down(table: Table, rows: list[Row], setting: Setting) -> list[Row]:
    """Give rows with a blank job the one named above; a line with a name alone heads a block."""
    kept: list[Row] = []
    current = ""
    alone: Row | None = None
    for row in rows:
        if row.after_total:
            current = ""
        name = row.text("job")
        if key_of(name):
            if alone is not None:
                set_aside(table, alone, "it has a name and no figures", setting)
            alone = row if _says_only_one_thing(table, row) else None
            current = name
            if alone is None:
                kept.append(row)
            continue
        if current and not row.job_unknown and _names_work(row):
            row.values["job"] = current
            if alone is not None:
                text = f"'{current}' names the job of the rows below it"
                setting.notes.add("understood", alone.place, text, current)
                alone = None
            text = "rows with a blank job are taken to belong to the job named above them"
            key = ("fill", table.grid.sheet)
            setting.notes.once(key, "understood", row.place, text, current)
        kept.append(row)
    if alone is not None:
        set_aside(table, alone, "it has a name and no figures", setting)
    return kept


def _says_only_one_thing(table: Table, row: Row) -> bool:
    cells = table.grid.rows[row.index]
    return sum(1 for raw in cells if raw is not None and str(raw).strip()) == 1


def _names_work(row: Row) -> bool:
    """Whether a row without a job names a phase, day, person or change: figures alone do not."""
    named = ("phase", "day", "person", "label", "started", "item")
    return any(key in row.values for key in named) or any(
        key.startswith("phase.") for key in row.values
    )

"""Rows of a job list to job entries: scope, kind, state, dates, plan and outcome."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from costlearn.intake.amounts import amounts, dates, put_elapsed
from costlearn.intake.entries.job_groups import one_row_a_job
from costlearn.intake.entries.phase_rows import wide_entries, wide_prefixes
from costlearn.intake.entries.scope_rows import ScopeWords, joined
from costlearn.intake.kinds import kind_in_name, kind_in_scope, read_kind
from costlearn.intake.names import job_kind, word_of
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row, key_of
from costlearn.intake.rows import row_text, set_aside
from costlearn.intake.tables import Column, Table
from costlearn.intake.targets import headings, reads_as
from costlearn.records import Entry, JobEntry
from costlearn.units import say_count
from costlearn.vocabulary import fold

_MANY = re.compile(r"\b\d+ (?:of them|jobs|visits|calls|small ones)\b", re.IGNORECASE)
"""Behind a name: how many jobs a row stands for."""
_AMOUNT = re.compile(r"\d+[.,]\d\d|0+")


def job_entries(table: Table, rows: list[Row], setting: Setting) -> list[Entry]:
    """One entry a job of the list, and phase entries where phases stand in columns.

    How several rows of one job go together is proven by their cells, else asked.
    """
    entries: list[Entry] = []
    scope = [c for c in table.columns if c.field.startswith("scope.")]
    blanks_mean_no = _blanks_that_mean_no(table, scope, rows, setting)
    prefixes, words = wide_prefixes(table), ScopeWords(table, setting)
    for row in one_row_a_job(table, rows, setting):
        name = row.text("job")
        why = row.bad or ("" if key_of(name) else "it names no job") or _nothing_else(table, row)
        why = why or _no_job(table, row, setting)
        if why:
            set_aside(table, row, why, setting)
            continue
        entries.append(_job(table, row, blanks_mean_no, words, setting))
        entries.extend(wide_entries(table, row, prefixes, setting))
    words.ask()
    return _with_states(table, entries, setting)


def _with_states(table: Table, entries: list[Entry], setting: Setting) -> list[Entry]:
    """Jobs of which only days worked are told: whether they are finished is asked, once for all."""
    open_jobs = [
        entry
        for entry in entries
        if isinstance(entry, JobEntry)
        and entry.state is None
        and (entry.actual.site_days or entry.actual.person_days)
    ]
    if not open_jobs:
        return entries
    sheet = (table.grid.file, table.grid.sheet)
    told = setting.answers.get("jobs of a list", *sheet)
    if told is None:
        many = say_count(len(open_jobs), "job")
        text = f"{many} of this list have days worked and no cost or finish. Are they finished?"
        if len(open_jobs) == 1:
            text = f"'{open_jobs[0].job}' has days worked and no cost or finish. Is it finished?"
        names = tuple(entry.job for entry in open_jobs[:3])
        first = open_jobs[0].place
        choices = ("finished", "running", "quoted (not begun)")
        setting.ask(
            "jobs of a list", sheet, first, text, choices,
            waiting=len(open_jobs), holds=many, samples=names,
        )  # fmt: skip
        setting.notes.add("asked", first, "nothing says whether it is finished", names[0])
        return entries
    text = f"jobs whose list says no state are {told}, as you answered"
    setting.notes.add("understood", open_jobs[0].place, text)
    waiting = {id(entry) for entry in open_jobs}
    return [
        replace(e, state=told) if isinstance(e, JobEntry) and id(e) in waiting else e
        for e in entries
    ]


def _nothing_else(table: Table, row: Row) -> str:
    cells = table.grid.rows[row.index]
    said = sum(1 for raw in cells if raw is not None and str(raw).strip())
    return "" if said > 1 else "it names a job and says nothing about it"


def _no_job(table: Table, row: Row, setting: Setting) -> str:
    """Why a row with a name is no job: it sums up many small ones, or was called off."""
    name = row.text("job")
    if fold(name).startswith(setting.vocabulary.several_jobs) or _MANY.search(name):
        return "it is many small jobs and none of its own"
    if _AMOUNT.fullmatch(name):
        return f"'{name}' stands in the place of the job, and is an amount"
    if any(reads_as(table.kind, c.field) == "money" and c.key in row.values for c in table.columns):
        return ""
    off = setting.vocabulary.called_off
    cells = (fold(raw) for raw in table.grid.rows[row.index] if isinstance(raw, str))
    return "it was called off" if any(cell in off for cell in cells) else ""


def _blanks_that_mean_no(
    table: Table, scope: list[Column], rows: list[Row], setting: Setting
) -> dict[str, bool]:
    """Scope fields, and whether a blank there means "not in the job": so if no cell says no."""
    meaning: dict[str, bool] = {}
    for column in scope:
        answers = [row.number(column.key) for row in rows]
        meaning[column.field] = not any(a == 0 for a in answers)
    named = ", ".join(f"'{c.heading}'" for c in scope if meaning[c.field])
    if named:
        text = f"no cell of these columns says no, so a blank means not in the job: {named}"
        setting.notes.add("understood", table.place(table.header), text)
    return meaning


def _job(
    table: Table, row: Row, blanks: dict[str, bool], words: ScopeWords, setting: Setting
) -> JobEntry:
    scope, left = _scope(table, row, blanks, words)
    _, finished = dates(table, row, setting)
    put_elapsed(table, row, setting)
    plan = amounts(table, row, "plan", setting, keep_credit=False)
    actual = amounts(table, row, "actual", setting, keep_credit=False)
    state = _state(table, row, setting)
    if state is None and (finished or actual.total is not None):
        state = "finished"
    found = row.stated(JobEntry) | {
        "kind": _kind(table, row, scope, setting),
        "state": state,
        "area_sqft": _positive(table, row, "area", setting),
        "price": _price(table, row, "price", setting),
        "paid": _price(table, row, "paid", setting),
        "notes": joined(row.text("notes"), left),
    }
    return JobEntry(
        **found, place=row.place, plan=plan, actual=actual, scope=scope, rough=row.spans()
    )


def _positive(table: Table, row: Row, field: str, setting: Setting) -> float | None:
    value = row.number(field)
    if value is None or value > 0:
        return value
    column = table.column(field)
    place = replace(row.place, column=column.heading if column else field)
    setting.notes.add("set aside", place, f"an {field} of {value:g} is taken as not known", "0")
    return None


def _price(table: Table, row: Row, field: str, setting: Setting) -> int | None:
    cents = row.cents(field)
    if cents is None or cents > 0:
        return cents
    column = table.column(field)
    place = replace(row.place, column=column.heading if column else field)
    text = f"a price of {cents / 100:,.2f} is taken as not known"
    setting.notes.add("set aside", place, text, row_text(table, row.index))
    return None


def _kind(
    table: Table, row: Row, scope: Mapping[str, float | None], setting: Setting
) -> str | None:
    """The kind of job from its own column, else from the job's name, else from its scope."""
    word = row.text("kind")
    named = kind_in_name(row.text("job"), setting.vocabulary)
    found = named or kind_in_scope(scope)
    if word and not (found and read_kind(word, setting.vocabulary).nothing):
        column = table.column("kind")
        place = replace(row.place, column=column.heading if column else "kind")
        return job_kind(word, place, setting)
    if found:
        source = "words in its name" if named else "items of its scope"
        text = f"the kind of job is taken from the {source} where no column says it"
        key = ("kind", table.grid.sheet, source)
        setting.notes.once(key, "understood", row.place, text, found)
    return found


def _state(table: Table, row: Row, setting: Setting) -> str | None:
    word = row.text("state")
    if not word:
        return "running" if _says_running(table, row) else None
    column = table.column("state")
    place = replace(row.place, column=column.heading if column else "state")
    until = " Its jobs count as running until you say."
    known = word_of(word, headings().states, "state", place, setting, until)
    named = any(letter.isalpha() for letter in word)
    waits = named and known is None and setting.answers.get("state", word) is None
    return "running" if waits else known


def _says_running(table: Table, row: Row) -> bool:
    """Whether a cell in the place of a figure says that a job is being built: "running"."""
    cells = table.grid.rows[row.index]
    others = (cells[c.indexes[0]] for c in table.columns if c.key not in row.values)
    said = (fold(raw) for raw in others if isinstance(raw, str))
    return any(headings().states.get(word) == "running" for word in said)


def _scope(
    table: Table, row: Row, blanks: dict[str, bool], words: ScopeWords
) -> tuple[dict[str, float | None], str]:
    """Items from the list of words, then from their own columns, which come first; and remarks."""
    scope: dict[str, float | None] = {}
    text, left = row.text("scope"), ""
    if text:
        column = table.column("scope")
        place = replace(row.place, column=column.heading if column else "scope")
        items, left = words.read(text, place, key_of(row.text("job")))
        scope.update(items)
    for field, means_no in blanks.items():
        item = field.removeprefix("scope.")
        column = table.column(field)
        size = row.number(field)
        if size is None and means_no and column:
            raw = table.grid.rows[row.index][column.indexes[0]]
            size = 0.0 if raw is None or not str(raw).strip() else None
        if size is not None or item not in scope:
            scope[item] = size
    return scope, left

"""Rows of a list of scope, a row a job and item, to job entries that hold scope only."""

from __future__ import annotations

from costlearn.errors import LONGEST_FOUND
from costlearn.intake.entries.line_rows import at
from costlearn.intake.names import ask_scope
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row, key_of
from costlearn.intake.rows import set_aside
from costlearn.intake.scope import read_scope, read_scope_cell
from costlearn.intake.tables import Table
from costlearn.intake.targets import fold_heading, headings
from costlearn.intake.values.numerals import decimal_in
from costlearn.records import Entry, JobEntry


def scope_entries(table: Table, rows: list[Row], setting: Setting) -> list[Entry]:
    """One entry a row that names a job and an item; an item with no size has the size 1."""
    entries: list[Entry] = []
    for row in rows:
        job, words = row.text("job"), row.text("item")
        why = row.bad or ("" if key_of(job) else "it names no job")
        if not why and not words:
            why = "it names no item"
        scope = {} if why else _scope(table, row, words, setting)
        if why:
            set_aside(table, row, why, setting)
        elif scope:
            entries.append(JobEntry(job, row.place, scope=scope, notes=row.text("notes")))
    return entries


def _scope(table: Table, row: Row, words: str, setting: Setting) -> dict[str, float | None]:
    """The item of a row and its size."""
    area_unit = setting.firm.area_unit
    reading = read_scope(words, setting.vocabulary, area_unit=area_unit)
    place = at(table, row, "item")
    for written, taken in reading.close:
        text = f"scope word '{written}' is taken for '{taken}'"
        setting.notes.once(("scope", written), "proposed", place, text, written)
    if reading.problem:
        setting.notes.add("set aside", place, reading.problem, words[:LONGEST_FOUND])
    ask_scope(reading.unknown, place, setting)
    size, unit = row.text("size"), row.text("unit")
    if len(reading.items) != 1 or not size:
        return dict(reading.items)
    key = next(iter(reading.items))
    known = headings().units.get(fold_heading(unit)) if unit else None
    if unit and known is None:
        text = f"'{unit}' is no unit of size; the row is kept without its size"
        setting.notes.add("set aside", at(table, row, "unit"), text, unit)
        return {key: 1.0}
    item = setting.vocabulary.item(key)
    decimal = decimal_in(size)
    found = read_scope_cell(size, item, unit=known, area_unit=area_unit, decimal=decimal)
    if found.value is None:
        setting.notes.add("set aside", at(table, row, "size"), found.problem, size)
        return {key: 1.0}
    return {key: found.value}

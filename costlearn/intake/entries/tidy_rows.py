"""The tables of an export read back: the same entries, at the places they were read first."""

from __future__ import annotations

from costlearn import tidy
from costlearn.errors import CostlearnError, Place
from costlearn.intake.files.sheets import Grid
from costlearn.intake.findings import Notes
from costlearn.intake.tables import cell_text
from costlearn.records import Entry
from costlearn.units import say_count


def tidy_entries(grid: Grid, notes: Notes) -> list[Entry] | None:
    """The entries of an export's table, or None if the sheet is no export's.

    A row with a cell that does not fit its column is set aside with the reason.
    """
    heads = tuple(cell_text(raw) for raw in grid.rows[0]) if grid.rows else ()
    kind = tidy.kind_of_headings(heads)
    if kind is None:
        return None
    entries: list[Entry] = []
    for index, row in enumerate(grid.rows[1:], 1):
        if all(raw is None for raw in row):
            continue
        place = Place(grid.file, grid.sheet, grid.first_row + index)
        try:
            entries.append(tidy.entry_of(kind, heads, [_cell(raw) for raw in row], place))
        except CostlearnError as problem:
            why = f"{problem.found}, expected {problem.expected}"
            said = " | ".join(cell_text(raw) for raw in row).strip(" |")
            notes.add("set aside", problem.place, why, said)
    text = (
        f"{say_count(len(entries), 'row')} read as {kind} of an export, "
        "with the places they first came from"
    )
    notes.add("understood", Place(grid.file, grid.sheet, grid.first_row), text)
    return entries


def _cell(raw: object) -> tidy.Cell:
    """A cell as an export can hold it; anything else as its text."""
    if raw is None or isinstance(raw, tidy.CELL_TYPES):
        return raw
    return str(raw)

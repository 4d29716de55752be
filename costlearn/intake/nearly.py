"""What a row that might have been headings still lacks, for the sentence that refuses a file."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.intake.files.sheets import Grid
from costlearn.intake.headers import HeadingReader
from costlearn.intake.tables import DEEPEST, cell_text

_OF_ANY = {"job", "job_code", "notes"}
_NEEDS = {
    "hours": ("an hours log", ("hours", "named_hours"), "the hours"),
    "receipts": ("a list of bills", ("amount", "gross"), "the amount"),
    "jobs": ("a list of jobs", ("job", "job_code"), "the job"),
}
"""Kind of table: what it is called, the fields of which one is needed, and the needed in words."""


def nearly(grids: Sequence[Grid], reader: HeadingReader) -> str:
    """Which row has headings of which table, and what none of them stands for; "" if none has.

    At least two headings must be known, one of them as that kind's own.
    """
    best, said = 1, ""
    for grid in grids:
        for at, row in enumerate(grid.rows[:DEEPEST]):
            texts = [text for raw in row if isinstance(raw, str) and (text := cell_text(raw))]
            for kind, (name, needed, words) in _NEEDS.items():
                found = {
                    match.field: text
                    for text in texts
                    if (match := reader.match(text, kind)).how == "exact"
                }
                if found.keys() & set(needed) or len(found) <= best or not found.keys() - _OF_ANY:
                    continue
                best = len(found)
                known = ", ".join(f"'{text}'" for text in list(found.values())[:6])
                where = f"row {grid.first_row + at}" + (
                    f" of sheet '{grid.sheet}'" if grid.sheet else ""
                )
                said = f"{where} has headings of {name} ({known}), but no column for {words}"
    return said

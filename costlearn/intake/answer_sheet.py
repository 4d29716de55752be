"""The answer sheet: what waits for a person, as a table to fill in, and what was filled in."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from costlearn import tidy
from costlearn.errors import InputProblem, Place
from costlearn.intake.files.sheets import Grid, read_grids
from costlearn.intake.tables import cell_text
from costlearn.records import Question

HEADINGS = (
    "id", "file", "what is asked", "where", "what was found", "choices", "rows waiting", "answer",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Given:
    """An answer as a person wrote it, and where; the key is blank in a row that has none."""

    key: str
    text: str
    place: Place


def sheet_row(question: Question) -> tuple[str, ...]:
    """A question as a row of the answer sheet, its answer blank."""
    place = question.place
    where = str(Place("", place.sheet, place.row, place.column))
    choices = "; ".join(question.choices)
    found = (question.key, place.file, question.text, where, question.found, choices)
    return (*(tidy.guard(text) for text in found), str(question.rows_waiting), "")


def write_sheet(questions: Iterable[Question]) -> bytes:
    """The answer sheet as comma separated values, UTF-8 with the mark spreadsheets look for."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADINGS)
    writer.writerows(sheet_row(one) for one in questions)
    return b"\xef\xbb\xbf" + out.getvalue().encode()


def read_sheet(path: Path) -> tuple[Given, ...]:
    """The answers of a sheet that was filled in, as text or saved as a workbook; blanks left out.

    Raises:
        UnreadableFile: the file cannot be read as a table.
        InputProblem: it is no answer sheet.
    """
    for grid in read_grids(path):
        heads = [cell_text(raw).casefold() for raw in grid.rows[0]]
        if HEADINGS[0] in heads and HEADINGS[-1] in heads:
            return tuple(_given(grid, heads.index(HEADINGS[0]), heads.index(HEADINGS[-1])))
    raise InputProblem(
        "this is no answer sheet",
        place=Place(path.name),
        expected="columns headed 'id' and 'answer'",
        hint="make one with: costlearn questions --write answers.csv",
    )


def _given(grid: Grid, key_at: int, answer_at: int) -> Iterable[Given]:
    for index, row in enumerate(grid.rows[1:], 1):
        text = tidy.unguard(_text(row, answer_at))
        place = Place(grid.file, grid.sheet, grid.first_row + index, HEADINGS[-1])
        if not text:
            continue
        yield Given(tidy.unguard(_text(row, key_at)), text, place)


def _text(row: Sequence[object], at: int) -> str:
    raw = row[at] if at < len(row) else None
    if isinstance(raw, bool):
        return "yes" if raw else "no"
    return " ".join(str(raw).split()) if raw is not None else ""

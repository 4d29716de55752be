"""The answer sheet: what waits for a person, as a table to fill in, and what was filled in."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from costlearn import tidy
from costlearn.errors import InputProblem, Place
from costlearn.intake.answers import AREA_WORDS, NONE, OWN
from costlearn.intake.files.sheets import Grid, read_grids
from costlearn.intake.tables import cell_text
from costlearn.records import Question
from costlearn.vocabulary import standard

HEADINGS = (
    "id", "file", "what is asked", "where", "what was found", "choices", "rows waiting", "answer",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Given:
    """An answer as a person wrote it, and where; the key is blank in a row that has none.

    ``insisted`` if the mark stood behind it that keeps it whatever follows.
    """

    key: str
    text: str
    place: Place
    insisted: bool = False


INSISTED = "!"
"""Behind an answer: it is kept although a figure looks absurd by it."""


def as_written(question: Question, said: str) -> str:
    """A settled answer as a person would write it, so that it is understood again."""
    words = standard()
    if question.topic == "phase" and said != NONE and said not in words.phase_words:
        return f"{OWN}: {said.replace('_', ' ')}"
    if question.topic == "tax" and not float(said):
        return NONE
    return {unit: word for word, unit in AREA_WORDS.items()}.get(said, said)


def sheet_row(question: Question, said: str = "", insisted: bool = False) -> tuple[str, ...]:
    """A question as a row of the answer sheet, with its answer if one was given.

    Args:
        question: what is or was asked.
        said: its settled answer; blank leaves the cell to be filled in.
        insisted: the answer was kept although a figure looks absurd by it.
    """
    place = question.place
    where = str(Place("", place.sheet, place.row, place.column))
    choices = "; ".join(question.choices)
    found = (question.key, place.file, question.text, where, question.found, choices)
    given = tidy.guard(as_written(question, said) + INSISTED * insisted) if said else ""
    return (*(tidy.guard(text) for text in found), str(question.rows_waiting), given)


def write_sheet(rows: Iterable[Sequence[str]]) -> bytes:
    """The answer sheet of rows made by :func:`sheet_row`: comma separated values.

    They are UTF-8 with the mark spreadsheets look for.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADINGS)
    writer.writerows(rows)
    return b"\xef\xbb\xbf" + out.getvalue().encode()


def is_answer_sheet(path: Path) -> bool:
    """Whether a file begins like an answer sheet, as it was written or saved as text again."""
    if path.suffix.casefold() != ".csv" or not path.is_file():
        return False
    with path.open("rb") as file:
        first = file.readline(1 << 12).decode("utf-8-sig", "replace")
    heads = [head.strip().strip('"').casefold() for head in re.split(r"[,;\t]", first)]
    return heads[0] == HEADINGS[0] and {*HEADINGS} <= set(heads)


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
        said = text.removesuffix(INSISTED).rstrip()
        yield Given(tidy.unguard(_text(row, key_at)), said, place, said != text)


def _text(row: Sequence[object], at: int) -> str:
    raw = row[at] if at < len(row) else None
    if isinstance(raw, bool):
        return "yes" if raw else "no"
    return " ".join(str(raw).split()) if raw is not None else ""

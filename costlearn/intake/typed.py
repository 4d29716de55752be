"""Lines about jobs that were typed by hand: all of them are one file of the book, :data:`NAME`.

A line keeps its number for good: answers are about "line 3", so a line that was taken back stays
as a row that says so, and its number is never given again.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from costlearn import tidy
from costlearn.errors import InputProblem, Place
from costlearn.intake.files.sheets import Grid
from costlearn.intake.tables import cell_text
from costlearn.intake.targets import fold_heading
from costlearn.vocabulary import fold

NAME = "typed by hand"
"""What the lines are called in the book."""
HEADINGS = ("line typed by hand", "number", "typed on", "taken back")
_TEXT, _NUMBER, _DAY, _BACK = HEADINGS


@dataclass(frozen=True, slots=True)
class Typed:
    """One line: its number, what was typed, the day it was, whether it was taken back."""

    number: int
    text: str
    day: str
    back: bool = False

    @property
    def place(self) -> Place:
        """Where its figures come from."""
        return Place(NAME, "", self.number)


def is_typed(grid: Grid) -> bool:
    """Whether a sheet holds lines typed by hand, by its first row."""
    return tuple(fold_heading(cell_text(raw)) for raw in grid.rows[0]) == HEADINGS


def typed_lines(grid: Grid) -> tuple[Typed, ...]:
    """The lines of a sheet, those taken back too."""
    found = []
    for row in grid.rows[1:]:
        text, number, day, back = (cell_text(raw) for raw in row)
        found.append(Typed(int(number), tidy.unguard(text), day, bool(back)))
    return tuple(found)


def known_lines(data: bytes | None) -> tuple[Typed, ...]:
    """The lines of a table that :func:`as_table` made; none where there is no table yet."""
    if data is None:
        return ()
    rows = list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))
    return tuple(
        Typed(int(row[_NUMBER]), tidy.unguard(row[_TEXT]), row[_DAY], bool(row[_BACK]))
        for row in rows
    )


def with_line(lines: Iterable[Typed], text: str, day: date) -> tuple[tuple[Typed, ...], Typed]:
    """The lines with one more, and that one; of a line that stands there already, that one."""
    known = tuple(lines)
    said = " ".join(text.split())
    for one in known:
        if not one.back and fold(one.text) == fold(said):
            return known, one
    number = max((one.number for one in known), default=0) + 1
    fresh = Typed(number, said, day.isoformat())
    return (*known, fresh), fresh


def without_line(lines: Iterable[Typed], number: int) -> tuple[Typed, ...]:
    """The lines with one taken back.

    Raises:
        InputProblem: there is no such line.
    """
    known = tuple(lines)
    standing = [one.number for one in known if not one.back]
    if number not in standing:
        numbers = ", ".join(map(str, standing))
        raise InputProblem(
            f"there is no line {number}",
            expected=f"one of {numbers}" if numbers else "a line that was typed",
            hint="see them with 'costlearn add --list'",
        )
    return tuple(replace(one, back=True) if one.number == number else one for one in known)


def as_table(lines: Iterable[Typed]) -> bytes:
    """The lines as a table, ready to be kept."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADINGS)
    for one in lines:
        back = "yes" if one.back else ""
        writer.writerow((tidy.guard(one.text), one.number, one.day, back))
    return b"\xef\xbb\xbf" + out.getvalue().encode()

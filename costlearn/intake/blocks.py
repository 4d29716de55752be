"""Several tables on one sheet, stacked or side by side, parted where each has its headings."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise

from costlearn.intake.files.sheets import Grid
from costlearn.intake.headers import HeadingReader
from costlearn.intake.on_top import labelled
from costlearn.intake.tables import DEEPEST, cell_text, heads_table, texts_of
from costlearn.intake.targets import KINDS, fold_heading, headings
from costlearn.intake.values.cells import Raw

_NUMERIC = re.compile(r"[\s$€£(+-]*\d")
_MOST_TITLES = 4


def part_blocks(grid: Grid, reader: HeadingReader) -> list[Grid]:
    """A sheet as its stacked tables, each with the titles above it; one grid if it has one.

    Headings repeated on each page part nothing, unless a title stands above them that is not the
    title of the table before: that is how a sheet holds one table a job.
    """
    starts: list[int] = []
    heads: list[int] = []
    last: int | None = None
    for row, cells in enumerate(grid.rows):
        if not _may_head(cells):
            continue
        repeated = last is not None and _folded(cells) == _folded(grid.rows[last])
        if not repeated and not heads_table(grid, row, reader):
            continue
        if last is None:
            last = row
            heads.append(row)
            continue
        start = _start(grid.rows, row, last)
        if row - last < 2 or (repeated and not _titled(grid.rows, start, row)):
            continue
        if not any(raw is not None and raw != "" for line in grid.rows[row + 1 :] for raw in line):
            continue
        starts.append(start)
        heads.append(row)
        last = row
    if not starts:
        return [grid]
    edges = [0, *starts, len(grid.rows)]
    parts: list[Grid] = []
    job = ""
    for number, ((a, b), head) in enumerate(zip(pairwise(edges), heads, strict=True), start=1):
        part = replace(grid, rows=grid.rows[a:b], first_row=grid.first_row + a, block=number)
        parts.append(replace(part, job=job))
        job = labelled(texts_of(grid.rows[a:head])) or job
    return parts


def part_beside(grid: Grid, reader: HeadingReader) -> list[Grid]:
    """A sheet as its tables that stand side by side with an empty column between them.

    Each must have a row of headings of its own; rows of two tables have nothing to do with one
    another.
    """
    width = len(grid.rows[0]) if grid.rows else 0
    filled = [
        any(row[at] is not None and row[at] != "" for row in grid.rows) for at in range(width)
    ]
    edges = [0, *(at for at in range(1, width) if filled[at] and not filled[at - 1]), width]
    if len(edges) < 3:
        return [grid]
    parts = [replace(grid, rows=tuple(row[a:b] for row in grid.rows)) for a, b in pairwise(edges)]
    headed = [any(heads_table(part, row, reader) for row in _top(part)) for part in parts]
    return parts if all(headed) else [grid]


def _top(grid: Grid) -> range:
    return range(min(DEEPEST, len(grid.rows)))


@cache
def _known() -> frozenset[str]:
    """Every spelling a heading row may begin with."""
    table = headings()
    words = {word for kind in KINDS for word in table.fields[kind]}
    return frozenset(words | set(table.measures))


def _may_head(cells: Sequence[Raw]) -> bool:
    """A quick look that lets few rows through: a known first heading, and no figure anywhere."""
    first = next((raw for raw in cells if raw is not None and raw != ""), None)
    if not isinstance(first, str) or fold_heading(cell_text(first)) not in _known():
        return False
    filled = [raw for raw in cells if raw is not None and raw != ""]
    return len(filled) > 1 and not any(_is_figure(raw) for raw in filled)


def _is_figure(raw: Raw) -> bool:
    return not isinstance(raw, str) or bool(_NUMERIC.match(raw))


def _folded(cells: Sequence[Raw]) -> list[str]:
    return [fold_heading(cell_text(raw)) for raw in cells]


def _start(rows: Sequence[Sequence[Raw]], head: int, last: int) -> int:
    """Where the table headed in a row begins: its titles and group headings belong to it."""
    start = head
    width = sum(1 for raw in rows[head] if raw is not None and raw != "")
    while start - 1 > last and head - start < _MOST_TITLES:
        filled = [raw for raw in rows[start - 1] if raw is not None and raw != ""]
        if not filled or len(filled) > max(2, width // 2) or any(_is_figure(r) for r in filled):
            break
        total = {fold_heading(cell_text(raw)) for raw in filled} & set(headings().totals)
        if total:
            break
        start -= 1
    return start


def _titled(rows: Sequence[Sequence[Raw]], start: int, head: int) -> bool:
    """Whether a title stands right above a row of repeated headings."""
    return start < head

"""Rows of a table as text that an unquoted comma tears apart: "1,200.00" gives two cells."""

from __future__ import annotations

import re
from collections.abc import Sequence

from costlearn.intake.looks import look_of
from costlearn.intake.tables import Table, cell_text
from costlearn.intake.targets import reads_as
from costlearn.intake.values.cells import Raw

_HEAD = re.compile(r"[-(]?[$€£]? ?[1-9]\d{0,2}")
_TAIL = re.compile(r"\d{3}(?:\.\d\d)?\)?")
_FEW = 0.5


def torn_rows(table: Table, lines: Sequence[int]) -> dict[int, str]:
    """Rows (by their index) whose cells do not stand under their headings, and why.

    A row torn at the comma of an amount has a cell too many, or one under the heading of something
    else. Only tables as text can be torn.
    """
    if table.grid.sheet or not lines:
        return {}
    rows = table.grid.rows
    heads = [i for i, raw in enumerate(rows[table.body - 1]) if raw not in (None, "")]
    width = heads[-1] + 1 if heads else 0
    money = sorted(c.indexes[0] for c in table.columns if reads_as(table.kind, c.field) == "money")
    wide = lines if len(rows[0]) > width else ()
    long = {i for i in wide if any(raw not in (None, "") for raw in rows[i][width:])}
    found: dict[int, str] = {}
    usual: dict[int, bool] = {}
    for index in lines:
        pair = _torn_pair(rows[index], money)
        if pair is not None and pair not in usual:
            usual[pair] = pair + 1 in money or _usual(rows, pair, lines)
        if pair is not None and (
            index in long or (not usual[pair] and _pushed(rows, index, width, lines))
        ):
            amount = ",".join(cell_text(rows[index][at]) for at in (pair, pair + 1))
            found[index] = (
                f"a comma within '{amount}' parts it in two; put the amount into quotation marks"
            )
    few = len(long - found.keys()) <= _FEW * len(lines)
    for index in sorted(long - found.keys()) if few else ():
        cells = max(i for i, raw in enumerate(rows[index]) if raw not in (None, "")) + 1
        found[index] = (
            f"it has {cells} cells where there are {width} headings, so they may stand under "
            "the wrong ones"
        )
    return found


def _pushed(rows: Sequence[Sequence[Raw]], index: int, width: int, lines: Sequence[int]) -> bool:
    """Whether the last cell of a row may be another column's: blank, or unlike those around it.

    A cell too many pushes the others to the right; what still fits was not torn.
    """
    last = look_of(rows[index][width - 1])
    return not last or all(look_of(rows[i][width - 1]) != last for i in lines if i != index)


def _torn_pair(row: Sequence[Raw], money: Sequence[int]) -> int | None:
    """The column of the first half of a torn amount, or None."""
    for at in money:
        inside = at < len(row) - 1 and _HEAD.fullmatch(cell_text(row[at]))
        if inside and _TAIL.fullmatch(cell_text(row[at + 1])):
            return at
    return None


def _usual(rows: Sequence[Sequence[Raw]], at: int, lines: Sequence[int]) -> bool:
    """Whether half of the rows have such a pair of cells, or cells of three figures behind it."""
    pairs = [[cell_text(raw) for raw in rows[i][at : at + 2]] for i in lines]
    told = [pair for pair in pairs if pair[1]]
    like = sum(1 for _, tail in told if _TAIL.fullmatch(tail))
    small = sum(1 for head, _ in pairs if _HEAD.fullmatch(head))
    return 2 * like > len(told) + 1 or 2 * small > len(pairs) + 1

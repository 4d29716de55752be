"""Hours of "both": of the two together or of each, proven by what their time cost, or asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from costlearn.intake.answers import LEAVE_OUT
from costlearn.intake.files.sheets import Grid
from costlearn.intake.readings import Setting
from costlearn.intake.tables import Column, Table, cell_text
from costlearn.intake.targets import BOTH_HOURS
from costlearn.intake.values.cells import Raw, read_number
from costlearn.vocabulary import fold

EACH, TOGETHER = "each", "together"
_PAY = frozenset(("time", "labour", "labor", "wages", "pay"))
"""Words of a row below the phases that says what the hours cost; common practice, no source."""

Found = list[tuple[Grid, Table | None]]


def settle_both(tables: Found, setting: Setting) -> Found:
    """The tables of a file with columns of hours of "both" as what they are; else they are left.

    All of them in a file mean the same. It is asked once where no sheet proves it.
    """
    columns = [(t, c) for _, t in tables if t for c in t.columns if _is_both(c)]
    if not columns:
        return tables
    table, column = columns[0]
    about = (table.grid.file, column.heading)
    place = table.place(table.body - 1, column.heading)
    said = setting.answers.get("each", *about)
    if said is None:
        proofs = {p for t, c in columns if (p := _proven(t, c, setting))}
        said = proofs.pop() if len(proofs) == 1 else None
        if said is not None:
            text = (
                f"hours of '{column.heading}' are of the two {said}, as what their time cost says"
            )
            setting.notes.add("understood", place, text, column.heading)
    if said is None:
        text = f"'{column.heading}': hours of the two together, or of each? They wait."
        rows = sum(1 for t, c in columns for n in _numbers(t, c) if n)
        setting.ask(
            "each", about, place, text, (TOGETHER, EACH, LEAVE_OUT), found=column.heading,
            waiting=rows,
        )  # fmt: skip
    return [(grid, t and _with(t, said)) for grid, t in tables]


def _is_both(column: Column) -> bool:
    return column.field.rpartition(".")[2] == BOTH_HOURS


def _with(table: Table, said: str | None) -> Table:
    """A table with its hours of both as person-hours, twice as many of each, or without them."""
    if said == EACH:
        return table
    columns = [
        replace(c, field=c.field.replace(BOTH_HOURS, "person_hours")) if _is_both(c) else c
        for c in table.columns
        if said == TOGETHER or not _is_both(c)
    ]
    return replace(table, columns=tuple(columns))


def _numbers(table: Table, column: Column) -> list[float]:
    rows = table.grid.rows[table.body :]
    return _figures([row[column.indexes[0]] for row in rows])


def _proven(table: Table, column: Column, setting: Setting) -> str | None:
    """What the hours are by their pay: an hour of one person costs what the firm's rates say."""
    firm, hours = setting.firm, _numbers(table, column)
    rates = [rate / firm.hours_per_day for rate in firm.day_rates.values()]
    pay = _pay(table)
    if not rates or not hours or pay is None:
        return None
    total = max(hours) if abs(2 * max(hours) - sum(hours)) < 0.01 else sum(hours)
    one = pay / total
    fits = [
        said
        for said, each in ((TOGETHER, one), (EACH, one / 2))
        if min(rates) <= each <= max(rates)
    ]
    return fits[0] if len(fits) == 1 else None


def _pay(table: Table) -> float | None:
    """What a row of the sheet says that all the time cost."""
    for row in reversed(table.grid.rows[table.body :]):
        words = set(fold(next(filter(None, map(_text, row)), "")).split())
        figures = _figures(row)
        if words & _PAY and len(figures) == 1:
            return figures[0]
    return None


def _figures(cells: Iterable[Raw]) -> list[float]:
    return [f for raw in cells if (f := read_number(raw).value) is not None]


def _text(raw: object) -> str:
    return cell_text(raw) if isinstance(raw, str) else ""

"""The currency of a firm that has named none, where its job lists name exactly one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from costlearn.firm import Firm
from costlearn.intake.findings import Notes
from costlearn.intake.tables import Table
from costlearn.intake.targets import currency_in, reads_as
from costlearn.intake.values.cells import Raw
from costlearn.intake.values.money import read_money

_LOOKED_AT = 500
_OF_JOBS = ("jobs", "phases", "changes", "quote")


def in_named_currency(firm: Firm, tables: Iterable[Table | None], notes: Notes) -> Firm:
    """The firm with the one currency that the amounts of its jobs name, if it has named none.

    Bare amounts beside it are in it too; where two are named nothing follows.
    """
    if firm.currency_said or firm.currency != Firm().currency:
        return firm
    found: dict[str, tuple[Table, int, str]] = {}
    for table in tables:
        if table is None or table.kind not in _OF_JOBS:
            continue
        for column in table.columns:
            if reads_as(table.kind, column.field) != "money":
                continue
            at = column.indexes[0]
            lines = table.grid.rows[table.body - 1 : table.body + _LOOKED_AT]
            for row, cells in enumerate(lines, table.body - 1):
                currency = _named(cells[at], heading=row < table.body)
                if currency:
                    found.setdefault(currency, (table, row, column.heading))
    if len(found) != 1:
        return firm
    currency, (table, row, heading) = next(iter(found.items()))
    text = f"amounts are in {currency}, the only currency named"
    notes.add("understood", table.place(row, heading), text, currency)
    return replace(firm, currency=currency)


def _named(raw: Raw, *, heading: bool) -> str | None:
    """The currency a cell or a heading names."""
    if not isinstance(raw, str) or not any(c.isalpha() or c in "€£" for c in raw):
        return None
    if heading:
        return currency_in(raw)
    money = read_money(raw, ranges=True).value
    return money.currency if money else None

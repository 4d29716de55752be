"""Lines of bills that are no purchase: their tax, their totals, what was paid on them; credits."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from costlearn.intake.entries.line_rows import at
from costlearn.intake.entries.shares import shared
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row
from costlearn.intake.rows import row_text, set_aside
from costlearn.intake.tables import Table, cell_text
from costlearn.intake.targets import fold_heading
from costlearn.intake.taxed_headings import tax_line
from costlearn.vocabulary import fold

_SETTLED = re.compile(
    r"(?:(?:less|minus|moins) )?(?:deposit|acompte|payment|paiement|paid|amount paid|deposit paid"
    r"|payments?|amount due|balance due|total due|due|balance|balance owing|owing|solde|solde du"
    r"|montant du|total payable|to pay|a payer)(?: (?:received|paid|to date|recu))?"
)
"""Folded labels of lines that say what was paid on a bill and what is left."""
_CREDIT = re.compile(
    r"\b(?:credit note|credit memo|note de credit|avoir|refund|refunded|returned|taken back"
    r"|sent back|brought back)\b|^credit\b(?! card)|^return\b(?! (?:air|duct|vent|gril))"
)
_DETAILS = ("day", "payee", "document", "kind")
_MONEY = ("amount", "gross", "tax")
_MOST_TAX = 0.35
"""No tax on purchases takes more of them than this."""
_SLACK = 2


def purchases(table: Table, rows: Sequence[Row], setting: Setting) -> list[Row]:
    """The rows that are purchases or credits, each with its part of the tax its bill names below.

    A tax, a deposit paid, a balance due under the lines of a bill are no further cost, nor is a row
    that sums up those above it. A credit note counts below zero.
    """
    kept: list[Row] = []
    bill: list[Row] = []
    closed = False
    for row in rows:
        _turn_credit(table, row, setting)
        label = "" if any(key in row.values for key in _DETAILS) else _label(table, row)
        tax = tax_line(fold_heading(label)) if label else None
        if tax is not None and bill:
            _put_tax(table, row, bill, label, tax, setting)
            closed = True
        elif label and bill and _SETTLED.fullmatch(fold(label)):
            text = f"'{label}' says what was paid or is left on the bill, no further cost"
            setting.notes.add("understood", row.place, text, row_text(table, row.index))
            closed = True
        elif _sums_up(table, row, kept):
            text = "it is the sum of the rows above and is left out"
            setting.notes.add("checked", row.place, text, row_text(table, row.index))
        else:
            if closed:
                bill, closed = [], False
            bill.append(row)
            kept.append(row)
    return kept


def _label(table: Table, row: Row) -> str:
    """The one text of a row that has nothing else but figures."""
    cells = [cell_text(raw) for raw in table.grid.rows[row.index]]
    texts = [text for text in cells if any(c.isalpha() for c in text)]
    return texts[0] if len(texts) == 1 else ""


def _put_tax(
    table: Table, row: Row, bill: list[Row], label: str, rate: float, setting: Setting
) -> None:
    """Share the tax of a bill among its lines, checked against the rate its label names."""
    money = row.money("amount") or row.money("gross")
    lines = [(line, m) for line in bill if (m := line.money("amount")) is not None]
    net = sum(m.cents for _, m in lines)
    if money is None or not net or not 0 <= money.cents / net <= _MOST_TAX:
        set_aside(table, row, f"'{label}' fits no lines above it as their tax; it waits", setting)
        return
    for (line, m), cents in zip(
        lines, shared(money.cents, [m.cents for _, m in lines]), strict=True
    ):
        line.put("amount", replace(m, tax=(m.tax or 0) + cents))
    said, worked = money.cents / 100, net * rate / 10_000
    fits = not rate or abs(said - worked) * 100 <= _SLACK
    text = f"'{label}' {said:,.2f} is the tax on {net / 100:,.2f} above, kept apart"
    if not fits:
        text += f"; at that rate it would be {worked:,.2f}"
    setting.notes.add("checked", row.place, text, label)


def _turn_credit(table: Table, row: Row, setting: Setting) -> None:
    """Put the amounts of a credit note below zero where its writer left the minus off."""
    field = next((f for f in ("item", "document", "notes", "payee")
                  if _CREDIT.search(fold(row.text(f)))), "")  # fmt: skip
    found = {key: money for key in _MONEY if (money := row.money(key)) is not None}
    if not field or any(money.cents < 0 for money in found.values()):
        return
    for key, money in found.items():
        row.put(key, replace(money, cents=-money.cents, tax=money.tax and -money.tax))
    text = "a credit note lowers the cost, though no minus stands before it"
    setting.notes.add("understood", at(table, row, field), text, row.text(field))


def _sums_up(table: Table, row: Row, above: Sequence[Row]) -> bool:
    """Whether a row that names nothing is the sum of all above it, credits taken off."""
    named = ("payee", "document", "job", "item", "day")
    if len(above) < 2 or any(key in row.values for key in named):
        return False
    sums = {
        key: sum(m.cents for line in above if (m := line.money(key)) is not None) for key in _MONEY
    }
    said = {key: money.cents for key in _MONEY if (money := row.money(key)) is not None}
    return bool(said) and all(sums[key] == cents for key, cents in said.items())

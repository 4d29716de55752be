"""Rows of receipts and bills to cost entries: tax apart, credits negative, splits shared out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from costlearn.errors import Place
from costlearn.intake.answers import NOT_A_COST
from costlearn.intake.entries.bill_lines import purchases
from costlearn.intake.entries.callbacks import place_work
from costlearn.intake.entries.line_rows import at
from costlearn.intake.entries.shares import Split, read_split
from costlearn.intake.entries.statement_lines import payee_name
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row, key_of
from costlearn.intake.rows import row_text, set_aside
from costlearn.intake.tables import Table, cell_text
from costlearn.intake.told import (
    CURRENCY_CHOICES,
    ask_currency,
    told_currency,
    told_kind,
    told_tax,
    told_word,
)
from costlearn.intake.values.cells import is_missing
from costlearn.intake.values.money import read_money
from costlearn.records import CostEntry, Entry
from costlearn.vocabulary import UNASSIGNED, fold


@dataclass(frozen=True, slots=True)
class _Sums:
    """Net and tax of one line in cents."""

    net: int
    tax: int | None
    currency: str | None

    @property
    def gross(self) -> int:
        """Net and tax together."""
        return self.net + (self.tax or 0)


def receipt_entries(table: Table, rows: list[Row], setting: Setting) -> list[Entry]:
    """One entry a cost line and job; a line shared by several jobs becomes one for each."""
    entries: list[Entry] = []
    one_currency(table, rows, setting)
    ask_currency(table, rows, setting)
    for row in purchases(table, rows, setting):
        sums = _sums(table, row, setting)
        split = shares_of(table, row, [] if sums is None else [sums.net, sums.gross], setting)
        why = row.bad or ("" if sums else "it gives no amount") or (split.problem if split else "")
        why = why or _unread(table, row)
        if why or sums is None:
            set_aside(table, row, why, setting)
            continue
        kind = _kind(table, row, sums.net, setting)
        if kind == NOT_A_COST:
            set_aside(table, row, "it is no cost, as its category or your answer says", setting)
            continue
        if split is None:
            entries.append(_entry(table, row, row.text("job"), kind, sums, setting))
            continue
        nets = split.out(sums.net)
        taxes = None if sums.tax is None else split.out(sums.tax)
        for i, (job, _) in enumerate(split.jobs):
            part = _Sums(nets[i], None if taxes is None else taxes[i], sums.currency)
            entries.append(_entry(table, row, job, kind, part, setting))
    return entries


def _unread(table: Table, row: Row) -> str:
    """Why a line waits whose amount, total or tax stands there and cannot be read; else ""."""
    for column in table.columns:
        if column.field.rpartition(".")[2] in ("amount", "gross", "tax"):
            said = cell_text(table.grid.rows[row.index][column.indexes[0]])
            if (
                any(c.isalnum() for c in said)
                and column.key not in row.values
                and not is_missing(said)
            ):
                return f"its {column.heading} '{said}' cannot be read, so the line waits"
    return ""


def shares_of(table: Table, row: Row, cents: Sequence[int], setting: Setting) -> Split | None:
    """How a line is shared by several jobs, by its job or, where that is blank, by its notes."""
    job = row.text("job")
    if key_of(job):
        return read_split(job, cents) if cents else None
    for field in ("notes", "item"):
        text = row.text(field)
        split = read_split(text, cents) if cents and text else None
        if split is not None:
            said = "a line that names no job is shared as its notes say"
            key = ("split notes", table.grid.sheet)
            setting.notes.once(key, "understood", at(table, row, field), said, text)
            return split
    return None


def _entry(table: Table, row: Row, job: str, kind: str, sums: _Sums, setting: Setting) -> CostEntry:
    placed = place_work(table, row, setting)
    overhead = setting.vocabulary.cost_words.get(fold(job)) == "overhead"
    return CostEntry(
        job=None if overhead or not key_of(job) else job,
        kind="overhead" if overhead else kind,
        net=sums.net,
        place=row.place,
        tax=sums.tax,
        currency=sums.currency,
        day=row.day("day"),
        phase=placed.phase,
        payee=row.text("payee"),
        document=row.text("document"),
        notes="; ".join(t for t in (row.text("item"), row.text("notes")) if t),
        callback_of=placed.callback_of,
    )


def _sums(table: Table, row: Row, setting: Setting) -> _Sums | None:
    """Net, tax and currency of a line from its amount, its total and its tax."""
    net, gross = row.money("amount"), row.money("gross")
    money = net or gross
    if money is None:
        return None
    currency = currency_of(table, row, money.currency, setting)
    if money.tax is not None:
        return _Sums(money.cents, money.tax, currency)
    tax = _taxes(table, row)
    if net is not None:
        if tax is not None and gross is None:
            text = "the amount is taken to be before tax, as a column of tax stands beside it"
            key = ("net", table.grid.sheet)
            setting.notes.once(key, "proposed", at(table, row, "amount"), text)
        if gross is not None:
            tax = _against_total(table, row, net.cents, tax, gross.cents, setting)
        return _Sums(net.cents, tax, currency)
    if tax is None:
        tax = _tax_within(table, row, money.cents, setting)
    return _Sums(money.cents - (tax or 0), tax, currency)


def _taxes(table: Table, row: Row) -> int | None:
    """The tax of a line, of all its columns of tax together; None where none says anything."""
    fields = [c.field for c in table.columns if c.field.rpartition(".")[2] == "tax"]
    stated = [money.cents for field in fields if (money := row.money(field)) is not None]
    return sum(stated) if stated else None


def _against_total(
    table: Table, row: Row, net: int, tax: int | None, gross: int, setting: Setting
) -> int | None:
    """The tax of a line, checked against its total."""
    if tax is None:
        return gross - net
    gap = gross - net - tax
    if abs(gap) > 1:
        text = (
            f"amount {net / 100:,.2f} and tax {tax / 100:,.2f} do not make the total "
            f"{gross / 100:,.2f}: {abs(gap) / 100:,.2f} {'too little' if gap > 0 else 'too much'}"
        )
        cell = at(table, row, "gross")
        setting.notes.add("checked", cell, text, f"{gross / 100:.2f}", agrees=False)
    return tax


def _tax_within(table: Table, row: Row, gross: int, setting: Setting) -> int | None:
    """The tax in a total, if the column map states the rate; else it is asked."""
    rate = setting.chart.constants.get("tax_rate")
    if isinstance(rate, int | float) and not isinstance(rate, bool):
        return gross - round(gross / (1 + rate))
    place = at(table, row, "gross")
    told = told_tax(table, place, setting)
    if told is not None:
        return gross - round(gross / (1 + told))
    text = "the totals may hold tax, and no column says how much; they are taken as they stand"
    setting.notes.once(("gross", table.grid.sheet), "asked", place, text)
    return None


def one_currency(table: Table, rows: Sequence[Row], setting: Setting) -> None:
    """Put what stands in the columns of other currencies ("CAD$", "USD$") where amounts are read.

    A row that fills several counts in the firm's currency, if that is one of them.
    """
    for field in ("amount", "gross", "out", "in"):
        others = [c.key for c in table.columns if c.field.endswith(f".{field}")]
        for row in rows if others else ():
            said = [m for key in (field, *others) if (m := row.money(key)) is not None and m.cents]
            own = [m for m in said if m.currency == setting.firm.currency]
            row.put(field, next(iter((*own, *said)), None))


def currency_of(table: Table, row: Row, stated: str | None, setting: Setting) -> str | None:
    """The currency the amount's cell stated, else that of its own column; None is the firm's."""
    word = row.text("currency")
    if stated or not word:
        return stated or told_currency(table, setting)
    read = read_money(f"1 {word}").value or read_money(f"{word} 1").value
    if read is not None and read.currency:
        return read.currency
    if len(word) == 3 and word.isalpha():
        return word.upper()
    if word != "$":
        said = setting.answers.get("currency", word)
        if said is not None:
            return said
        question = f"Which currency is '{word}'? The firm's is taken so far."
        place = at(table, row, "currency")
        setting.ask("currency", (word,), place, question, CURRENCY_CHOICES, found=word)
        text = f"currency '{word}' is not known; the firm's is taken"
        setting.notes.once(("currency", word), "asked", at(table, row, "currency"), text, word)
    return None


def _kind(table: Table, row: Row, cents: int, setting: Setting) -> str:
    """The cost kind of a line; where nobody says it, it is asked and "unassigned"."""
    word = row.text("kind")
    place: Place = at(table, row, "kind")
    line = row_text(table, row.index)
    if word:
        return told_word(word, place, setting, line, cents) or UNASSIGNED
    told = _told_kind(table, row, cents, place, setting)
    if told is not None:
        return told
    if table.column("kind") is None:
        text = "no column says what kind of cost a line is (material, sub, rental, ...)"
        hint = 'a column map with [constants] kind = "material" would say it for all'
        key = ("no kind", table.grid.sheet)
        setting.notes.once(key, "asked", table.place(table.header), f"{text}; {hint}")
    else:
        setting.notes.add("asked", place, "nobody says what kind of cost this line is", word)
    return UNASSIGNED


def _sign(row: Row, setting: Setting) -> str | None:
    """The kind of cost that the payee or what was bought speaks of."""
    return setting.vocabulary.sign_of(f"{row.text('payee')} {row.text('item')}")


def _told_kind(table: Table, row: Row, cents: int, place: Place, setting: Setting) -> str | None:
    """The cost kind a person gave for all lines of a sheet or of a payee; asked if nobody did."""
    sheet, payee = (table.grid.file, table.grid.sheet), row.text("payee")
    about: tuple[str, ...]
    sign = None
    if table.column("kind") is not None:
        about = ("paid to", payee_name(payee)) if payee else (*sheet, "blank")
        whose = f"what is paid to '{payee}'" if payee else "the lines that say no kind"
    elif (sign := _sign(row, setting)) and sign != "material":
        # One answer for a whole sheet would make the waste bin and the plumber material.
        bought = payee or row.text("item")
        about, whose = ("paid to", payee_name(bought)), f"'{bought}'"
    else:
        about, whose = (*sheet, "all lines"), "the lines of this sheet not asked apart"
    line = row_text(table, row.index)
    return told_kind(about, whose, place, setting, line, cents, sign or "material")

"""Lines of a bank or card statement to cost entries that wait for a job; all else is told."""

from __future__ import annotations

from dataclasses import dataclass, replace

from costlearn.intake.answers import NOT_A_COST
from costlearn.intake.entries.balances import Step, follow
from costlearn.intake.entries.line_rows import at
from costlearn.intake.entries.receipt_rows import currency_of, one_currency, shares_of
from costlearn.intake.entries.statement_lines import Meaning, meaning_of, payee_name, payee_words
from costlearn.intake.entries.statement_signs import Signed, signed
from costlearn.intake.names import phase_of
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row, key_of
from costlearn.intake.rows import row_text, set_aside
from costlearn.intake.tables import Table
from costlearn.intake.told import told_kind, told_tax, told_word
from costlearn.records import CostEntry, Entry
from costlearn.vocabulary import NEVER_DIRECT, UNASSIGNED, fold

_NEITHER = {
    "client": "is client money, no cost",
    "transfer": "is a transfer, neither cost nor income",
    "own": "is drawn by the owner, no cost of a job",
}
_ASKED = {
    "cash": "is cash: what it was spent on only its receipts say; not counted",
    "account": "pays a supplier's account: what was bought only its bills say; not counted",
    "unknown": "came in and nothing says from whom: client money or a refund? not counted",
}


@dataclass(frozen=True, slots=True)
class _Line:
    """A row that moves money: cents that went out (in is negative), and the row."""

    row: Row
    out: int


def statement_entries(table: Table, rows: list[Row], setting: Setting) -> list[Entry]:
    """A cost entry for each purchase, fee and refund, a refund below zero.

    Client money, transfers, drawings and cash are findings and never costs. Balances are checked
    against the amounts. Nothing is read while it is open which way the money went.
    """
    one_currency(table, rows, setting)
    found = signed(table, rows, setting)
    lines = _lines(table, rows, found, setting)
    _check_balances(table, rows, lines, setting)
    payees = {
        words
        for line in lines
        if line.out > 0 and (words := payee_words(line.row.text("description")))
    }
    entries: list[Entry] = []
    for line in lines:
        meaning = meaning_of(line.row.text("description"), money_in=line.out < 0, payees=payees)
        if meaning.what in ("cost", "credit"):
            entries.extend(_entries(table, line, meaning, setting))
        else:
            _tell(table, line, meaning, setting)
    waiting = [
        e.net
        for e in entries
        if isinstance(e, CostEntry) and not e.job and e.kind not in NEVER_DIRECT
    ]
    if waiting:
        text = (
            f"{len(waiting)} line{'' if len(waiting) == 1 else 's'} of this statement "
            f"({sum(waiting) / 100:,.2f} in all) name no job; they are kept and wait for one: "
            "write it beside each, in a column 'Job' of this file (a job, shares such as 'J11 50% "
            "/ J12 50%', or 'shop'), and import the file again"
        )
        setting.notes.add("asked", table.place(table.header), text)
    return entries


def _lines(table: Table, rows: list[Row], found: Signed, setting: Setting) -> list[_Line]:
    """The rows that move money, by the way it went; the others are set aside."""
    lines: list[_Line] = []
    waiting = {row.index for row in found.open}
    for row in rows:
        out, into = row.money("out"), row.money("in")
        if out is not None and into is not None and out.cents and into.cents:
            row.bad = row.bad or "money goes out and comes in on one line"
        if row.bad or row.index not in found.out:
            left = found.how if not found.out else ""
            why = "it waits: money out or money in?" if row.index in waiting else left
            set_aside(table, row, row.bad or why or "no money moves on it", setting)
        else:
            lines.append(_Line(row, found.out[row.index]))
    return lines


def _entries(table: Table, line: _Line, meaning: Meaning, setting: Setting) -> list[CostEntry]:
    """The cost line of a purchase or refund, or one for each job that shares it."""
    row, cents = line.row, line.out
    kind = _kind(table, row, cents, meaning, setting)
    if kind == NOT_A_COST:
        set_aside(table, row, "it is no cost, as you answered", setting)
        return []
    split = shares_of(table, row, [cents], setting)
    if split is not None and split.problem:
        set_aside(table, row, split.problem, setting)
        return []
    tax = _tax(table, row, cents, meaning, setting)
    money = row.money("out") or row.money("in") or row.money("amount")
    word = row.text("phase")
    whole = CostEntry(
        job=row.text("job") if key_of(row.text("job")) else None,
        kind=kind,
        net=cents - (tax or 0),
        place=row.place,
        tax=tax,
        currency=currency_of(table, row, money.currency if money else None, setting),
        day=row.day("day"),
        phase=phase_of(word, at(table, row, "phase"), setting) if word else None,
        payee=row.text("description"),
        document=row.text("document"),
        notes=row.text("notes"),
        on_statement=True,
    )
    jobs = [row.text("job")] if split is None else [job for job, _ in split.jobs]
    nets = [whole.net] if split is None else split.out(whole.net)
    taxes = [tax] if split is None or tax is None else split.out(tax)
    overhead = [setting.vocabulary.cost_words.get(fold(job)) == "overhead" for job in jobs]
    return [
        replace(
            whole,
            job=None if overhead[i] or not key_of(job) else job,
            kind="overhead" if overhead[i] else whole.kind,
            net=nets[i],
            tax=None if tax is None else taxes[i],
        )
        for i, job in enumerate(jobs)
    ]


def _tax(table: Table, row: Row, cents: int, meaning: Meaning, setting: Setting) -> int | None:
    """The tax in what was paid, if the column map states the rate; else it is asked.

    Wages hold none (common practice, no source): a line whose words say so stays whole.
    """
    if meaning.kind == "labour":
        return 0
    rate = setting.chart.constants.get("tax_rate")
    if isinstance(rate, int | float) and not isinstance(rate, bool):
        return cents - round(cents / (1 + rate))
    text = "what was paid may hold tax, and nothing says how much; the lines are taken as they are"
    place = table.place(table.header)
    told = told_tax(table, place, setting, asked=bool(key_of(row.text("job"))))
    if told is not None:
        return cents - round(cents / (1 + told))
    setting.notes.once(("statement tax", table.grid.sheet), "asked", place, text)
    return None


def _kind(table: Table, row: Row, cents: int, meaning: Meaning, setting: Setting) -> str:
    """The kind of cost: by its own column, else by the words of the line, which is said."""
    word = row.text("kind")
    if word:
        stated = told_word(word, at(table, row, "kind"), setting, row_text(table, row.index), cents)
        if stated:
            return stated
    place = at(table, row, "description")
    text = row.text("description")
    payee = payee_name(text)
    told = setting.answers.get("cost kind", "paid to", payee)
    if told is not None:
        said = f"what is paid to '{text}' is {told}, as you answered"
        setting.notes.once(("kind told", payee), "understood", place, said, text)
        return told
    named = key_of(row.text("job"))
    if meaning.kind != UNASSIGNED and not (named and meaning.kind in NEVER_DIRECT):
        said = f"lines that say '{meaning.word}' are {meaning.kind}"
        setting.notes.once(("bank kind", meaning.word), "understood", place, said, text)
        return meaning.kind
    if not named:
        # What names no job counts in none: its kind is not worth a question yet.
        return UNASSIGNED
    whose = f"what is paid to '{payee}'"
    told = told_kind(("paid to", payee), whose, place, setting, row_text(table, row.index), cents)
    if told is None:
        said = f"nothing says what kind of cost '{text}' is (material, sub, rental, ...)"
        setting.notes.once(("bank kind", payee), "asked", place, said, text)
    return told or UNASSIGNED


def _tell(table: Table, line: _Line, meaning: Meaning, setting: Setting) -> None:
    """Say what a line that is no cost is taken for."""
    amount = f"{abs(line.out) / 100:,.2f}"
    text = row_text(table, line.row.index)
    if meaning.what in _ASKED:
        setting.notes.add("asked", line.row.place, f"{amount} {_ASKED[meaning.what]}", text)
        return
    way = "in" if line.out < 0 else "out"
    why = f"{amount} {way} {_NEITHER[meaning.what]} (by the word '{meaning.word}')"
    setting.notes.add("set aside", line.row.place, why, text)


def _check_balances(table: Table, rows: list[Row], lines: list[_Line], setting: Setting) -> None:
    """Say whether the balances follow from the amounts, and where they do not."""
    if table.column("balance") is None:
        return
    moved = {line.row.index: -line.out for line in lines}
    stated = [row.money("balance") for row in rows]
    steps = [
        Step(moved.get(row.index, 0), None if money is None else money.cents)
        for row, money in zip(rows, stated, strict=True)
    ]
    chain = follow(steps)
    column = table.column("balance")
    heading = column.heading if column else ""
    if chain.links and not chain.ordered:
        text = "the balances do not follow from the amounts, neither downward nor upward"
        setting.notes.add("checked", table.place(table.header, heading), text, agrees=False)
        return
    for gap in chain.breaks:
        off = gap.stated - gap.expected
        text = (
            f"balance {gap.stated / 100:,.2f} does not follow from the line before, which leads to "
            f"{gap.expected / 100:,.2f}: {abs(off) / 100:,.2f} {'more' if off > 0 else 'less'}; a "
            "line may be missing"
        )
        setting.notes.add("checked", at(table, rows[gap.line], "balance"), text, agrees=False)
    if chain.links and not chain.breaks:
        text = f"the balance agrees with the amounts from line to line ({chain.links} checked)"
        setting.notes.add("checked", table.place(table.header, heading), text, agrees=True)

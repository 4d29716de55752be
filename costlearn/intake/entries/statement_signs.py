"""Which way the money of a statement's lines went: proven by the file, said by a person, or asked.

A column of two words (debit and credit, sale and return), a running balance, or lines whose words
say that money came in or went out prove it; that most lines are on one side proves nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from costlearn.intake.columns import Marker
from costlearn.intake.entries.balances import Step, follow, unsigned
from costlearn.intake.entries.statement_lines import markers_in, went
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row
from costlearn.intake.rows import row_text
from costlearn.intake.tables import Table, cell_text, column_at
from costlearn.intake.targets import fold_heading
from costlearn.vocabulary import fold

SPENT, RECEIVED, LEFT_OUT = "money spent", "money received", "leave this file out"
"""The answers to the question which way amounts above zero went."""
_CARD = frozenset(("card", "cards", "carte", "cartes", "owing", "owed", "visa"))
_BANK = frozenset(
    ("bank", "banque", "chequing", "checking", "savings", "epargne", "compte", "account")
)
_LEDGER = frozenset(("debit", "debits", "credit", "credits", "dr", "cr"))
"""Headings of money out and in that an account book may mean the other way round."""
_SHOWN = 3


@dataclass(frozen=True, slots=True)
class Signed:
    """Cents that went out by row (in is negative); rows that move money and are left open."""

    out: Mapping[int, int]
    open: tuple[Row, ...] = ()
    how: str = ""


def signed(table: Table, rows: Sequence[Row], setting: Setting) -> Signed:
    """Which way the money of each row went; where nothing tells, one question for the table."""
    single = {r.index: m.cents for r in rows if (m := r.money("amount")) is not None and m.cents}
    if table.column("out") or table.column("in"):
        return _two_columns(table, rows, setting)
    moved = [row for row in rows if row.index in single]
    if not moved:
        return Signed({})
    told, chart = setting.answers.get("sign", table.grid.file, table.grid.sheet), setting.chart
    if told == LEFT_OUT and not chart.sign:
        return Signed({}, how="is left out, as you answered")
    if chart.sign or (told and not chart.marker):
        way = chart.sign or (1 if told == SPENT else -1)
        who = "as the column map says" if chart.sign else "as you answered"
        text = f"amounts above zero are {SPENT if way > 0 else RECEIVED}, {who}"
        setting.notes.add("understood", table.place(table.header), text)
        return Signed({index: cents * way for index, cents in single.items()})
    found = (
        _by_marker(table, moved, single, chart.marker)
        or _by_balance(table, rows, single)
        or _by_words(moved, single)
    )
    if found is None:
        _ask(table, moved, sum(map(abs, single.values())), "amounts above zero", setting)
        return Signed({}, tuple(moved))
    setting.notes.add("understood", table.place(table.header), found.how)
    return found


def _two_columns(table: Table, rows: Sequence[Row], setting: Setting) -> Signed:
    """Money by a column for each way; a minus in one of them is how all of it is written."""
    outs = {r.index: m.cents for r in rows if (m := r.money("out")) is not None and m.cents}
    ins = {r.index: m.cents for r in rows if (m := r.money("in")) is not None and m.cents}
    flip = -1 if outs and all(cents < 0 for cents in outs.values()) else 1
    out = {index: cents * flip for index, cents in outs.items()}
    out |= {index: -abs(cents) for index, cents in ins.items() if index not in outs}
    words = [fold_heading(c.heading) for f in ("out", "in") if (c := table.column(f))]
    if not all(set(heading.split()) & _LEDGER for heading in words):
        return Signed(out)
    chain = follow([Step(-out.get(r.index, 0), _balance(r)) for r in rows])
    turned = {index: -cents for index, cents in out.items()}
    owed = _owed(table, rows, turned)
    if not chain.links or not chain.ordered or chain.sign == 1 or owed:
        return Signed(out)
    # The balance falls by what is called credit and rises by what is called debit: an account
    # book of money the firm has, or a card's of money it owes.
    told = setting.answers.get("sign", table.grid.file, table.grid.sheet)
    if told == LEFT_OUT:
        return Signed({}, how="is left out, as you answered")
    if told == SPENT:
        return Signed(out)
    if told == RECEIVED or owed is False:
        text = f"the balance rises by column '{words[0]}': what stands there is money received"
        setting.notes.add("understood", table.place(table.header), text)
        return Signed(turned)
    moved = [row for row in rows if row.index in out]
    total = sum(map(abs, out.values()))
    _ask(table, moved, total, f"amounts in column '{words[0]}'", setting)
    return Signed({}, tuple(moved))


def _balance(row: Row) -> int | None:
    money = row.money("balance")
    return None if money is None else money.cents


def _by_marker(
    table: Table, moved: Sequence[Row], single: Mapping[int, int], told: Marker | None
) -> Signed | None:
    """The way each row's own word says; signs must all go with it or all be left off."""
    cells = [table.grid.rows[row.index] for row in moved]
    if told is not None:
        heads = [cell_text(raw) for raw in table.grid.rows[table.header]]
        at = column_at(heads, told.column) or 0
        ways = [told.way(cell_text(row[at])) for row in cells]
    else:
        found = markers_in(cells)
        if found is None:
            return None
        at, ways = found
    sides = {(way, single[row.index] > 0) for row, way in zip(moved, ways, strict=True) if way}
    heading = cell_text(table.grid.rows[table.header][at])
    how = f"which way the money went is read from column '{heading}'"
    if {above for _, above in sides} == {True}:
        out = {r.index: single[r.index] * way for r, way in zip(moved, ways, strict=True) if way}
        return Signed(out, tuple(r for r in moved if r.index not in out), how)
    plus = {way for way, above in sides if above}
    minus = {way for way, above in sides if not above}
    if len(plus) > 1 or len(minus) > 1 or plus == minus:
        return None
    turn = plus.pop() if plus else -minus.pop()
    return Signed({index: cents * turn for index, cents in single.items()}, how=how)


def _by_balance(table: Table, rows: Sequence[Row], single: Mapping[int, int]) -> Signed | None:
    """The way the running balance went with each amount."""
    if table.column("balance") is None:
        return None
    steps = [Step(single.get(row.index, 0), _balance(row)) for row in rows]
    chain = follow(steps)
    how = "which way the money went follows from the running balance"
    if all(cents > 0 for cents in single.values()):
        rises = {rows[at].index: single[rows[at].index] * w for at, w in unsigned(steps).items()}
    elif chain.links > 1 and len(chain.breaks) * 3 <= chain.links:
        rises = {index: cents * chain.sign for index, cents in single.items()}
    else:
        rises = {}
    if not rises:
        return None
    owed = _owed(table, rows, {index: -cents for index, cents in rises.items()})
    turn = 1 if owed else -1
    out = {index: cents * turn for index, cents in rises.items()}
    for row in rows:
        # The first line has no balance before it: its own words may tell.
        way = went(row.text("description"))
        if row.index in single and row.index not in out and way:
            out[row.index] = abs(single[row.index]) * way
    left = tuple(row for row in rows if row.index in single and row.index not in out)
    return Signed(out, left, how)


def _owed(table: Table, rows: Sequence[Row], out: Mapping[int, int]) -> bool | None:
    """Whether a balance is money owed, as a card's is; None if neither words nor titles say.

    ``out`` is which way the money went if it is not.
    """
    said = {
        way == (1 if out[row.index] > 0 else -1)
        for row in rows
        if row.index in out and (way := went(row.text("description")))
    }
    if len(said) == 1:
        return not said.pop()
    heads = [cell_text(raw) for raw in table.grid.rows[table.header]]
    around = (table.grid.file, table.grid.sheet, *table.titles, *heads)
    words = {word for text in around for word in fold(text).split()}
    return True if words & _CARD else False if words & _BANK else None


def _by_words(moved: Sequence[Row], single: Mapping[int, int]) -> Signed | None:
    """The sign that goes with lines whose words say that money came in or went out."""
    said: set[int] = set()
    ways: set[int] = set()
    for row in moved:
        way = went(row.text("description"))
        if way:
            ways.add(way)
            said.add(way if single[row.index] > 0 else -way)
    both = len({cents > 0 for cents in single.values()}) == 2
    if len(said) != 1 or not (both or ways == {1}):
        return None
    turn = said.pop()
    what = SPENT if turn > 0 else RECEIVED
    how = f"amounts above zero are {what}: refunds, payments and the like stand on the other side"
    return Signed({index: cents * turn for index, cents in single.items()}, how=how)


def _ask(table: Table, moved: Sequence[Row], cents: int, which: str, setting: Setting) -> None:
    """Put the one question of a table whose amounts may be money out or money in."""
    samples = tuple(row_text(table, row.index) for row in moved[:_SHOWN])
    text = f"Are {which} money spent, or money received? The lines wait until you say."
    setting.ask(
        "sign",
        (table.grid.file, table.grid.sheet),
        moved[0].place,
        text,
        (SPENT, RECEIVED, LEFT_OUT),
        found=samples[0],
        waiting=len(moved),
        money=cents,
        holds=f"{len(moved)} line{'' if len(moved) == 1 else 's'} of this statement",
        samples=samples,
    )

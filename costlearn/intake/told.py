"""What a person said about the money of a sheet: kind of cost, tax, currency; asked until said."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.errors import Place
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row
from costlearn.intake.tables import Table

CURRENCY_CHOICES = ("three letters such as USD, CAD or EUR",)
_BARE = "amounts that name no currency"


def told_kind(
    about: Sequence[str], whose: str, place: Place, setting: Setting, found: str = ""
) -> str | None:
    """The cost kind a person gave for some lines, or None: then it is asked.

    Args:
        about: what names the question: a file and sheet, or a payee.
        whose: the lines in words.
        place: where the first of them stands.
        setting: holds the answers, and takes the question.
        found: the text met, such as the payee.
    """
    said = setting.answers.get("cost kind", *about)
    if said is not None:
        text = f"{whose}: cost kind '{said}', as you answered"
        setting.notes.once(("kind told", *about), "understood", place, text, found)
        return said
    kinds = tuple(k.key for k in setting.vocabulary.cost_kinds if k.key != "tax")
    question = f"Which kind of cost: {whose}? Not counted in any sum so far."
    setting.ask("cost kind", about, place, question, kinds, found=found)
    return None


def told_tax(table: Table, place: Place, setting: Setting) -> float | None:
    """The rate of tax a person said is in the totals of a sheet, or None: then it is asked."""
    sheet = (table.grid.file, table.grid.sheet)
    said = setting.answers.get("tax", *sheet)
    if said is not None:
        rate = float(said)
        text = f"totals hold {rate * 100:.6g} % tax on top of the net, as you answered"
        setting.notes.once(("tax told", table.grid.sheet), "understood", place, text)
        return rate
    question = "Which tax is in these totals? They are taken as they stand so far."
    setting.ask("tax", sheet, place, question, ("a rate, such as 13 %", "none"))
    return None


def told_currency(table: Table, setting: Setting) -> str | None:
    """The currency a person gave for the amounts of a sheet that name none."""
    return setting.answers.get("currency", table.grid.file, table.grid.sheet, _BARE)


def ask_currency(table: Table, rows: Sequence[Row], setting: Setting) -> None:
    """Ask which currency bare amounts are in, where others of the same sheet name a foreign one."""
    if told_currency(table, setting) is not None or table.column("currency") is not None:
        return
    named: set[str] = set()
    bare: list[Row] = []
    for row in rows:
        money = row.money("amount") or row.money("gross")
        if money is None:
            continue
        if money.currency:
            named.add(money.currency)
        else:
            bare.append(row)
    firm = setting.firm.currency
    if not bare or not named - {firm}:
        return
    others = ", ".join(sorted(named))
    text = (
        f"Which currency are the amounts that name none? Others on the sheet are in {others}; "
        f"the firm's, {firm}, is taken so far."
    )
    choices = tuple(dict.fromkeys((firm, *sorted(named))))
    about = (table.grid.file, table.grid.sheet, _BARE)
    setting.ask("currency", about, bare[0].place, text, choices, waiting=len(bare))

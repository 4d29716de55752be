"""What a person said about the money of a sheet: kind of cost, tax, currency; asked until said."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.errors import Place
from costlearn.intake.answers import NOT_A_COST
from costlearn.intake.readings import Setting
from costlearn.intake.row import Row
from costlearn.intake.tables import Table
from costlearn.vocabulary import fold

CURRENCY_CHOICES = ("three letters such as USD, CAD or EUR",)
_BARE = "amounts that name no currency"
_NO_COST = frozenset(
    ("transfer", "transfers", "payment", "payments", "card payment", "credit card payment",
     "virement", "paiement", "income", "revenu", "client payment", "owner draw", "draw")
)  # fmt: skip
"""Categories of what is no cost; common practice, no source."""


def told_kind(
    about: Sequence[str],
    whose: str,
    place: Place,
    setting: Setting,
    line: str = "",
    cents: int = 0,
    likely: str = "material",
) -> str | None:
    """The cost kind a person gave for some lines, or None: then it is asked.

    Args:
        about: what names the question: a word, a payee, or a file and sheet.
        whose: the lines in words.
        place: where the first of them stands.
        setting: holds the answers, and takes the question.
        line: the line met.
        cents: what waits on this line.
        likely: the kind that is suggested.
    """
    said = setting.answers.get("cost kind", *about)
    if said is not None:
        text = f"{whose}: {said}, as you answered"
        setting.notes.once(("kind told", *about), "understood", place, text, line)
        return said
    kinds = dict.fromkeys((likely, *(k.key for k in setting.vocabulary.cost_kinds)))
    choices = (*(kind for kind in kinds if kind != "tax"), NOT_A_COST)
    perhaps = f" (perhaps {likely})" if likely != "material" else ""
    question = f"Which kind of cost: {whose}{perhaps}? Counted as material so far."
    setting.ask(
        "cost kind", about, place, question, choices, found=whose, money=abs(cents), samples=(line,)
    )
    return None


def told_word(word: str, place: Place, setting: Setting, line: str, cents: int) -> str | None:
    """The cost kind a word of a file stands for; unknown words are asked, once each."""
    known, folded = setting.vocabulary.cost_words, fold(word)
    if folded in known:
        return known[folded]
    if word_says_none(word):
        return NOT_A_COST
    if setting.answers.get("cost kind", word) is None:
        kinds = {known[w] for w in folded.split() if w in known}
        if len(kinds) == 1:
            # "Job supplies", "Tile & grout": one known word, and none of another kind.
            (kind,) = kinds
            text = f"lines filed under '{word}' are {kind}"
            setting.notes.once(("kind word", folded), "understood", place, text, word)
            return kind
        text = f"cost kind '{word}' is not known; its lines wait"
        setting.notes.once(("kind word", folded), "asked", place, text, word)
    return told_kind((word,), f"lines filed under '{word}'", place, setting, line, cents)


def word_says_none(word: str) -> bool:
    """Whether a category says that a line is no cost: a transfer, a payment of the card.

    >>> word_says_none("Card payment"), word_says_none("Tile")
    (True, False)
    """
    return fold(word) in _NO_COST


def told_tax(table: Table, place: Place, setting: Setting, *, asked: bool = True) -> float | None:
    """The rate of tax a person said is in the totals of a sheet, or None: then it may be asked."""
    sheet = (table.grid.file, table.grid.sheet)
    said = setting.answers.get("tax", *sheet)
    if said is not None:
        rate = float(said)
        text = f"totals hold {rate * 100:.6g} % tax on top of the net, as you answered"
        setting.notes.once(("tax told", table.grid.sheet), "understood", place, text)
        return rate
    if not asked:
        return None
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

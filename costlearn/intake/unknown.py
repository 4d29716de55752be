"""Columns nobody knows: set aside, or one question with what its cells are and what follows."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.intake.answers import NONE, key_of
from costlearn.intake.findings import MOST_SAMPLES, Notes
from costlearn.intake.headers import DENIED, LEFT_ALONE, Match, asked_as
from costlearn.intake.looks import allows, profile
from costlearn.intake.tables import Table, cell_text
from costlearn.intake.targets import headings, reads_as
from costlearn.intake.values.cells import Raw, is_missing
from costlearn.intake.values.money import read_money
from costlearn.records import COST_KINDS, Question
from costlearn.units import say_count

TABLES_SAID = {
    "jobs": "a list of jobs",
    "phases": "a sheet of phases",
    "hours": "an hours log",
    "receipts": "a list of bills",
    "changes": "a list of changes",
    "scope": "a list of scope",
    "statement": "a bank or card statement",
}
_IF_AMOUNTS = ("cost", "price", "paid")
_IF_DATES = ("started", "finished", "quoted on")
_FOLLOWS = {
    "cost": "what the jobs cost you",
    "price": "the price you quoted",
    "paid": "what the client paid",
    "started": "the first day on site",
    "finished": "the last day on site",
    "quoted on": "the day of the quote",
}
_COST_AT_LEAST = 100_00
"""Cents from which a figure on a list of jobs may be what a job cost."""


def note_unknown(table: Table, heading: str, match: Match, notes: Notes) -> None:
    """Say that a column is not used, or ask what it is where that matters.

    It matters where a known heading is near it, where its cells are none of what its heading says,
    or where they may be what the jobs cost or when they were: all answers rest on these.
    """
    place = table.place(table.body - 1, heading)
    if match.field and match.how in ("exact", "close"):
        text = f"column '{heading}' is not used: another column says the same already"
        notes.add("set aside", place, text, heading)
        return
    if match == LEFT_ALONE:
        text = f"column '{heading}' is left alone, as you answered"
        notes.add("understood", place, text, heading)
        return
    cells = _cells(table, heading)
    likely = _likely(table, cells)
    near = _allowed(table, match.near, cells) if match.how == "ask" else ()
    if not near and not {"cost", *_IF_DATES} & set(likely):
        denied = match.how == DENIED
        why = "its cells are something else" if denied else "no field is headed like it"
        notes.add("set aside", place, f"column '{heading}' is not used: {why}", heading)
        return
    words = tuple(dict.fromkeys((*likely, *near)))
    named = ", ".join(f"'{word}'" for word in words)
    notes.add("asked", place, f"column '{heading}' is not used; is it {named}?", heading)
    _ask(table, heading, words, cells, notes)


def _allowed(table: Table, near: Sequence[str], cells: Sequence[Raw]) -> tuple[str, ...]:
    """The headings a column may mean: its cells can be such, and no other column is that already.

    "Card" and "cash" are no amount.
    """
    known, found = headings().fields[table.kind], profile([(raw,) for raw in cells], 0)
    given = {column.field for column in table.columns}
    ways = ((word, known.get(word, "")) for word in near if known.get(word) not in given)
    read = ((word, reads_as(table.kind, field)) for word, field in ways)
    return tuple(word for word, how in read if how is None or allows(found, how))


def _ask(
    table: Table, heading: str, words: Sequence[str], cells: Sequence[Raw], notes: Notes
) -> None:
    count = say_count(len(cells), "job" if table.kind == "jobs" else "row")
    choices = [
        f"{word} ({_FOLLOWS[word]}: {count})" if word in _FOLLOWS else word for word in words
    ]
    choices += ["any other heading costlearn knows", f"{NONE} (leave it out)"]
    place = table.place(table.body - 1, heading)
    amounts = [money.cents for raw in cells if (money := read_money(raw, ranges=True).value)]
    asked = Question(
        key_of("column", *asked_as(heading, table.kind)),
        "column",
        place,
        heading,
        f"What is in the column '{heading}' of {TABLES_SAID[table.kind]}? It is not used so far.",
        tuple(choices),
        max(len(cells), 1),
        sum(amounts) if words[0] in _IF_AMOUNTS else 0,
        count,
        tuple(dict.fromkeys(cell_text(raw) for raw in cells))[:MOST_SAMPLES],
    )
    notes.ask(asked)


def _cells(table: Table, heading: str) -> list[Raw]:
    """What stands in the column of a heading."""
    heads = table.grid.rows[table.body - 1]
    at = next((i for i, raw in enumerate(heads) if cell_text(raw) == heading and raw), None)
    if at is None:
        return []
    rows = table.grid.rows[table.body :]
    return [row[at] for row in rows if at < len(row) and not is_missing(row[at])]


def _likely(table: Table, cells: Sequence[Raw]) -> tuple[str, ...]:
    """What a column of a job list may be by its cells, of what the list does not give already."""
    if table.kind != "jobs" or not cells:
        return ()
    given = {column.field for column in table.columns}
    looks = profile([(raw,) for raw in cells], 0)
    if looks.share(("date",)) > 0.5:
        dated = given & {"started", "finished", "quoted_on"}
        return () if dated else _IF_DATES
    if looks.running or looks.references:
        return ()
    amounts = [money for raw in cells if (money := read_money(raw, ranges=True).value) is not None]
    if 2 * sum(money.cents >= _COST_AT_LEAST for money in amounts) < len(cells):
        return ()
    if given & {f"actual.{measure}" for measure in ("cost", *COST_KINDS)}:
        given.add("cost")
    return tuple(word for word in _IF_AMOUNTS if word not in given)

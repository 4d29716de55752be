"""Entries and findings as rows of the job book's tables, and back, without loss."""

from __future__ import annotations

import math
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property, lru_cache
from operator import attrgetter
from typing import Any

from costlearn.errors import BookProblem, Place
from costlearn.fields import Column, columns
from costlearn.records import (
    NOTHING,
    Amounts,
    ChangeEntry,
    CostEntry,
    Entry,
    Finding,
    HoursEntry,
    JobEntry,
    PhaseEntry,
    Question,
    job_key,
)
from costlearn.tidy import spans_of, spans_text

Row = tuple[Any, ...]

_WIDEST = 2**63 - 1
_LONG = 10**60
"""A longer number fills no sentence; Python writes out none of thousands of figures."""


@dataclass(frozen=True)
class Table:
    """One table of entries: what it holds, its columns, and what makes two of its rows one thing.

    ``alike`` are the fields by which a row of a changed file is recognised as the same thing with
    other figures.
    """

    name: str
    says: str
    holds: type[Entry] | type[Finding] | type[Question]
    alike: tuple[str, ...]

    @cached_property
    def declared(self) -> tuple[Column, ...]:
        """The record's own values that are columns; the scope of a job has a table of its own."""
        return tuple(c for c in columns(self.holds) if c.style != "scope")

    @cached_property
    def columns(self) -> tuple[str, ...]:
        """The columns behind the common ones."""
        return tuple(column.path.replace(".", "_") for column in self.declared)

    @cached_property
    def values_of(self) -> Callable[[Any], Row]:
        """A function that gives a record's own values in the order of the columns."""
        return attrgetter(*(column.path for column in self.declared))


JOBS = Table("job_entry", "job rows", JobEntry, ("job",))
PHASES = Table("phase_entry", "phase rows", PhaseEntry, ("job", "phase"))
HOURS = Table("hours_entry", "hours rows", HoursEntry, ("job", "person", "day", "phase"))
COSTS = Table("cost_entry", "cost lines", CostEntry, ("payee", "document", "day"))
CHANGES = Table("change_entry", "change orders", ChangeEntry, ("job", "label"))
FINDINGS = Table("finding", "findings", Finding, ())
QUESTIONS = Table("question", "questions", Question, ())

TABLES = (JOBS, PHASES, HOURS, COSTS, CHANGES)
"""The tables of entries."""

COMMON = ("file_id", "seq", "place_file", "sheet", "row", "col")


def content(table: Table, record: Entry | Finding | Question) -> Row:
    """A record's own values in the order of the table's columns, its place left out.

    Raises:
        BookProblem: a number that is none, or too large to be kept.
    """
    return tuple(_kept(value, record.place) for value in table.values_of(record))


def scope_of(record: Entry | Finding | Question) -> tuple[tuple[str, float | None], ...]:
    """The scope items of a job row with their sizes; none for anything else.

    Raises:
        BookProblem: a size that is no number.
    """
    if not isinstance(record, JobEntry):
        return ()
    return tuple((item, _kept(size, record.place)) for item, size in record.scope.items())


def _kept(value: Any, place: Place) -> Any:
    """A value as the book keeps it."""
    if value is None or type(value) is str:
        return value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, bool):
        return int(value)
    if isinstance(value, tuple):
        return "\n".join(value)
    if isinstance(value, Mapping):
        return spans_text(value)
    if isinstance(value, float) and not math.isfinite(value):
        raise BookProblem(f"{value} is no number a book can keep", place=place)
    if isinstance(value, int) and abs(value) > _WIDEST:
        shown = str(value) if abs(value) < _LONG else f"a number beyond {_LONG:.0e}"
        raise BookProblem(f"{shown} is too large to be kept", place=place)
    return value


def write(
    connection: sqlite3.Connection, file_id: int, file: str, records: Iterable[tuple[int, Any]]
) -> None:
    """Insert numbered entries, findings or questions of one file.

    Raises:
        BookProblem: a value the book cannot hold; the sentence names its place.
    """
    orders = {table.holds: (table, _insert(table)) for table in (*TABLES, FINDINGS, QUESTIONS)}
    for seq, record in records:
        table, order = orders[type(record)]
        place = record.place
        where = (file_id, seq, None if place.file == file else place.file)
        row = _kept(place.row, replace(place, row=0))
        values = (*where, place.sheet, row, place.column, *content(table, record))
        scope = scope_of(record)
        try:
            done = connection.execute(order, values)
            if scope:
                _write_scope(connection, int(done.lastrowid or 0), scope)
        except sqlite3.IntegrityError as problem:
            raise BookProblem(
                f"a value does not fit the table of {table.says} ({problem})", place=place
            ) from problem


def _insert(table: Table) -> str:
    names = (*COMMON, *table.columns)
    marks = ", ".join("?" * len(names))
    return f"INSERT INTO {table.name} ({', '.join(names)}) VALUES ({marks})"  # noqa: S608


def _write_scope(
    connection: sqlite3.Connection, job: int, scope: Sequence[tuple[str, float | None]]
) -> None:
    connection.executemany(
        "INSERT INTO scope (job_entry_id, position, item, quantity) VALUES (?, ?, ?, ?)",
        [(job, position, item, size) for position, (item, size) in enumerate(scope)],
    )


def read(
    connection: sqlite3.Connection, table: Table, file_id: int | None = None
) -> Iterator[tuple[int, int, Any]]:
    """A table's records with their file's number and their rank, in the order of import."""
    chosen = "" if file_id is None else "WHERE e.file_id = ?"
    names = ", ".join(f"e.{name}" for name in (*COMMON, *table.columns))
    order = (
        f"SELECT e.id, f.name, {names} FROM {table.name} AS e "  # noqa: S608
        f"JOIN source_file AS f ON f.id = e.file_id {chosen} ORDER BY e.file_id, e.seq"
    )
    build = _builder(table)
    for row in connection.execute(order, () if file_id is None else (file_id,)):
        key, file, owner, seq, elsewhere, sheet, line, column = row[:8]
        given: dict[str, Any] = {"place": Place(elsewhere or file, sheet, line, column)}
        if table is JOBS:
            given["scope"] = dict(
                connection.execute(
                    "SELECT item, quantity FROM scope WHERE job_entry_id = ? ORDER BY position",
                    (key,),
                )
            )
        yield owner, seq, build(row[8:], given)


def _builder(table: Table) -> Callable[[Row, dict[str, Any]], Any]:
    """A function that makes a record of a table's row; what each column needs is settled once."""
    sides: dict[str, list[int]] = {}
    as_kept: list[tuple[str, int]] = []
    turned: list[tuple[str, int, Callable[[Any], Any]]] = []
    for at, column in enumerate(table.declared):
        turn = _TURNS.get(column.style)
        if column.amount:
            sides.setdefault(column.field, []).append(at)
        elif turn is None:
            as_kept.append((column.field, at))
        else:
            turned.append((column.field, at, turn))
    spans = [(side, at[0], at[-1] + 1) for side, at in sides.items()]

    def build(row: Row, given: dict[str, Any]) -> Any:
        for name, at in as_kept:
            given[name] = row[at]
        for name, at, turn in turned:
            value = row[at]
            given[name] = None if value is None else turn(value)
        for name, start, end in spans:
            known = row[start:end]
            empty = all(value is None for value in known)
            given[name] = NOTHING if empty else Amounts(*known)
        return table.holds(**given)

    return build


_day = lru_cache(maxsize=1 << 14)(date.fromisoformat)
"""A day from its ISO text, remembered: a log names each day many times."""


def _list(text: str) -> tuple[str, ...]:
    return tuple(text.split("\n")) if text else ()


_TURNS: Mapping[str, Callable[[Any], Any]] = {
    **{"date": _day, "flag": bool, "spans": spans_of, "list": _list}
}
"""How the values of a style come back as what they were; others are kept as they are."""


def job_names(connection: sqlite3.Connection, table: Table) -> list[tuple[str, int, Place]]:
    """The names of jobs in a table as written, how many rows have each, and the first one's place.

    A name of blanks alone is none.
    """
    order = (
        f"SELECT n.job, n.rows, coalesce(e.place_file, f.name), e.sheet, e.row, e.col "  # noqa: S608
        f"FROM (SELECT job, count(*) AS rows, min(id) AS first FROM {table.name} "
        f"WHERE trim(job) <> '' GROUP BY job) AS n "
        f"JOIN {table.name} AS e ON e.id = n.first JOIN source_file AS f ON f.id = e.file_id "
        "ORDER BY n.first"
    )
    return [(job, rows, Place(*place)) for job, rows, *place in connection.execute(order)]


def compare(table: Table, old: Iterable[Any], new: Iterable[Any]) -> tuple[int, int, int]:
    """How many rows a changed file added, removed and changed; moved rows are the same rows.

    Rows alike in every value are the same wherever they stand. Of the others, an old and a new row
    that speak of the same thing (``table.alike``) are one changed row.
    """
    before = Counter(_mark(table, record) for record in old)
    after = Counter(_mark(table, record) for record in new)
    gone, come = before - after, after - before
    gone_things, come_things = _things(gone), _things(come)
    changed = sum((gone_things & come_things).values())
    return come.total() - changed, gone.total() - changed, changed


def _things(marks: Counter[tuple[Row, Row]]) -> Counter[Row]:
    """How many of some rows speak of each thing."""
    things: Counter[Row] = Counter()
    for (_, thing), count in marks.items():
        things[thing] += count
    return things


def _mark(table: Table, record: Any) -> tuple[Row, Row]:
    """A record's whole content, and the thing it speaks of."""
    thing = tuple(
        job_key(value) if name == "job" and value else value
        for name in table.alike
        for value in (getattr(record, name),)
    )
    scope = tuple(sorted(scope_of(record), key=lambda pair: pair[0]))
    return (*content(table, record), scope), thing

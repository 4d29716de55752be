"""The numbered changes of a book's tables: rows of an older book come through them unharmed."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

from costlearn.book import schema
from costlearn.book.store import Book
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import Batch, CostEntry, HoursEntry

ROWS = (
    "INSERT INTO source_file VALUES (1, 'old.csv', '', 'd-old', '2025-01-01T00:00:00+00:00')",
    "INSERT INTO hours_entry (file_id, seq, sheet, row, col, job, person, day, hours, phase, "
    "waiting, notes) VALUES (1, 0, '', 2, '', 'J-1', 'Ann', '2025-03-04', 8.0, 'tile', 0, '')",
    "INSERT INTO cost_entry (file_id, seq, sheet, row, col, job, kind, net, day, payee, document, "
    "notes) VALUES (1, 1, '', 3, '', 'J-1', 'material', 40000, '2025-03-05', 'Yard', '77', '')",
)


def old_book(path: Path, version: int) -> None:
    """A book as an earlier version of the tables had it, with a row of hours and a cost line."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for step in schema.STEPS[:version]:
            for statement in step:
                connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {version}")
        for row in ROWS:
            connection.execute(row)


def test_rows_from_before_call_backs_are_no_call_backs(tmp_path: Path) -> None:
    for version in (1, 2):
        path = tmp_path / f"firm{version}.book"
        old_book(path, version)
        with Book.open(path) as book:
            place = Place("old.csv", "", 2)
            assert list(book.entries()) == [
                HoursEntry("J-1", "Ann", date(2025, 3, 4), 8.0, place, "tile"),
                CostEntry(
                    "J-1",
                    "material",
                    40_000,
                    Place("old.csv", "", 3),
                    day=date(2025, 3, 5),
                    payee="Yard",
                    document="77",
                ),
            ]
            back = HoursEntry("J-1", "Ann", None, 2.0, Place("new.csv"), callback_of="tile")
            book.add(Batch("new.csv", "d-new", (back,), ()))
            assert list(book.entries())[-1] == back
        with closing(sqlite3.connect(path)) as connection:
            assert schema.version_of(connection) == schema.newest()


def test_rates_of_exchange_are_kept(tmp_path: Path) -> None:
    rates = {"USD": {"2025-01-01": 1.44, "2025-06-01": 1.37}}
    with Book.open(tmp_path / "firm.book") as book:
        book.set_firm(Firm(currency="CAD", exchange=rates))
    with Book.open(tmp_path / "firm.book") as book:
        assert book.firm().exchange == rates

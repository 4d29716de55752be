"""How many rows a file has, brings or changes, table by table."""

from __future__ import annotations

import sqlite3

from costlearn.book import rows
from costlearn.book.changes import Count
from costlearn.records import Batch


def count(connection: sqlite3.Connection, table: rows.Table, file_id: int) -> int:
    """How many rows a file has in a table."""
    order = f"SELECT count(*) FROM {table.name} WHERE file_id = ?"  # noqa: S608
    return int(connection.execute(order, (file_id,)).fetchone()[0])


def rows_of(batch: Batch) -> tuple[Count, ...]:
    """The rows a new file brings, by table."""
    return tuple(
        Count(table.says, number, 0, 0)
        for table in rows.TABLES
        if (number := sum(isinstance(entry, table.holds) for entry in batch.entries))
    )


def compare(connection: sqlite3.Connection, file_id: int, batch: Batch) -> tuple[Count, ...]:
    """What differs between a file's rows on record and its rows now."""
    counts: list[Count] = []
    for table in rows.TABLES:
        old = (entry for _, _, entry in rows.read(connection, table, file_id))
        new = (entry for entry in batch.entries if isinstance(entry, table.holds))
        added, removed, changed = rows.compare(table, old, new)
        if added or removed or changed:
            counts.append(Count(table.says, added, removed, changed))
    return tuple(counts)

"""What an import did to the book, and what the book says about a file."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Count:
    """How many rows of one table an import added, removed and changed."""

    entry: str
    added: int
    removed: int
    changed: int

    def __str__(self) -> str:
        said = [
            f"{number:,} {word}"
            for number, word in (
                (self.added, "added"),
                (self.removed, "removed"),
                (self.changed, "changed"),
            )
            if number
        ]
        return f"{self.entry}: {', '.join(said)}"


@dataclass(frozen=True, slots=True)
class Change:
    """What an import or a removal did to the book.

    ``kind`` is ``"new"``, ``"changed"``, ``"unchanged"`` or ``"removed"``; ``counts`` name only the
    tables in which something happened; ``same_as`` is the file on record that has the same content.
    """

    file: str
    kind: str
    counts: tuple[Count, ...] = ()
    same_as: str = ""

    @property
    def sentence(self) -> str:
        """The change in one sentence."""
        if self.kind == "unchanged" and self.same_as not in ("", self.file):
            return f"{self.file}: the book has its content already, as {self.same_as}."
        if self.kind == "unchanged":
            return f"{self.file}: nothing new, the book has this file already."
        said = "; ".join(str(count) for count in self.counts)
        if self.kind == "changed" and not said:
            return f"{self.file}: the file changed, but none of its rows did."
        return f"{self.file}: {self.kind}{', ' + said if said else ''}."


@dataclass(frozen=True, slots=True)
class FileLine:
    """One file on record: its name in the book, when it was imported, and what it gave."""

    name: str
    digest: str
    imported_at: datetime
    counts: tuple[tuple[str, int], ...]
    findings: int


def log(connection: sqlite3.Connection, change: Change, digest: str, now: str) -> Change:
    """Put a change on record."""
    done = connection.execute(
        "INSERT INTO change_log (at, file, kind, digest) VALUES (?, ?, ?, ?)",
        (now, change.file, change.kind, digest),
    )
    connection.executemany(
        "INSERT INTO change_count VALUES (?, ?, ?, ?, ?)",
        [(done.lastrowid, c.entry, c.added, c.removed, c.changed) for c in change.counts],
    )
    return change


def logged(connection: sqlite3.Connection) -> tuple[tuple[datetime, Change], ...]:
    """The changes on record with their moments, oldest first."""
    counts: dict[int, list[Count]] = {}
    for number, *line in connection.execute(
        "SELECT change_id, entry, added, removed, changed FROM change_count"
    ):
        counts.setdefault(number, []).append(Count(*line))
    listed = connection.execute("SELECT id, at, file, kind FROM change_log ORDER BY id")
    return tuple(
        (datetime.fromisoformat(at), Change(file, kind, tuple(counts.get(number, ()))))
        for number, at, file, kind in listed
    )

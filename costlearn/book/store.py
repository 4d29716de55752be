"""The job book in use: add and remove files, each in one transaction; read the history back."""

from __future__ import annotations

import hashlib
import heapq
import json
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import fields
from datetime import UTC, datetime
from operator import itemgetter
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from costlearn.assembly import assemble
from costlearn.book import rows
from costlearn.book.changes import Change, Count, FileLine
from costlearn.book.opening import connect, connect_in_memory, speaking
from costlearn.errors import InputProblem, Place
from costlearn.firm import Firm
from costlearn.records import Batch, Entry, Finding, History


class Book:
    """One firm's job book. Use it in a ``with`` block; every change is whole or not at all.

    A file is known by its name: the path below the book's folder if it lies there, so that two
    ``jobs.csv`` in two yearly folders are two files, and the folder may move with the book. A file
    elsewhere is known by its bare name; a second one of that name from another folder gets a short
    mark of its folder behind the name. Content the book has under another name is not added twice.

    >>> with Book.in_memory() as book:
    ...     book.history().jobs
    ()
    """

    def __init__(self, connection: sqlite3.Connection, path: Path | None) -> None:
        self._connection = connection
        self._path = path

    @classmethod
    def open(cls, path: Path, *, create: bool = True) -> Book:
        """Open the book at a path, or start one there.

        An older book is first copied beside itself, then brought up to date.

        Raises:
            BookProblem: the file is no job book, is damaged, or cannot be opened or written.
            NewerBook: it was written by a later version; it is left untouched.
        """
        return cls(connect(path, create=create), path)

    @classmethod
    def in_memory(cls) -> Book:
        """A new book that is gone when it is closed."""
        return cls(connect_in_memory(), None)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the book; a closed book can be closed again."""
        self._connection.close()

    def add(self, batch: Batch, path: Path | None = None) -> Change:
        """Add all that one file gave, or replace what an earlier state of it gave.

        Args:
            batch: the file's entries and findings.
            path: where the file lies; without it ``batch.file`` is taken for its path.

        Raises:
            InputProblem: a file on record now has the content of another one on record.
            BookProblem: a value the book cannot hold, a full disk, a book in use elsewhere; the
                book is then as it was before.
        """
        with self._change() as connection:
            folder, name = self._name(path.resolve() if path else Path(batch.file))
            known = connection.execute(
                "SELECT id, digest FROM source_file WHERE name = ?", (name,)
            ).fetchone()
            twin = connection.execute(
                "SELECT name FROM source_file WHERE digest = ? ORDER BY name <> ?",
                (batch.digest, name),
            ).fetchone()
            if twin is not None and (known is None or twin[0] == name):
                return Change(name, "unchanged", same_as=twin[0])
            if twin is not None:
                raise InputProblem(
                    f"it now has the same content as {twin[0]}, which is in the book",
                    place=Place(name),
                    expected="each file's own content",
                    hint="remove one of the two from the book, or mend the file",
                )
            now = datetime.now(UTC).isoformat(timespec="seconds")
            if known:
                kind, file_id = "changed", int(known[0])
                counts = self._compare(file_id, batch)
                self._clear(file_id)
                connection.execute(
                    "UPDATE source_file SET digest = ?, imported_at = ? WHERE id = ?",
                    (batch.digest, now, file_id),
                )
            else:
                kind, counts = "new", rows_of(batch)
                done = connection.execute(
                    "INSERT INTO source_file (name, folder, digest, imported_at) "
                    "VALUES (?, ?, ?, ?)",
                    (name, folder, batch.digest, now),
                )
                file_id = int(done.lastrowid or 0)
            rows.write(connection, file_id, batch.file, enumerate(batch.entries))
            rows.write(connection, file_id, batch.file, enumerate(batch.findings))
            return self._log(Change(name, kind, counts), batch.digest, now)

    def remove(self, file: str) -> Change:
        """Take a file and all its rows out of the book; its removal stays on record.

        Raises:
            InputProblem: the book has no file of that name.
            BookProblem: the book cannot be changed; it is then as it was before.
        """
        with self._change() as connection:
            found = connection.execute(
                "SELECT id, digest FROM source_file WHERE name = ?", (file,)
            ).fetchone()
            if found is None:
                names = [line[0] for line in connection.execute("SELECT name FROM source_file")]
                raise InputProblem(
                    f"the book has no file '{file}'",
                    expected="one of " + ", ".join(sorted(names)) if names else "",
                    hint="" if names else "the book is empty",
                )
            file_id, digest = found
            counts = tuple(
                Count(table.says, 0, number, 0)
                for table in rows.TABLES
                if (number := self._count(table, file_id))
            )
            connection.execute("DELETE FROM source_file WHERE id = ?", (file_id,))
            now = datetime.now(UTC).isoformat(timespec="seconds")
            return self._log(Change(file, "removed", counts), digest, now)

    def files(self) -> tuple[FileLine, ...]:
        """The files on record, in the order they were first imported.

        Raises:
            BookProblem: the book cannot be read.
        """
        with self._reading() as connection:
            listed = connection.execute(
                "SELECT id, name, digest, imported_at FROM source_file ORDER BY id"
            ).fetchall()
            return tuple(
                FileLine(
                    name,
                    digest,
                    datetime.fromisoformat(at),
                    tuple(
                        (table.says, number)
                        for table in rows.TABLES
                        if (number := self._count(table, file_id))
                    ),
                    self._count(rows.FINDINGS, file_id),
                )
                for file_id, name, digest, at in listed
            )

    def findings(self, file: str | None = None) -> tuple[Finding, ...]:
        """What was understood, proposed, set aside, asked and checked, of all files or of one.

        Raises:
            InputProblem: the book has no file of that name.
            BookProblem: the book cannot be read.
        """
        with self._reading() as connection:
            file_id: int | None = None
            if file is not None:
                found = connection.execute(
                    "SELECT id FROM source_file WHERE name = ?", (file,)
                ).fetchone()
                if found is None:
                    raise InputProblem(f"the book has no file '{file}'")
                file_id = int(found[0])
            return tuple(f for _, _, f in rows.read(connection, rows.FINDINGS, file_id))

    def changes(self) -> tuple[tuple[datetime, Change], ...]:
        """All imports and removals that changed the book, oldest first, with their moments in UTC.

        Raises:
            BookProblem: the book cannot be read.
        """
        with self._reading() as connection:
            logged = connection.execute("SELECT id, at, file, kind FROM change_log ORDER BY id")
            return tuple(
                (
                    datetime.fromisoformat(at),
                    Change(
                        file,
                        kind,
                        tuple(
                            Count(*line)
                            for line in connection.execute(
                                "SELECT entry, added, removed, changed FROM change_count "
                                "WHERE change_id = ?",
                                (change_id,),
                            )
                        ),
                    ),
                )
                for change_id, at, file, kind in logged.fetchall()
            )

    def firm(self) -> Firm:
        """The firm's settings; conventions where nothing is set.

        Raises:
            BookProblem: the book cannot be read.
            InputProblem: a setting in it cannot be used.
        """
        with self._reading() as connection:
            kept = connection.execute("SELECT key, value FROM setting").fetchall()
            place = Place(str(self._path or ""))
            return Firm().changed({key: json.loads(value) for key, value in kept}, place=place)

    def set_firm(self, firm: Firm) -> None:
        """Keep a firm's settings in the book, in place of those it had.

        Raises:
            BookProblem: the book cannot be changed; it is then as it was before.
        """
        usual = Firm()
        kept = [
            (f.name, json.dumps(_plain(getattr(firm, f.name)), ensure_ascii=False))
            for f in fields(firm)
            if getattr(firm, f.name) != getattr(usual, f.name)
        ]
        with self._change() as connection:
            connection.execute("DELETE FROM setting")
            connection.executemany("INSERT INTO setting (key, value) VALUES (?, ?)", kept)

    def entries(self) -> Iterator[Entry]:
        """All entries of all files, file by file in the order of import.

        Read them to the end before changing the book.

        Raises:
            BookProblem: the book cannot be read.
        """
        with speaking(self._path):
            streams = [rows.read(self._connection, table) for table in rows.TABLES]
            for _, _, entry in heapq.merge(*streams, key=itemgetter(0, 1)):
                yield entry

    def history(self) -> History:
        """The firm and all its jobs, as all files together tell them.

        Raises:
            BookProblem: the book cannot be read.
        """
        with self._reading():
            return assemble(self.entries(), self.firm())

    @contextmanager
    def _change(self) -> Iterator[sqlite3.Connection]:
        """One transaction that is kept whole, or undone if anything goes wrong."""
        with speaking(self._path):
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield self._connection
                self._connection.execute("COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        """One view of the book, unmoved by what others write meanwhile."""
        with speaking(self._path):
            if self._connection.in_transaction:
                yield self._connection
                return
            self._connection.execute("BEGIN")
            try:
                yield self._connection
            finally:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")

    def _name(self, path: Path) -> tuple[str, str]:
        """The mark of a file's folder, and the name it has in the book.

        The mark is ``"."`` below the book's own folder, empty where the folder is not known.
        """
        base = wanted = path.name
        mark = ""
        if path.parent != Path():
            whole = path.resolve()
            home = self._path.resolve().parent if self._path is not None else None
            if home is not None and whole.is_relative_to(home):
                mark, wanted = ".", whole.relative_to(home).as_posix()
            else:
                mark = hashlib.sha256(str(whole.parent).encode()).hexdigest()[:8]
        other = f"./{wanted}" if mark == "." else f"{base} ({mark})"
        mine = self._connection.execute(
            "SELECT name FROM source_file WHERE folder = ? AND name IN (?, ?)",
            (mark, wanted, other),
        ).fetchone()
        if mine is not None:
            return mark, str(mine[0])
        holder = self._connection.execute(
            "SELECT folder FROM source_file WHERE name = ?", (wanted,)
        ).fetchone()
        free = holder is None or "" in (mark, holder[0])
        return mark, wanted if free else other

    def _compare(self, file_id: int, batch: Batch) -> tuple[Count, ...]:
        """What differs between a file's rows on record and its rows now."""
        counts: list[Count] = []
        for table in rows.TABLES:
            old = (entry for _, _, entry in rows.read(self._connection, table, file_id))
            new = (entry for entry in batch.entries if isinstance(entry, table.holds))
            added, removed, changed = rows.compare(table, old, new)
            if added or removed or changed:
                counts.append(Count(table.says, added, removed, changed))
        return tuple(counts)

    def _clear(self, file_id: int) -> None:
        """Delete all rows of a file, not the file itself."""
        for table in (*rows.TABLES, rows.FINDINGS):
            self._connection.execute(
                f"DELETE FROM {table.name} WHERE file_id = ?",  # noqa: S608
                (file_id,),
            )

    def _count(self, table: rows.Table, file_id: int) -> int:
        """How many rows a file has in a table."""
        order = f"SELECT count(*) FROM {table.name} WHERE file_id = ?"  # noqa: S608
        return int(self._connection.execute(order, (file_id,)).fetchone()[0])

    def _log(self, change: Change, digest: str, now: str) -> Change:
        """Put a change on record."""
        done = self._connection.execute(
            "INSERT INTO change_log (at, file, kind, digest) VALUES (?, ?, ?, ?)",
            (now, change.file, change.kind, digest),
        )
        self._connection.executemany(
            "INSERT INTO change_count VALUES (?, ?, ?, ?, ?)",
            [(done.lastrowid, c.entry, c.added, c.removed, c.changed) for c in change.counts],
        )
        return change


def _plain(value: Any) -> Any:
    """A setting's value as JSON writes it."""
    return dict(value) if isinstance(value, Mapping) else value


def rows_of(batch: Batch) -> tuple[Count, ...]:
    """The rows a new file brings, by table."""
    return tuple(
        Count(table.says, number, 0, 0)
        for table in rows.TABLES
        if (number := sum(isinstance(entry, table.holds) for entry in batch.entries))
    )

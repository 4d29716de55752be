"""The job book in use: add and remove files, each in one transaction; read the history back."""

from __future__ import annotations

import heapq
import json
import sqlite3
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import fields
from datetime import UTC, datetime
from operator import itemgetter
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from costlearn.assembly import assemble
from costlearn.book import kept, rows
from costlearn.book.changes import Change, Count, FileLine, log, logged
from costlearn.book.counting import compare, count, rows_of
from costlearn.book.kept import Answered, Source
from costlearn.book.naming import name_in_book, named, same_content
from costlearn.book.opening import connect, connect_in_memory, speaking
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import Batch, Entry, Finding, History, Question


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

    def add(self, batch: Batch, path: Path | None = None, source: Source | None = None) -> Change:
        """Add all that one file gave, or replace what an earlier state of it gave.

        Args:
            batch: the file's entries, findings and questions.
            path: where the file lies; without it, or where the batch goes by a name of its own,
                ``batch.file`` is taken for its path.
            source: the file as it came; with it, later answers reach the file's rows too.

        Raises:
            InputProblem: a file on record now has the content of another one on record.
            BookProblem: a value the book cannot hold, a full disk, a book in use elsewhere; the
                book is then as it was before.
        """
        with self._change() as connection:
            where = path.resolve() if path and path.name == batch.file else Path(batch.file)
            folder, name = name_in_book(connection, self._path, where)
            known = connection.execute(
                "SELECT id FROM source_file WHERE name = ?", (name,)
            ).fetchone()
            same = same_content(connection, name, known and known[0], batch, source)
            if same:
                return Change(name, "unchanged", same_as=same)
            now = datetime.now(UTC).isoformat(timespec="seconds")
            if known:
                kind, file_id = "changed", int(known[0])
                counts = compare(connection, file_id, batch)
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
            self._fill(file_id, batch)
            if source is not None:
                kept.write_source(connection, file_id, source)
            return log(connection, Change(name, kind, counts), batch.digest, now)

    def remove(self, file: str) -> Change:
        """Take a file and all its rows out of the book; its removal stays on record.

        Args:
            file: its name in the book, a path to it, or the end of its name alone.

        Raises:
            InputProblem: no file on record is meant by it, or several are.
            BookProblem: the book cannot be changed; it is then as it was before.
        """
        with self._change() as connection:
            file_id, name, digest = named(connection, self._path, file)
            counts = tuple(
                Count(table.says, 0, number, 0)
                for table in rows.TABLES
                if (number := count(connection, table, file_id))
            )
            connection.execute("DELETE FROM source_file WHERE id = ?", (file_id,))
            now = datetime.now(UTC).isoformat(timespec="seconds")
            return log(connection, Change(name, "removed", counts), digest, now)

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
                        if (number := count(connection, table, file_id))
                    ),
                    count(connection, rows.FINDINGS, file_id),
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
            file_id = None if file is None else named(connection, self._path, file)[0]
            return tuple(f for _, _, f in rows.read(connection, rows.FINDINGS, file_id))

    def changes(self) -> tuple[tuple[datetime, Change], ...]:
        """All imports and removals that changed the book, oldest first, with their moments in UTC.

        Raises:
            BookProblem: the book cannot be read.
        """
        with self._reading() as connection:
            return logged(connection)

    def questions(self) -> tuple[Question, ...]:
        """What only a person can say, as the files on record raise it and nobody answered yet.

        One question may come from several files; each of them is listed.

        Raises:
            BookProblem: the book cannot be read.
        """
        with self._reading() as connection:
            said = {one.question.key for one in kept.read_answers(connection)}
            listed = [asked for _, _, asked in rows.read(connection, rows.QUESTIONS)]
            return tuple(asked for asked in listed if asked.key not in said)

    def job_names(self) -> tuple[list[tuple[str, int, Place]], list[tuple[str, int, Place]]]:
        """The names jobs have on the lists of jobs, and those they have anywhere else.

        Each with how many rows have it and the place of the first.

        Raises:
            BookProblem: the book cannot be read.
        """
        with self._reading() as connection:
            found = [rows.job_names(connection, table) for table in rows.TABLES]
            return found[0], [line for others in found[1:] for line in others]

    def answers(self) -> tuple[Answered, ...]:
        """The answers given so far, with their questions.

        Raises:
            BookProblem: the book cannot be read.
        """
        with self._reading() as connection:
            return kept.read_answers(connection)

    def asking(self, keys: Collection[str]) -> set[str]:
        """The names in the book of the files that put any of some questions.

        Raises:
            BookProblem: the book cannot be read.
        """
        with self._reading() as connection:
            listed = connection.execute(
                "SELECT DISTINCT q.key, f.name FROM question AS q "
                "JOIN source_file AS f ON f.id = q.file_id"
            )
            return {name for key, name in listed if key in keys}

    def sources(self, wanted: Collection[str] | None = None) -> Iterator[tuple[str, Source | None]]:
        """Files on record by their names in the book, as they came; None for one not kept.

        Args:
            wanted: the names of those to give; all if None.

        Raises:
            BookProblem: the book cannot be read.
        """
        with speaking(self._path):
            listed = self._connection.execute("SELECT id, name FROM source_file ORDER BY id")
            for file_id, name in listed.fetchall():
                if wanted is None or name in wanted:
                    yield name, kept.read_source(self._connection, file_id)

    def answer(self, given: Sequence[Answered], read_anew: Mapping[str, Batch]) -> None:
        """Keep answers, and with them what the files give when read by these answers.

        Args:
            given: questions with what was said; an empty answer takes an earlier one back.
            read_anew: by their names in the book, files read again with all answers known.

        Raises:
            BookProblem: the book cannot be changed; it is then as it was before.
        """
        with self._change() as connection:
            kept.write_answers(connection, given)
            self._put_anew(connection, read_anew)

    def as_if(self, read_anew: Mapping[str, Batch]) -> History:
        """The history there would be if files gave what they give when read again; nothing is kept.

        Args:
            read_anew: by their names in the book, files read again.

        Raises:
            BookProblem: the book cannot be read or written.
        """
        with speaking(self._path):
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                self._put_anew(self._connection, read_anew)
                return self.history()
            finally:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")

    def _put_anew(self, connection: sqlite3.Connection, read_anew: Mapping[str, Batch]) -> None:
        """Put what files give when read again in the place of what they gave."""
        for name, batch in read_anew.items():
            found = connection.execute("SELECT id FROM source_file WHERE name = ?", (name,))
            file_id = int(found.fetchone()[0])
            self._clear(file_id)
            self._fill(file_id, batch)

    def firm(self) -> Firm:
        """The firm's settings; conventions where nothing is set.

        Raises:
            BookProblem: the book cannot be read.
            InputProblem: a setting in it cannot be used.
        """
        with self._reading() as connection:
            stated = connection.execute("SELECT key, value FROM setting").fetchall()
            place = Place(str(self._path or ""))
            return Firm().changed({key: json.loads(value) for key, value in stated}, place=place)

    def set_firm(self, firm: Firm) -> None:
        """Keep a firm's settings in the book, in place of those it had.

        Raises:
            BookProblem: the book cannot be changed; it is then as it was before.
        """
        usual = Firm()
        stated = [
            (f.name, json.dumps(_plain(getattr(firm, f.name)), ensure_ascii=False))
            for f in fields(firm)
            if getattr(firm, f.name) != getattr(usual, f.name)
        ]
        with self._change() as connection:
            connection.execute("DELETE FROM setting")
            connection.executemany("INSERT INTO setting (key, value) VALUES (?, ?)", stated)

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
            answers = kept.read_answers(self._connection)
            told = {a.question.key: a.said for a in answers if a.question.topic == "twin"}
            return assemble(self.entries(), self.firm(), told)

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

    def _fill(self, file_id: int, batch: Batch) -> None:
        """Write all that a file gave."""
        for records in (batch.entries, batch.findings, batch.questions):
            rows.write(self._connection, file_id, batch.file, enumerate(records))

    def _clear(self, file_id: int) -> None:
        """Delete all rows of a file, not the file itself."""
        for table in (*rows.TABLES, rows.FINDINGS, rows.QUESTIONS):
            self._connection.execute(
                f"DELETE FROM {table.name} WHERE file_id = ?",  # noqa: S608
                (file_id,),
            )


def _plain(value: Any) -> Any:
    """A setting's value as JSON writes it."""
    return dict(value) if isinstance(value, Mapping) else value

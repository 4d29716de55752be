"""The name a file has in the book, which file a word means, and what the book has already."""

from __future__ import annotations

import hashlib
import sqlite3
from pathlib import Path

from costlearn.book import rows
from costlearn.book.counting import compare, count
from costlearn.book.kept import Source, map_of
from costlearn.errors import InputProblem, Place
from costlearn.records import Batch, CostEntry, HoursEntry

FEWEST_ROWS = 2
"""Rows of a file from which it is another's copy where all of them are the same."""


def name_in_book(connection: sqlite3.Connection, book: Path | None, path: Path) -> tuple[str, str]:
    """The mark of a file's folder, and the name it has in the book.

    The mark is ``"."`` below the book's own folder, empty where the folder is not known.
    """
    base = wanted = path.name
    mark = ""
    if path.parent != Path():
        whole = path.resolve()
        home = book.resolve().parent if book is not None else None
        if home is not None and whole.is_relative_to(home):
            mark, wanted = ".", whole.relative_to(home).as_posix()
        else:
            mark = hashlib.sha256(str(whole.parent).encode()).hexdigest()[:8]
    other = f"./{wanted}" if mark == "." else f"{base} ({mark})"
    mine = connection.execute(
        "SELECT name FROM source_file WHERE folder = ? AND name IN (?, ?)",
        (mark, wanted, other),
    ).fetchone()
    if mine is not None:
        return mark, str(mine[0])
    holder = connection.execute(
        "SELECT folder FROM source_file WHERE name = ?", (wanted,)
    ).fetchone()
    free = holder is None or "" in (mark, holder[0])
    return mark, wanted if free else other


def named(connection: sqlite3.Connection, book: Path | None, said: str) -> tuple[int, str, str]:
    """Number, name and digest of the one file on record that a person means.

    Args:
        connection: the book.
        book: where it lies.
        said: the file's name in the book, a path to it, or the end of one name only.

    Raises:
        InputProblem: no file on record is meant by it, or several are.
    """
    listed = connection.execute("SELECT id, name, digest FROM source_file ORDER BY name").fetchall()
    _, by_path = name_in_book(connection, book, Path(said).resolve() if said else Path())
    ends = [line for line in listed if said and line[1].casefold().endswith(said.casefold())]
    for found in (
        [line for line in listed if line[1] == said],
        [line for line in listed if line[1] == by_path],
        ends,
    ):
        if len(found) == 1:
            return found[0][0], str(found[0][1]), str(found[0][2])
    raise InputProblem(
        f"'{said}' is the end of {len(ends)} names" if ends else f"the book has no file '{said}'",
        expected="one of " + ", ".join(name for _, name, _ in ends or listed) if listed else "",
        hint="" if listed else "the book is empty",
    )


def same_content(
    connection: sqlite3.Connection,
    name: str,
    file_id: int | None,
    batch: Batch,
    source: Source | None,
) -> str:
    """The name of the file on record that a file says again; empty if it says something new.

    A file that was saved anew, in another form, or under another name, says the same if all its
    rows do.

    Args:
        connection: the book.
        name: what the book calls the file.
        file_id: the file on record under that name, None if there is none.
        batch: all that the file gave.
        source: the file as it came, if it is to be kept.

    Raises:
        InputProblem: the file is on record, and now has the content of another one on record.
    """
    found = connection.execute(
        "SELECT name FROM source_file WHERE digest = ? ORDER BY name <> ?", (batch.digest, name)
    ).fetchone()
    twin = str(found[0]) if found else _same_rows(connection, file_id, batch)
    if not twin or file_id is None:
        return twin
    if twin != name:
        raise InputProblem(
            f"it now has the same content as {twin}, which is in the book",
            place=Place(name),
            expected="each file's own content",
            hint="remove one of the two from the book, or mend the file",
        )
    # The same bytes may be read by another column map, or be kept for the first time.
    read_otherwise = source is not None and map_of(connection, file_id) != source.map_text
    return "" if read_otherwise else name


def _same_rows(connection: sqlite3.Connection, file_id: int | None, batch: Batch) -> str:
    """The name of another file on record of which all rows are those of a batch; else empty.

    Hours and bills without a date may well be the same twice: such files are never copies.
    """
    dated = all(e.day for e in batch.entries if isinstance(e, HoursEntry | CostEntry))
    if len(batch.entries) < FEWEST_ROWS or not dated:
        return ""
    asked = sorted((one.topic, one.found) for one in batch.questions)
    sizes = [sum(isinstance(e, table.holds) for e in batch.entries) for table in rows.TABLES]
    for other, name in connection.execute("SELECT id, name FROM source_file ORDER BY id"):
        if other == file_id or sizes != [count(connection, t, other) for t in rows.TABLES]:
            continue
        kept = (one for _, _, one in rows.read(connection, rows.QUESTIONS, other))
        alike = asked == sorted((one.topic, one.found) for one in kept)
        if alike and not compare(connection, other, batch):
            return str(name)
    return ""

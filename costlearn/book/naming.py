"""The name a file has in the book, and whether the book has its content already."""

from __future__ import annotations

import hashlib
import sqlite3
from pathlib import Path

from costlearn.book.kept import Source, map_of
from costlearn.errors import InputProblem, Place


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


def same_content(
    connection: sqlite3.Connection,
    name: str,
    file_id: int | None,
    digest: str,
    source: Source | None,
) -> str:
    """The name of the file on record that a file says again; empty if it says something new.

    Args:
        connection: the book.
        name: what the book calls the file.
        file_id: the file on record under that name, None if there is none.
        digest: that of its content.
        source: the file as it came, if it is to be kept.

    Raises:
        InputProblem: the file is on record, and now has the content of another one on record.
    """
    twin = connection.execute(
        "SELECT name FROM source_file WHERE digest = ? ORDER BY name <> ?", (digest, name)
    ).fetchone()
    if twin is None:
        return ""
    if file_id is None:
        return str(twin[0])
    if twin[0] != name:
        raise InputProblem(
            f"it now has the same content as {twin[0]}, which is in the book",
            place=Place(name),
            expected="each file's own content",
            hint="remove one of the two from the book, or mend the file",
        )
    # The same bytes may be read by another column map, or be kept for the first time.
    read_otherwise = source is not None and map_of(connection, file_id) != source.map_text
    return "" if read_otherwise else name

"""The name a file has in the book."""

from __future__ import annotations

import hashlib
import sqlite3
from pathlib import Path


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

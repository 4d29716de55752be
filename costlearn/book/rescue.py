"""What can still be read of a damaged job book, as a new book, and what could not be."""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
import zlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from costlearn.book import schema
from costlearn.book.opening import check_header, connect, speaking
from costlearn.errors import BookProblem, InputProblem, Place

INNER_PAGE = 5
LONGEST_GAP = 20_000
"""Row numbers tried one by one behind the last row that could be read."""
SAID = {
    "source_file": "files on record",
    "source": "files kept as they came",
    "answer": "answers",
    "setting": "settings",
    "job_entry": "job rows",
    "scope": "scope items",
    "phase_entry": "phase rows",
    "hours_entry": "hours rows",
    "cost_entry": "cost lines",
    "change_entry": "change orders",
    "finding": "findings",
    "question": "questions",
    "change_log": "changes on record",
    "change_count": "counts of changes",
}
"""The tables in the order they are filled, with what their rows are called."""

Row = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Rescue:
    """What came out of a damaged book.

    ``kept`` counts rows saved by what they are called; ``hurt`` names what could not be read to
    its end, ``unsure`` the files whose rows may be incomplete and which are to be imported again.
    """

    kept: tuple[tuple[str, int], ...]
    hurt: tuple[str, ...]
    unsure: tuple[str, ...]
    restored: tuple[str, ...]


def rescue(book: Path, to: Path, read_again: Callable[[Path], Sequence[str]]) -> Rescue:
    """Save what is readable of a damaged book into a new one; the damaged one is only read.

    Args:
        book: the damaged book.
        to: the new book; nothing may stand there.
        read_again: given a book, reads the files it keeps anew and gives the names of those whose
            rows are whole again.

    Raises:
        InputProblem: something stands at the new place, or there is nothing at the old one.
        BookProblem: nothing at all can be read, or the new book cannot be written.
    """
    if to.exists():
        raise InputProblem(
            "there is a file of this name already", place=Place(str(to)), expected="a new name"
        )
    if not book.is_file():
        raise InputProblem("there is no job book here", place=Place(str(book)))
    check_header(book)
    with speaking(to), tempfile.TemporaryDirectory(prefix=".rescue-", dir=to.parent) as folder:
        damaged, fresh = Path(folder, "damaged"), Path(folder, "fresh")
        # A log beside the book belongs to it: it may hold the last import.
        for ending in ("", "-wal"):
            with suppress(FileNotFoundError):
                shutil.copy(f"{book}{ending}", f"{damaged}{ending}")
        if not _has_list_of_tables(damaged):
            _lend_list_of_tables(damaged, Path(folder, "donor"))
        kept, hurt = _copy_rows(damaged, fresh)
        if not any(kept.values()):
            raise BookProblem(
                "nothing in this job book can be read any more",
                place=Place(str(book)),
                hint="import your files into a new book",
            )
        restored = tuple(read_again(fresh))
        with closing(connect(fresh, create=False)) as book_db:
            names = [str(line[0]) for line in book_db.execute("SELECT name FROM source_file")]
            unsure = tuple(n for n in names if n not in restored) if hurt else ()
            # The same file is read once more only if the book does not think it has it whole.
            book_db.executemany(
                "UPDATE source_file SET digest = 'incomplete-' || id WHERE name = ?",
                [(name,) for name in unsure],
            )
            book_db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        fresh.replace(to)
    return Rescue(
        tuple((SAID[table], number) for table, number in kept.items() if number),
        tuple(SAID[table] for table in hurt),
        unsure,
        restored,
    )


def _has_list_of_tables(damaged: Path) -> bool:
    """Whether the book still says which tables it has; its log is worked in first."""
    with closing(sqlite3.connect(damaged, isolation_level=None)) as old:
        try:
            old.execute("PRAGMA writable_schema = ON")
            old.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            old.execute("SELECT sql FROM sqlite_master").fetchall()
        except sqlite3.DatabaseError:
            return False
    return True


def _lend_list_of_tables(damaged: Path, donor: Path) -> None:
    """Put the list of tables of a new book into one that lost its own.

    Books are made by the same steps, so that the list lies on the same pages and says the same.
    Tables a later step added to an older book lie elsewhere: they are then lost.
    """
    connect(donor, create=True).close()
    lent = donor.read_bytes()
    size = int.from_bytes(lent[16:18], "big")
    data = bytearray(damaged.read_bytes())
    for page in _pages_of_list(lent, size, 1):
        data[(page - 1) * size : page * size] = lent[(page - 1) * size : page * size]
    # Its free pages and its length are not the donor's (SQLite, "Database File Format", 1.3).
    data[28:32] = (len(data) // size).to_bytes(4, "big")
    data[32:40] = bytes(8)
    damaged.write_bytes(data)


def _pages_of_list(data: bytes, size: int, page: int) -> Iterator[int]:
    """The pages of the list of tables (SQLite, "Database File Format", 1.6: b-tree pages)."""
    yield page
    start = (page - 1) * size
    head = start + (100 if page == 1 else 0)
    if data[head] == INNER_PAGE:
        cells = int.from_bytes(data[head + 3 : head + 5], "big")
        at = [head + 12 + 2 * n for n in range(cells)]
        left = [start + int.from_bytes(data[a : a + 2], "big") for a in at]
        for child in (*left, head + 8):
            yield from _pages_of_list(data, size, int.from_bytes(data[child : child + 4], "big"))


def _copy_rows(damaged: Path, fresh: Path) -> tuple[dict[str, int], list[str]]:
    """Copy all readable rows into a new book; how many by table, and the tables with losses."""
    kept: dict[str, int] = {}
    hurt: list[str] = []
    with (
        closing(sqlite3.connect(damaged, isolation_level=None)) as old,
        closing(connect(fresh, create=True)) as new,
    ):
        # Otherwise SQLite refuses a book that is shorter than it says.
        old.execute("PRAGMA writable_schema = ON")
        new.execute("PRAGMA foreign_keys = OFF")
        new.execute("BEGIN")
        for table in SAID:
            kept[table], whole = _copy_table(old, new, table)
            if not whole:
                hurt.append(table)
        _name_the_nameless(new)
        new.execute("COMMIT")
    return kept, hurt


def _copy_table(old: sqlite3.Connection, new: sqlite3.Connection, table: str) -> tuple[int, bool]:
    """Copy one table; how many rows, and whether none was lost that can be noticed."""
    try:
        names = [str(line[1]) for line in old.execute(f"PRAGMA table_info({table})")]
    except sqlite3.DatabaseError:
        names = []
    wanted = {str(line[1]) for line in new.execute(f"PRAGMA table_info({table})")}
    columns = [name for name in names if name in wanted]
    if not columns:
        # A table that an older version did not have is no loss.
        return 0, _is_younger(old, table)
    listed, marks = ", ".join(columns), ", ".join("?" for _ in columns)
    order = f"INSERT INTO {table} ({listed}) VALUES ({marks})"  # noqa: S608
    number, whole = 0, True
    for row in _rows(old, table, columns):
        try:
            if row is None or (table == "source" and not _unpacks(row[columns.index("packed")])):
                whole = False
                continue
            new.execute(order, row)
            number += 1
        except sqlite3.IntegrityError:
            whole = False
    return number, whole


def _is_younger(old: sqlite3.Connection, table: str) -> bool:
    """Whether a table is missing only because the book is older than it."""
    try:
        version = schema.version_of(old)
        known = old.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    except sqlite3.DatabaseError:
        return False
    made = [n for n, step in enumerate(schema.STEPS, 1) for s in step if f"TABLE {table} (" in s]
    return bool(known) and 0 < version < min(made)


def _rows(old: sqlite3.Connection, table: str, columns: Sequence[str]) -> Iterator[Row | None]:
    """The readable rows of a table; None wherever some could not be read."""
    ask = f"SELECT {', '.join(columns)} FROM {table}"  # noqa: S608
    if columns[0] not in ("id", "file_id"):
        yield from _until_damage(old, ask, ())
        return
    key, last, top = columns[0], -1, _highest(old, table, columns[0])
    while True:
        broken = False
        for row in _until_damage(old, f"{ask} WHERE {key} > ? ORDER BY {key}", (last,)):
            if row is None:
                broken = True
                break
            last = row[0]
            yield row
        if not broken:
            return
        yield None
        # Behind the damage: rows are sought by their numbers, each by its own way down the tree.
        end = top if top is not None else last + LONGEST_GAP
        for number in range(last + 1, end + 1):
            last = number
            found = list(_until_damage(old, f"{ask} WHERE {key} = ?", (number,)))
            if found and found[0] is not None:
                yield found[0]
                break
        else:
            return


def _highest(old: sqlite3.Connection, table: str, key: str) -> int | None:
    """The highest row number, or None if its page cannot be read."""
    try:
        return int(old.execute(f"SELECT max({key}) FROM {table}").fetchone()[0] or 0)  # noqa: S608
    except (sqlite3.DatabaseError, TypeError, ValueError):
        return None


def _until_damage(old: sqlite3.Connection, ask: str, values: Row) -> Iterator[Row | None]:
    """Rows up to the first that cannot be read, and then None."""
    try:
        yield from old.execute(ask, values)
    except (sqlite3.DatabaseError, UnicodeDecodeError, OverflowError):
        yield None


def _unpacks(packed: Any) -> bool:
    """Whether a kept file is whole: its check sum says so."""
    try:
        zlib.decompress(packed)
    except (zlib.error, TypeError):
        return False
    return True


def _name_the_nameless(new: sqlite3.Connection) -> None:
    """Rows of a file whose own record is lost stay, under the file's kept name or a made one."""
    held = [
        "SELECT file_id FROM source",
        *(f"SELECT file_id FROM {t}" for t in SAID if t.endswith("_entry")),  # noqa: S608
    ]
    lost = new.execute(
        f"SELECT DISTINCT file_id FROM ({' UNION '.join(held)}) "  # noqa: S608
        "WHERE file_id NOT IN (SELECT id FROM source_file)"
    ).fetchall()
    for (number,) in lost:
        found = new.execute("SELECT file FROM source WHERE file_id = ?", (number,)).fetchone()
        name = str(found[0]) if found else f"rescued-{number}"
        taken = new.execute("SELECT 1 FROM source_file WHERE name = ?", (name,)).fetchone()
        new.execute(
            "INSERT INTO source_file VALUES (?, ?, '', ?, '1970-01-01T00:00:00+00:00')",
            (number, f"{name} ({number})" if taken else name, f"incomplete-{number}"),
        )
    for table in ("scope", "change_count", "finding", "question"):
        key, parent = {
            "scope": ("job_entry_id", "job_entry"),
            "change_count": ("change_id", "change_log"),
        }.get(table, ("file_id", "source_file"))
        new.execute(f"DELETE FROM {table} WHERE {key} NOT IN (SELECT id FROM {parent})")  # noqa: S608


__all__ = ["Rescue", "rescue"]

"""Opening and creating a job book's file: nothing of another program or version is ever touched."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from costlearn.book import schema
from costlearn.errors import BookProblem, NewerBook, Place

_MAGIC = b"SQLite format 3\x00"
_WAIT_MS = 5000
_LEAST_ROOM = 1 << 20
"""SQLite reports a full disk as a failed one where it cannot make its log; below this many free
bytes a full disk is meant."""


def connect(path: Path, *, create: bool) -> sqlite3.Connection:
    """Open a job book, creating it or bringing it up to date where that is needed.

    Raises:
        BookProblem: the file is no job book, is damaged, or cannot be opened or written.
        NewerBook: it was written by a later version; it is left untouched.
    """
    with speaking(path):
        if path.is_dir():
            raise BookProblem("this is a folder", place=_at(path), expected="a job book's file")
        if not path.exists():
            if not create:
                raise BookProblem(
                    "there is no job book here", place=_at(path), hint="import a file to start one"
                )
            _create(path)
        check_header(path)
        _check_writable(path)
        connection = _attach(path)
        try:
            _check_version(connection, path)
            _check_whole(connection, path)
            _bring_up_to_date(connection, path)
        except BaseException:
            connection.close()
            raise
        return connection


def connect_in_memory() -> sqlite3.Connection:
    """Open a new job book that lives in memory only."""
    connection = sqlite3.connect(":memory:", isolation_level=None)
    connection.execute("PRAGMA foreign_keys = ON")
    schema.bring_up_to_date(connection)
    return connection


@contextmanager
def speaking(path: Path | None) -> Iterator[None]:
    """Turn what SQLite or the disk complain of into one sentence.

    Raises:
        BookProblem: in place of any error of SQLite or of the file system.
    """
    try:
        yield
    except sqlite3.Error as problem:
        raise _spoken(problem, path) from problem
    except OSError as problem:
        if problem.errno == errno.ENOSPC:
            raise _disk_full(path) from problem
        raise BookProblem(
            f"the job book cannot be opened ({problem.strerror or problem})", place=_at(path)
        ) from problem


def _spoken(problem: sqlite3.Error, path: Path | None) -> BookProblem:
    text = str(problem)
    code = getattr(problem, "sqlite_errorcode", 0) & 0xFF
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return BookProblem(
            "the job book is in use by another program",
            place=_at(path),
            hint="close it there and try again",
        )
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return _damaged(path, text)
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
        return _locked_away(path)
    no_room = path is not None and _room(path.parent) < _LEAST_ROOM
    if code == sqlite3.SQLITE_FULL or (code == sqlite3.SQLITE_IOERR and no_room):
        return _disk_full(path)
    return BookProblem(f"the job book could not be used ({text})", place=_at(path))


def _disk_full(path: Path | None) -> BookProblem:
    return BookProblem(
        "the disk is full; the job book is as it was before",
        place=_at(path),
        hint="make room and try again",
    )


def _room(folder: Path) -> int:
    """Free bytes of the disk a folder lies on; endless where that cannot be asked."""
    try:
        return shutil.disk_usage(folder).free
    except OSError:
        return 1 << 62


def _damaged(path: Path | None, detail: str) -> BookProblem:
    return BookProblem(
        f"the job book is damaged ({' '.join(detail.split())})",
        place=_at(path),
        hint="put back a copy of it, or save what can be read with: costlearn jobs --rescue "
        f"SAVED.book --book {path or 'jobs.book'}",
    )


def _locked_away(path: Path | None) -> BookProblem:
    return BookProblem(
        "the job book cannot be written here",
        place=_at(path),
        hint="its file and its folder must allow writing; copy it to a folder of your own",
    )


def _at(path: Path | None) -> Place:
    return Place(str(path)) if path else Place("job book in memory")


def _create(path: Path) -> None:
    """Make a whole empty book beside the path and move it there: never half a book."""
    if not path.parent.is_dir():
        raise BookProblem(
            "its folder does not exist", place=_at(path), hint="create the folder first"
        )
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    os.close(handle)
    fresh = Path(name)
    try:
        with closing(sqlite3.connect(fresh, isolation_level=None)) as connection:
            schema.bring_up_to_date(connection)
            connection.execute("PRAGMA journal_mode = WAL")
        # A temporary file is private; a book gets the rights any new file would.
        mask = os.umask(0)
        os.umask(mask)
        fresh.chmod(0o666 & ~mask)
        # A link fails if someone else made the book meanwhile; theirs is then used.
        with suppress(FileExistsError):
            try:
                path.hardlink_to(fresh)
            except (OSError, NotImplementedError) as problem:
                if isinstance(problem, FileExistsError):
                    raise
                fresh.replace(path)
    finally:
        fresh.unlink(missing_ok=True)


def check_header(path: Path) -> None:
    """Look at the file's first bytes before SQLite touches it.

    Raises:
        BookProblem: it is no SQLite file, or one of another program.
        NewerBook: it was written by a later version.
    """
    with path.open("rb") as file:
        head = file.read(100)
    if not head:
        raise BookProblem("the file is empty", place=_at(path), expected="a job book")
    if not head.startswith(_MAGIC) or len(head) < 100:
        raise BookProblem("this file is no job book", place=_at(path), expected="a job book")
    if int.from_bytes(head[68:72], "big") != schema.APPLICATION_ID:
        raise BookProblem(
            "this is an SQLite file of another program", place=_at(path), expected="a job book"
        )
    _refuse_newer(int.from_bytes(head[60:64], "big"), path)


def _check_version(connection: sqlite3.Connection, path: Path) -> None:
    """Refuse a later version also where it still stands in the write-ahead log only."""
    _refuse_newer(schema.version_of(connection), path)


def _check_whole(connection: sqlite3.Connection, path: Path) -> None:
    """Refuse a book with damaged pages before half its rows are taken for all."""
    found = str(connection.execute("PRAGMA quick_check(1)").fetchone()[0])
    if found != "ok":
        raise _damaged(path, found)


def _refuse_newer(version: int, path: Path) -> None:
    if version > schema.newest():
        raise NewerBook(
            f"the job book has version {version}, written by a later costlearn",
            place=_at(path),
            expected=f"version {schema.newest()} or older",
            hint="update costlearn",
        )


def _check_writable(path: Path) -> None:
    """Refuse a book whose changes would fail later, in words that say why."""
    if not os.access(path, os.W_OK) or not os.access(path.parent, os.W_OK):
        raise _locked_away(path)


def _attach(path: Path) -> sqlite3.Connection:
    """Connect with the settings every use of a book has.

    Each acknowledged change survives a loss of power (``synchronous = FULL``).
    """
    where = path.resolve().as_uri() + "?mode=rw"
    connection = sqlite3.connect(where, uri=True, isolation_level=None, timeout=_WAIT_MS / 1000)
    try:
        connection.execute(f"PRAGMA busy_timeout = {_WAIT_MS}")
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA journal_mode = WAL")
    except BaseException:
        connection.close()
        raise
    return connection


def _bring_up_to_date(connection: sqlite3.Connection, path: Path) -> None:
    """Copy an older book beside itself, then do the steps it lacks."""
    version = schema.version_of(connection)
    if version >= schema.newest():
        return
    _back_up(connection, path, version)
    schema.bring_up_to_date(connection)


def _back_up(connection: sqlite3.Connection, path: Path, version: int) -> None:
    """Copy a book beside itself: the copy has its name only once it is whole."""
    # One name for all, so that what a killed copy left is written over by the next; the lock keeps
    # two programs from writing it together.
    part = path.with_name(f".{path.name}.copying")
    connection.execute("BEGIN IMMEDIATE")
    try:
        if schema.version_of(connection) != version:
            return
        part.unlink(missing_ok=True)
        # Read by a connection of its own: one that holds the lock waits for itself without end.
        with closing(_attach(path)) as reading, closing(sqlite3.connect(part)) as copy:
            reading.backup(copy)
        part.replace(backup_path(path, version))
    finally:
        for left in (part, part.with_name(f"{part.name}-journal")):
            left.unlink(missing_ok=True)
        if connection.in_transaction:
            connection.execute("ROLLBACK")


def backup_path(path: Path, version: int) -> Path:
    """A free name beside a book for its copy from before a change of version.

    Raises:
        BookProblem: there are too many copies already.
    """
    for count in range(1, 1000):
        number = "" if count == 1 else f"-{count}"
        free = path.with_name(f"{path.stem}.version-{version}{number}{path.suffix}")
        if not free.exists():
            return free
    raise BookProblem("a thousand copies of it lie beside it already", place=_at(path))

"""A book opens whole or not at all, and nothing of another program or version is touched."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import fields
from pathlib import Path

import pytest

from costlearn.book import rows, schema
from costlearn.book.store import Book
from costlearn.errors import BookProblem, NewerBook
from costlearn.records import Amounts, Batch

EXTRA_STEP = ("ALTER TABLE job_entry ADD COLUMN colour TEXT", "CREATE TABLE later (a) STRICT")
GOOD_STEP = ("CREATE TABLE later (a TEXT) STRICT", "ALTER TABLE setting ADD COLUMN since TEXT")


def filled(path: Path, batch: Batch) -> Path:
    with Book.open(path) as book:
        book.add(batch)
    return path


def version(path: Path) -> int:
    with closing(sqlite3.connect(path)) as connection:
        return schema.version_of(connection)


def test_a_new_book_is_marked_and_careful(tmp_path: Path) -> None:
    path = tmp_path / "firm.book"
    with Book.open(path) as book:
        ask = book._connection.execute
        assert ask("PRAGMA application_id").fetchone() == (schema.APPLICATION_ID,)
        assert ask("PRAGMA user_version").fetchone() == (schema.newest(),)
        assert ask("PRAGMA journal_mode").fetchone() == ("wal",)
        assert ask("PRAGMA foreign_keys").fetchone() == (1,)
        assert ask("PRAGMA synchronous").fetchone() == (2,)  # 2 is FULL (sqlite.org, "PRAGMA")
        assert ask("PRAGMA busy_timeout").fetchone() == (5000,)
    assert [p.name for p in tmp_path.iterdir()] == ["firm.book"]


def test_tables_have_a_column_for_every_field_of_the_records() -> None:
    with Book.in_memory() as book:
        for table in (*rows.TABLES, rows.FINDINGS):
            listed = book._connection.execute(f"PRAGMA table_info({table.name})")
            names = {line[1] for line in listed}
            assert names == {"id", *rows.COMMON, *table.columns}
            sides = [f.name for f in fields(table.holds) if f.name in ("plan", "actual")]
            for side in sides:
                assert {f"{side}_{f.name}" for f in fields(Amounts)} <= names


def test_no_book_and_none_wanted(tmp_path: Path) -> None:
    with pytest.raises(BookProblem, match="no job book here"):
        Book.open(tmp_path / "firm.book", create=False)
    assert list(tmp_path.iterdir()) == []


def test_no_folder(tmp_path: Path) -> None:
    with pytest.raises(BookProblem, match="its folder does not exist"):
        Book.open(tmp_path / "none" / "firm.book")


@pytest.mark.parametrize("content", [b"", b"name,price\nJ-1,200\n" * 20, b"SQLite format 3\x00"])
def test_a_file_that_is_no_book_is_left_alone(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "jobs.csv"
    path.write_bytes(content)
    with pytest.raises(BookProblem, match="expected a job book"):
        Book.open(path)
    assert path.read_bytes() == content


def test_a_folder_is_no_book(tmp_path: Path) -> None:
    with pytest.raises(BookProblem, match="this is a folder"):
        Book.open(tmp_path)


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE songs (title TEXT)")
    before = path.read_bytes()
    with pytest.raises(BookProblem, match="an SQLite file of another program"):
        Book.open(path)
    assert path.read_bytes() == before


def test_a_newer_book_is_left_untouched(tmp_path: Path, batch: Batch) -> None:
    path = filled(tmp_path / "firm.book", batch)
    with closing(sqlite3.connect(path)) as later:
        later.execute(f"PRAGMA user_version = {schema.newest() + 3}")
        later.execute("PRAGMA journal_mode = DELETE")
    before = path.read_bytes()
    with pytest.raises(NewerBook, match=f"has version {schema.newest() + 3}.*update costlearn"):
        Book.open(path)
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["firm.book"]


def test_a_newer_version_that_stands_in_the_log_only(tmp_path: Path, batch: Batch) -> None:
    path = filled(tmp_path / "firm.book", batch)
    with closing(sqlite3.connect(path, isolation_level=None)) as later:
        later.execute("PRAGMA wal_autocheckpoint = 0")
        later.execute(f"PRAGMA user_version = {schema.newest() + 1}")
        with pytest.raises(NewerBook):
            Book.open(path)


def test_an_older_book_is_copied_then_brought_up_to_date(
    tmp_path: Path, batch: Batch, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = schema.newest()
    path = filled(tmp_path / "firm.book", batch)
    monkeypatch.setattr(schema, "STEPS", (*schema.STEPS, GOOD_STEP, ("CREATE TABLE third (a)",)))
    with Book.open(path) as book:
        assert tuple(book.entries()) == batch.entries
        assert book.findings() == batch.findings
    assert version(path) == old + 2
    copy = tmp_path / f"firm.version-{old}.book"
    assert version(copy) == old
    monkeypatch.undo()
    with Book.open(copy) as book:
        assert tuple(book.entries()) == batch.entries


def test_a_step_that_fails_is_undone_and_the_copy_stays(
    tmp_path: Path, batch: Batch, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = schema.newest()
    path = filled(tmp_path / "firm.book", batch)
    # STRICT tables need a type for each column (sqlite.org, "STRICT Tables"): the last half fails.
    monkeypatch.setattr(schema, "STEPS", (*schema.STEPS, GOOD_STEP, EXTRA_STEP))
    with pytest.raises(BookProblem, match="could not be used"):
        Book.open(path)
    assert version(path) == old + 1
    with closing(sqlite3.connect(path)) as connection:
        names = [line[1] for line in connection.execute("PRAGMA table_info(job_entry)")]
    assert "colour" not in names
    with pytest.raises(BookProblem, match="could not be used"):
        Book.open(path)
    copies = {p.name for p in tmp_path.glob("firm.version-*.book")}
    assert copies == {f"firm.version-{old}.book", f"firm.version-{old + 1}.book"}


def test_copies_never_overwrite_each_other(
    tmp_path: Path, batch: Batch, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = filled(tmp_path / "firm.book", batch)
    monkeypatch.setattr(schema, "STEPS", (*schema.STEPS, EXTRA_STEP))
    for _ in range(2):
        with pytest.raises(BookProblem):
            Book.open(path)
    monkeypatch.undo()
    old = schema.newest()
    for name in (f"firm.version-{old}.book", f"firm.version-{old}-2.book"):
        with Book.open(tmp_path / name) as book:
            assert tuple(book.entries()) == batch.entries


def test_a_damaged_book_is_named(tmp_path: Path, batch: Batch) -> None:
    path = filled(tmp_path / "firm.book", batch)
    content = bytearray(path.read_bytes())
    for start in range(4096, len(content), 4096):
        content[start : start + 200] = b"\xff" * 200
    path.write_bytes(content)
    with pytest.raises(BookProblem, match="the job book is damaged"):
        Book.open(path)


def test_a_book_cut_short_is_named(tmp_path: Path, batch: Batch) -> None:
    path = filled(tmp_path / "firm.book", batch)
    path.write_bytes(path.read_bytes()[: 4096 * 3 + 17])
    with pytest.raises(BookProblem, match="the job book is damaged"):
        Book.open(path)


OPEN_ONLY = """
import os, sys
from pathlib import Path
from costlearn.book.store import Book
from costlearn.errors import BookProblem
if os.getuid() == 0:
    os.setgid(65534)
    os.setuid(65534)
try:
    Book.open(Path(sys.argv[1])).close()
except BookProblem as problem:
    print(problem)
"""


@pytest.mark.skipif(os.name != "posix", reason="folder rights are tested on POSIX systems only")
@pytest.mark.parametrize("there", [True, False])
def test_a_read_only_folder_is_named(
    tmp_path_factory: pytest.TempPathFactory, batch: Batch, there: bool
) -> None:
    folder = tmp_path_factory.mktemp("locked")
    path = folder / "firm.book"
    if there:
        filled(path, batch)
    # The administrator may write anywhere, so the book is opened by a user who may not; that user
    # must be let through the folders above.
    above = [p for p in folder.parents if p.stat().st_uid == os.getuid() and p != Path("/")]
    rights = {p: p.stat().st_mode for p in above}
    folder.chmod(0o555)
    try:
        for parent in above:
            parent.chmod(rights[parent] | 0o011)
        done = subprocess.run(
            [sys.executable, "-c", OPEN_ONLY, str(path)],
            capture_output=True,
            text=True,
            check=False,
        )
    finally:
        folder.chmod(0o755)
        for parent in above:
            parent.chmod(rights[parent])
    assert done.stderr == ""
    assert str(path) in done.stdout
    assert "cannot be" in done.stdout
    assert len(done.stdout.splitlines()) == 1

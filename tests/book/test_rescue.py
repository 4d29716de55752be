"""What a damaged book still holds is saved into a new one, and what it lost is said."""

from __future__ import annotations

import random
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from costlearn.book.rescue import Rescue, rescue
from costlearn.book.store import Book
from costlearn.errors import BookProblem, InputProblem, NewerBook
from costlearn.records import Batch, HoursEntry
from tests.book.test_power_loss import large_batch

PAGE = 4096


def filled(path: Path, batch: Batch, rows: int = 3_000) -> Path:
    with Book.open(path) as book:
        book.add(batch)
        book.add(large_batch("log", rows))
    return path


def flip(path: Path, pages: list[int]) -> None:
    data = bytearray(path.read_bytes())
    for page in pages:
        data[page * PAGE : page * PAGE + 300] = b"\xff" * 300
    path.write_bytes(data)


def save(path: Path, to: Path) -> Rescue:
    before = path.read_bytes()
    found = rescue(path, to, lambda _: ())
    assert path.read_bytes() == before
    left = {p.name.removesuffix("-wal").removesuffix("-shm") for p in to.parent.iterdir()}
    assert left <= {path.name, to.name}
    with closing(sqlite3.connect(to)) as db:
        assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert db.execute("PRAGMA foreign_key_check").fetchall() == []
    return found


def test_a_whole_book_comes_out_the_same(tmp_path: Path, batch: Batch) -> None:
    path, to = filled(tmp_path / "firm.book", batch), tmp_path / "saved.book"
    found = save(path, to)
    assert found.hurt == found.unsure == ()
    with Book.open(path) as one, Book.open(to) as other:
        assert tuple(one.entries()) == tuple(other.entries())
        assert one.changes() == other.changes()
        assert one.findings() == other.findings()
        assert other.add(large_batch("log", 3_000)).kind == "unchanged"


def test_rows_before_and_behind_the_damage_are_saved(tmp_path: Path, batch: Batch) -> None:
    path, to = filled(tmp_path / "firm.book", batch), tmp_path / "saved.book"
    with closing(sqlite3.connect(path)) as db:
        top = db.execute("SELECT rootpage FROM sqlite_master WHERE name='hours_entry'").fetchone()
    # Leaves of the long table are scattered behind its root; a few in the middle are enough.
    size = path.stat().st_size // PAGE
    middle = range(size // 2, size // 2 + 6)
    assert top[0] < size // 2
    flip(path, list(middle))
    with pytest.raises(BookProblem, match=r"jobs --rescue SAVED\.book"):
        Book.open(path)
    found = save(path, to)
    rows = dict(found.kept)["hours rows"]
    assert 2_000 < rows < 3_003
    assert "hours rows" in found.hurt
    assert set(found.unsure) == {"h.csv", "mixed.xlsx"}
    with Book.open(to) as book:
        numbers = [e.place.row for e in book.entries() if isinstance(e, HoursEntry)]
        assert 0 in numbers
        assert 2_999 in numbers, "rows behind the damage are there too"
        # Importing the file again mends the rest.
        book.add(large_batch("log", 3_000))
        assert dict(book.files()[1].counts)["hours rows"] == 3_000


def test_a_book_that_lost_the_list_of_its_tables(tmp_path: Path, batch: Batch) -> None:
    path, to = filled(tmp_path / "firm.book", batch), tmp_path / "saved.book"
    data = bytearray(path.read_bytes())
    data[100:2_000] = bytes(1_900)
    path.write_bytes(data)
    with pytest.raises(BookProblem, match="damaged"):
        Book.open(path)
    found = save(path, to)
    assert dict(found.kept)["hours rows"] == 3_003
    with Book.open(to) as book:
        assert batch.entries == tuple(book.entries())[: len(batch.entries)]


def test_a_book_cut_short_gives_what_is_left(tmp_path: Path, batch: Batch) -> None:
    path, to = filled(tmp_path / "firm.book", batch), tmp_path / "saved.book"
    path.write_bytes(path.read_bytes()[: path.stat().st_size * 3 // 4 + 17])
    found = save(path, to)
    assert found.hurt
    assert dict(found.kept)["job rows"] == 3
    assert 0 < dict(found.kept)["hours rows"] < 3_003


@pytest.mark.parametrize("seed", range(12))
def test_damage_anywhere_ends_in_a_sound_book_or_a_sentence(
    tmp_path: Path, batch: Batch, seed: int
) -> None:
    path, to = filled(tmp_path / "firm.book", batch, 400), tmp_path / "saved.book"
    data = bytearray(path.read_bytes())
    chance = random.Random(seed)
    for _ in range(chance.choice((1, 20, 400))):
        data[chance.randrange(100, len(data))] = chance.randrange(256)
    path.write_bytes(data)
    try:
        found = save(path, to)
    except BookProblem as problem:
        assert str(problem).count("\n") == 0
        assert not to.exists()
        return
    assert found.kept
    with Book.open(to) as book:
        assert len(tuple(book.entries())) <= len(batch.entries) + 400


def test_what_is_no_book_or_a_newer_one_is_refused(tmp_path: Path, batch: Batch) -> None:
    to = tmp_path / "saved.book"
    text = tmp_path / "text.book"
    text.write_text("my jobs\n" * 99)
    with pytest.raises(BookProblem, match="no job book"):
        rescue(text, to, lambda _: ())
    path = filled(tmp_path / "firm.book", batch, 5)
    with pytest.raises(InputProblem, match="of this name already"):
        rescue(path, text, lambda _: ())
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA user_version = 99")
    with pytest.raises(NewerBook):
        rescue(path, to, lambda _: ())
    assert not to.exists()

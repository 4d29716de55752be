"""An import that is killed at any moment leaves the book exactly as before, or exactly as after."""

from __future__ import annotations

import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from costlearn.book.store import Book
from costlearn.errors import Place
from costlearn.records import Batch, HoursEntry, JobEntry

SEED = 20_240_229
OLD_ROWS, NEW_ROWS = 1_500, 9_000
STEPS_OF_SQLITE = 2_000
"""Machine instructions of SQLite between two looks at whether to die."""

IMPORTING = """
import os, signal, sys
sys.path.insert(0, os.environ["TEST_FOLDER"])
from pathlib import Path
from test_power_loss import large_batch, NEW_ROWS, STEPS_OF_SQLITE
from costlearn.book.store import Book
path, die_at = Path(sys.argv[1]), int(sys.argv[2])
batch = large_batch("new", NEW_ROWS)
looks = 0
def look():
    global looks
    looks += 1
    if looks == die_at:
        os.kill(os.getpid(), signal.SIGKILL)
    return 0
with Book.open(path) as book:
    book._connection.set_progress_handler(look, STEPS_OF_SQLITE)
    print("ready", flush=True)
    book.add(batch)
    print("done", looks, flush=True)
"""


def large_batch(digest: str, count: int) -> Batch:
    """A log of many rows; its rows tell which state of the file they come from."""
    entries = [
        HoursEntry(f"J-{n % 97}", digest, date(2024, 1, 1 + n % 28), 8.0, Place("h.csv", "", n))
        for n in range(count)
    ]
    return Batch("h.csv", digest, tuple(entries), ())


def start(path: Path, die_at: int) -> subprocess.Popen[str]:
    environment = {**os.environ, "TEST_FOLDER": str(Path(__file__).parent)}
    return subprocess.Popen(
        [sys.executable, "-c", IMPORTING, str(path), str(die_at)],
        stdout=subprocess.PIPE,
        text=True,
        env=environment,
    )


def state_of(path: Path) -> str:
    """Which state a book is in after a crash; anything but wholly old or wholly new fails."""
    with Book.open(path, create=False) as book:
        (line,) = (f for f in book.files() if f.name == "h.csv")
        people = {e.person for e in book.entries() if isinstance(e, HoursEntry)}
        others = [e.job for e in book.entries() if isinstance(e, JobEntry)]
        kinds = [change.kind for _, change in book.changes()]
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
    expected = OLD_ROWS if line.digest == "old" else NEW_ROWS
    assert line.counts == (("hours rows", expected),)
    assert people == {line.digest}
    assert others == ["J-1"]
    assert kinds == ["new", "new"] + (["changed"] if line.digest == "new" else [])
    return line.digest


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs a system that can kill -9")
def test_a_killed_import_is_whole_or_nothing(tmp_path: Path) -> None:
    before = tmp_path / "before.book"
    with Book.open(before) as book:
        book.add(Batch("j.csv", "j", (JobEntry("J-1", Place("j.csv", "", 2)),), ()))
        book.add(large_batch("old", OLD_ROWS))
    assert state_of(before) == "old"

    path = tmp_path / "firm.book"
    shutil.copy(before, path)
    whole = start(path, die_at=0)
    assert whole.stdout is not None
    assert whole.stdout.readline() == "ready\n"
    began = time.monotonic()
    looks = int(whole.stdout.readline().split()[1])
    lasted = time.monotonic() - began
    assert whole.wait() == 0
    assert state_of(path) == "new"
    assert looks > 40

    chance = random.Random(SEED)
    # Inside the transaction, at seeded moments of SQLite's own clock: always the old state.
    for _ in range(12):
        shutil.copy(before, path)
        killed = start(path, die_at=chance.randint(1, looks))
        assert killed.stdout is not None
        assert killed.stdout.read() == "ready\n"
        assert killed.wait() == -signal.SIGKILL
        assert state_of(path) == "old"
    # From outside at seeded moments of the wall clock, so that writing to disk is hit as well.
    for _ in range(12):
        shutil.copy(before, path)
        killed = start(path, die_at=0)
        assert killed.stdout is not None
        assert killed.stdout.readline() == "ready\n"
        time.sleep(chance.uniform(0, lasted * 1.1))
        killed.kill()
        acknowledged = killed.stdout.read().startswith("done")
        killed.wait()
        state = state_of(path)
        assert state == "new" if acknowledged else state in ("old", "new")

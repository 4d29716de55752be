"""Disks that fill up, two programs at once, other clocks and zones: one sentence, nothing half."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from tests.cli.conftest import DEMO, Command

COSTLEARN = [sys.executable, "-m", "costlearn"]
PAGE = 4096

FULL = """
set -e
mount -t tmpfs -o size=3m tmpfs "$1"; cp "$2" "$1/firm.book"; cd "$1"
free=$3; shift 3
room=$(df --output=avail -B 4096 . | tail -1)
dd if=/dev/zero of=filler bs=4096 count=$((room - free)) 2>/dev/null
before=$(sha256sum firm.book)
code=0; "$@" >/dev/null 2>err.$$ || code=$?
said=$(cat err.$$ 2>/dev/null || true); rm -f filler err.$$
[ "$before" = "$(sha256sum firm.book)" ] && same=yes || same=no
printf '%s\\n%s\\n%s\\n%s' "$code" "$same" "$(find . -mindepth 1 | sort | tr '\\n' ' ')" "$said"
"""
"""A small disk of its own that is gone with the process; the error stream goes elsewhere."""


def can_mount() -> bool:
    """Whether this system lets a process have a small disk of its own."""
    if shutil.which("unshare") is None:
        return False
    tried = subprocess.run(
        ["unshare", "-rm", "sh", "-c", "mount -t tmpfs -o size=1m tmpfs /mnt"],
        capture_output=True,
        check=False,
    )
    return tried.returncode == 0


small_disk = pytest.mark.skipif(not can_mount(), reason="no small disk can be mounted here")


def on_full_disk(
    tmp_path: Path, book: Path, free: int, *words: object
) -> tuple[str, str, set[str], str]:
    """Run a command where some pages of 4 KB are free: exit code, book as before, files, error."""
    disk = tmp_path / "disk"
    disk.mkdir()
    script = FULL.replace("err.$$", f'"{tmp_path}/err"')
    called = [*COSTLEARN, *map(str, words)]
    done = subprocess.run(
        ["unshare", "-rm", "sh", "-c", script, "sh", disk, book, str(free), *called],
        capture_output=True,
        text=True,
        check=True,
    )
    code, same, left, said = done.stdout.split("\n", 3)
    return code, same, set(left.split()), said


@small_disk
@pytest.mark.parametrize(
    ("free", "words"),
    [
        (0, ("jobs",)),
        (0, ("import", DEMO / "change_orders.csv")),
        (20, ("import", "LOG")),
        (0, ("settings", DEMO / "firm.toml")),
        (9, ("jobs", "--export", "copy.xlsx")),
        (9, ("jobs", "--export", "copy")),
        (2, ("template", "empty.xlsx")),
        (30, ("pages", "--to", "pages")),
        (30, ("overruns", "--html", "overruns.html")),
        (9, ("jobs", "--rescue", "saved.book")),
    ],
)
def test_a_full_disk_is_one_sentence_and_leaves_all_as_it_was(
    tmp_path: Path, demo_book: Path, free: int, words: tuple[object, ...]
) -> None:
    log = tmp_path / "log.csv"
    log.write_text("Job,Date,Person,Hours\n" + "B25-02,2025-03-04,Ann,7.5\n" * 3_000, "utf-8")
    said_words = [log if word == "LOG" else word for word in words]
    book = "none.book" if words[0] == "template" else "firm.book"
    code, same, left, said = on_full_disk(tmp_path, demo_book, free, *said_words, "--book", book)
    assert (code, same) == ("2", "yes"), said
    assert said.startswith("costlearn: ")
    assert said.count("\n") == 0
    assert "disk is full" in said or "no space left" in said
    # A log without content belongs to the book and is SQLite's to keep.
    assert left <= {"./firm.book", "./firm.book-wal", "./firm.book-shm"}


@small_disk
@pytest.mark.parametrize("free", [4, 60])
def test_a_full_disk_when_a_book_is_begun_or_brought_up_to_date(
    tmp_path: Path, small_book: Path, free: int
) -> None:
    code, _, left, said = on_full_disk(
        tmp_path, small_book, free, "import", DEMO / "hours_2024_2026.csv", "--book", "new.book"
    )
    assert code == "2"
    assert "the disk is full" in said
    assert left <= {f"./{n}.book{e}" for n in ("firm", "new") for e in ("", "-wal", "-shm")}


@small_disk
def test_a_full_disk_stops_a_change_of_version_before_it_begins(tmp_path: Path) -> None:
    from tests.book.test_schema import old_book

    old = tmp_path / "old.book"
    old_book(old, 2)
    with closing(sqlite3.connect(old)) as db:
        db.execute("PRAGMA journal_mode = WAL")
    code, same, left, said = on_full_disk(tmp_path, old, 15, "jobs", "--book", "firm.book")
    assert (code, same) == ("2", "yes"), said
    assert "the disk is full" in said
    assert left <= {"./firm.book", "./firm.book-wal", "./firm.book-shm"}


def test_two_imports_at_once_and_a_report_meanwhile(tmp_path: Path) -> None:
    book = tmp_path / "firm.book"
    asked = (
        ("import", DEMO / "hours_2024_2026.csv"),
        ("import", DEMO / "receipts_2025_2026.csv"),
        ("jobs", "--json"),
    )
    started = [
        subprocess.Popen(
            [*COSTLEARN, *map(str, words), "--book", book],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for words in asked
    ]
    told = [one.communicate() for one in started]
    for one, (out, err) in zip(started, told, strict=True):
        assert one.returncode in (0, 2)
        assert len(err.splitlines()) == (1 if one.returncode == 2 else 0), err
        assert "Traceback" not in err
        assert bool(out) == (one.returncode == 0)
    done = sum(one.returncode == 0 for one in started[:2])
    with closing(sqlite3.connect(book)) as db:
        assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert db.execute("SELECT count(*) FROM source_file").fetchone() == (done,)
    assert done == 2


def test_a_book_held_by_another_program_is_said_and_kept(tmp_path: Path, small_book: Path) -> None:
    book = tmp_path / "firm.book"
    shutil.copy(small_book, book)
    with closing(sqlite3.connect(book, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        done = subprocess.run(
            [*COSTLEARN, "import", DEMO / "change_orders.csv", "--book", book],
            capture_output=True,
            text=True,
            check=False,
        )
        other.execute("ROLLBACK")
        assert other.execute("SELECT count(*) FROM source_file").fetchone() == (1,)
    assert done.returncode == 2
    assert "the job book is in use by another program" in done.stderr
    assert done.stderr.count("\n") == 1


def test_a_damaged_book_is_saved_and_answers_as_before(
    command: Command, demo_book: Path, tmp_path: Path
) -> None:
    book, saved = tmp_path / "firm.book", tmp_path / "saved.book"
    whole = command("jobs", "--book", demo_book, "--json").data
    data = bytearray(demo_book.read_bytes())
    middle = len(data) // PAGE // 2
    for page in range(middle, middle + 8):
        data[page * PAGE : page * PAGE + 500] = b"\xff" * 500
    book.write_bytes(data)
    assert "jobs --rescue SAVED.book" in command("jobs", "--book", book).told
    done = command("jobs", "--rescue", saved, "--book", book)
    assert done.code == 0
    assert "Could not be read to the end: " in done.out
    sure = {line["name"] for line in command("jobs", "--book", saved, "--json").data}
    assert {line["name"] for line in whole} >= sure
    if "May lack rows" not in done.out:
        assert command("jobs", "--book", saved, "--json").data == whole
    assert "of this name already" in command("jobs", "--rescue", saved, "--book", book).told


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "America/Los_Angeles"])
def test_zones_and_file_times_change_no_answer(demo_book: Path, tmp_path: Path, zone: str) -> None:
    jobs = tmp_path / "jobs.csv"
    shutil.copy(DEMO / "jobs_2025.csv", jobs)
    os.utime(jobs, (4_000_000_000, 4_000_000_000))
    answers = []
    for place in ("UTC", zone):
        book = tmp_path / f"{place.replace('/', '-')}.book"
        for words in (("import", jobs), ("estimate", "--area", "46", "--on", "2026-06-01")):
            done = subprocess.run(
                [*COSTLEARN, *map(str, words), "--book", book, "--json"],
                capture_output=True,
                text=True,
                check=True,
                env={**os.environ, "TZ": place, "LC_ALL": "de_DE.UTF-8", "LANG": "de_DE.UTF-8"},
            )
        answers.append(json.loads(done.stdout))
    assert answers[0] == answers[1]


@pytest.mark.parametrize("on", ["1999-01-01", "2080-01-01"])
def test_a_day_long_before_or_after_the_jobs_still_ends_in_an_answer(
    command: Command, demo_book: Path, on: str
) -> None:
    """What a clock that was set wrong would ask."""
    done = command("estimate", "--area", "46", "--items", "niche", "--on", on, "--book", demo_book)
    assert done.code == 0
    assert done.out


WATCHING = """
import os, sys
allowed, seen = os.environ["ALLOWED"], []
def watch(event, given):
    if event == "open":
        path, mode, flags = given
        writes = (flags or 0) & (os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_APPEND | os.O_TRUNC)
        if writes and isinstance(path, (str, bytes)):
            seen.append(os.path.abspath(os.fsdecode(path)))
    elif event in ("os.mkdir", "os.remove", "os.rmdir", "os.chmod"):
        seen.append(os.path.abspath(os.fsdecode(given[0])))
    elif event in ("os.rename", "os.link", "os.symlink"):
        seen.append(os.path.abspath(os.fsdecode(given[1])))
    elif event == "sqlite3.connect":
        seen.append(os.path.abspath(str(given[0]).removeprefix("file://")))
    elif event.startswith(("socket.connect", "socket.getaddrinfo", "socket.sendto")):
        seen.append("network: " + event)
sys.dont_write_bytecode = True
sys.addaudithook(watch)
from costlearn.cli.main import main
code = main(sys.argv[1:])
outside = sorted({p for p in seen if not p.startswith(allowed) and p != os.devnull})
print("\\nOUTSIDE", len(seen), outside)
sys.exit(code)
"""


def test_nothing_is_written_but_where_the_user_said(tmp_path: Path) -> None:
    """Files opened for writing, made, moved or taken away, and calls over a network."""
    book = tmp_path / "firm.book"
    for words in (
        ("import", DEMO / "jobs_2025.csv", "--book", book),
        ("check", DEMO / "quote_sane.toml", "--book", book, "--html", tmp_path / "check.html"),
        ("jobs", "--export", tmp_path / "copy.xlsx", "--book", book),
        ("demo", "--to", tmp_path / "demo"),
    ):
        done = subprocess.run(
            [sys.executable, "-c", WATCHING, *map(str, words)],
            capture_output=True,
            text=True,
            check=False,
            cwd=tmp_path,
            env={**os.environ, "ALLOWED": str(tmp_path)},
        )
        assert done.returncode in (0, 1), done.stderr
        _, number, outside = done.stdout.rsplit("\n", 2)[1].split(" ", 2)
        assert int(number) > 0
        assert outside == "[]"

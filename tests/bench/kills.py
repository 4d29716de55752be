"""Kills at random moments: ``python tests/bench/kills.py`` (``--short`` for a tenth as many).

An import, a change of version, a change of settings and a set of pages are each started as a
process of their own and killed (``kill -9``) at seeded moments, half of them spread evenly over the
whole run and half over its end, where the writing is. After each kill:

* the book passes SQLite's own check, and is wholly as before or wholly as after;
* what a process said to be done is there;
* each page is whole: byte for byte that of before or that of after;
* the same work, done again, ends well.

Printed: how many kills left the state of before and of after, how many came after the work was
done, and how many left an unfinished file beside (hidden, never taken for anything).
"""

from __future__ import annotations

import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from costlearn.book import schema
from costlearn.book.store import Book
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.pages.bundle import write_set
from costlearn.records import Batch, HoursEntry

SEED = 20_261_125
KILLS = 50
"""Of each kind of work; four kinds make 200."""
SHORT = 3
ROWS = 4_000
PAGES = 40

START = """
import sys
sys.path[:0] = {paths!r}
from pathlib import Path
import kills
from costlearn.book import store
print("ready", flush=True)
kills.WORK[sys.argv[1]].do(Path(sys.argv[2]))
print("done", flush=True)
"""


def hours(mark: str, count: int) -> Batch:
    """A log whose every row says which state of the file it is from."""
    rows = tuple(
        HoursEntry(f"J-{n % 97}", mark, None, 8.0, Place("h.csv", "", n)) for n in range(count)
    )
    return Batch("h.csv", mark, rows, ())


def pages(mark: str) -> dict[str, str]:
    """A set of pages whose every line says which set it is from."""
    text = f"<p>{mark}</p>\n" * 3_000
    return {"index.html": text} | {f"page-{n}.html": text for n in range(PAGES)}


def prepare_import(folder: Path) -> None:
    """A book with the log as it was."""
    with Book.open(folder / "firm.book") as book:
        book.add(hours("old", ROWS // 4))


def do_import(folder: Path) -> None:
    """The log as it is now."""
    with Book.open(folder / "firm.book") as book:
        book.add(hours("new", ROWS))


def prepare_migration(folder: Path) -> None:
    """A book as the first version of the tables had it, with rows."""
    path = folder / "firm.book"
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        for statement in schema.STEPS[0]:
            db.execute(statement)
        db.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
        db.execute("PRAGMA user_version = 1")
        db.execute("BEGIN")
        db.execute("INSERT INTO source_file VALUES (1, 'h.csv', '', 'old', '2025-01-01')")
        db.executemany(
            "INSERT INTO hours_entry (file_id, seq, sheet, row, col, job, person, hours, waiting, "
            "notes) VALUES (1, ?, '', ?, '', 'J', 'old', 8.0, 0, '')",
            [(n, n) for n in range(ROWS)],
        )
        db.execute("COMMIT")


def do_migration(folder: Path) -> None:
    """Opening it brings it up to date."""
    Book.open(folder / "firm.book").close()


def prepare_settings(folder: Path) -> None:
    """A book with settings."""
    with Book.open(folder / "firm.book") as book:
        book.set_firm(Firm(currency="CAD", hours_per_day=7.0))


def do_settings(folder: Path) -> None:
    """Other settings in their place."""
    with Book.open(folder / "firm.book") as book:
        book.set_firm(Firm(currency="USD", hours_per_day=9.0))


def prepare_pages(folder: Path) -> None:
    """A set of pages."""
    write_set(pages("old"), folder / "pages")


def do_pages(folder: Path) -> None:
    """The next set over it."""
    write_set(pages("new"), folder / "pages")


def sound(path: Path) -> None:
    """SQLite finds nothing wrong with the book."""
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert db.execute("PRAGMA foreign_key_check").fetchall() == []


def state_of_import(folder: Path) -> str:
    """Which state the log has; the rows, the file and the record of changes agree."""
    sound(folder / "firm.book")
    with Book.open(folder / "firm.book", create=False) as book:
        (line,) = book.files()
        people = [e.person for e in book.entries() if isinstance(e, HoursEntry)]
        kinds = [change.kind for _, change in book.changes()]
    assert set(people) == {line.digest}
    assert len(people) == (ROWS if line.digest == "new" else ROWS // 4)
    assert kinds == ["new", "changed"][: 1 + (line.digest == "new")]
    return line.digest


def state_of_migration(folder: Path) -> str:
    """Which version the book has; all rows are there, and a copy beside it is a whole old book."""
    path = folder / "firm.book"
    sound(path)
    copies = sorted(folder.glob("firm.version-*.book"))
    for one in (path, *copies):
        with closing(sqlite3.connect(one)) as db:
            version = schema.version_of(db)
            assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            assert db.execute("SELECT count(*) FROM hours_entry").fetchone() == (ROWS,)
            tables = {r[0] for r in db.execute("SELECT name FROM sqlite_master")}
            columns = {r[1] for r in db.execute("PRAGMA table_info(hours_entry)")}
        assert ("answer" in tables) == (version >= 2)
        assert ("callback_of" in columns) == (version >= 3)
        if one == path:
            reached = version
        else:
            assert one.name.startswith(f"firm.version-{version}")
    assert reached == 1 or copies
    return {1: "old", schema.newest(): "new"}.get(reached, "a whole step")


def state_of_settings(folder: Path) -> str:
    """Which settings hold: both of them are of one state."""
    sound(folder / "firm.book")
    with Book.open(folder / "firm.book", create=False) as book:
        firm = book.firm()
    found = {("CAD", 7.0): "old", ("USD", 9.0): "new"}
    return found[(firm.currency, firm.hours_per_day)]


def state_of_pages(folder: Path) -> str:
    """Whether the pages are of one set; each is whole, and the first page is the last to come."""
    old, new = pages("old"), pages("new")
    seen = {name: (folder / "pages" / name).read_text("utf-8") for name in old}
    assert all(text in (old[name], new[name]) for name, text in seen.items())
    fresh = [name for name, text in seen.items() if text == new[name]]
    if "index.html" in fresh:
        assert len(fresh) == len(new)
        return "new"
    return "whole pages of both" if fresh else "old"


@dataclass(frozen=True)
class Work:
    """A kind of work: what is there before, what is done, and which state is found."""

    prepare: Callable[[Path], None]
    do: Callable[[Path], None]
    state: Callable[[Path], str]


WORK = {
    "import": Work(prepare_import, do_import, state_of_import),
    "change of version": Work(prepare_migration, do_migration, state_of_migration),
    "settings": Work(prepare_settings, do_settings, state_of_settings),
    "pages": Work(prepare_pages, do_pages, state_of_pages),
}


def start(kind: str, folder: Path) -> subprocess.Popen[str]:
    """The work as a process that says when it begins and when it is done."""
    here = Path(__file__).resolve().parent
    code = START.format(paths=[str(here), str(here.parents[1])])
    return subprocess.Popen(
        [sys.executable, "-c", code, kind, str(folder)], stdout=subprocess.PIPE, text=True
    )


def lasting(kind: str, before: Path, folder: Path) -> float:
    """Seconds the work takes from its beginning, and its end state is the one after."""
    shutil.copytree(before, folder)
    whole = start(kind, folder)
    assert whole.stdout is not None
    assert whole.stdout.readline() == "ready\n"
    began = time.monotonic()
    assert whole.stdout.readline() == "done\n"
    took = time.monotonic() - began
    assert whole.wait() == 0
    whole.stdout.close()
    assert WORK[kind].state(folder) == "new"
    return took


def kill_often(kind: str, kills: int, seed: int = SEED) -> dict[str, int]:
    """Kill one kind of work so many times; how often which state was found."""
    chance = random.Random(f"{seed} {kind}")
    found: dict[str, int] = {}
    with tempfile.TemporaryDirectory() as top:
        before = Path(top, "before")
        before.mkdir()
        WORK[kind].prepare(before)
        # The first run finds nothing in memory yet and lasts longer than those that follow.
        took = min(lasting(kind, before, Path(top, f"whole-{n}")) for n in range(2))
        for number in range(kills):
            folder = Path(top, f"kill-{number}")
            shutil.copytree(before, folder)
            early = 0.0 if number % 2 else 0.6
            done = kill_once(kind, folder, chance.uniform(early, 1.05) * took)
            for state in done:
                found[state] = found.get(state, 0) + 1
            shutil.rmtree(folder)
    return found


def kill_once(kind: str, folder: Path, after: float) -> list[str]:
    """One kill; the state found, whether the work had been told done, and whether a file is left.

    A book is looked at before it is opened for more: opening an old one changes its version.
    """
    killed = start(kind, folder)
    assert killed.stdout is not None
    assert killed.stdout.readline() == "ready\n"
    time.sleep(after)
    killed.kill()
    told_done = killed.stdout.read() == "done\n"
    killed.stdout.close()
    assert killed.wait() in (-signal.SIGKILL, 0)
    left = [p for p in folder.rglob(".*") if p.name != ".costlearn-pages"]
    state = WORK[kind].state(folder)
    assert state == "new" or not told_done, "what was said to be done is gone"
    WORK[kind].do(folder)
    assert WORK[kind].state(folder) == "new"
    return [state] + ["told done"] * told_done + ["left a hidden file"] * bool(left)


def main(words: list[str]) -> None:
    """Run all kinds and print the counts."""
    kills = SHORT if "--short" in words else KILLS
    for kind in WORK:
        print(f"{kind}: {kills} kills, {kill_often(kind, kills)}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])

"""How fast is a large import, beside a bare read of the same file?

Run ``python tests/bench/intake.py [--short] [--profile]``. Writes an hours log of 200,000 rows and
50,000 receipts (a twentieth of both with ``--short``), reads each with ``pandas.read_csv`` and with
costlearn, keeps them in a job book, puts the jobs together and looks for slips. Times are processor
seconds of this process, so that other work on the machine does not count; the ratio says how many
bare reads one import takes. ``--profile`` lists the functions that take most of it.

``--against PATH`` reads files of each kind with this checkout and with the one at a path instead,
in turns, each time in a process of its own, and prints the ratio of their least processor seconds.
"""

from __future__ import annotations

import argparse
import cProfile
import csv
import os
import pstats
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TypeVar

import pandas as pd
import scale

from costlearn import demo_folder
from costlearn.book.store import Book
from costlearn.firm import Firm
from costlearn.intake.reader import read_file
from costlearn.questions.attention import attention

HOURS, RECEIPTS = 200_000, 50_000
SHORT = 20
SEED = 9
PHASES = ("Demo", "Framing", "Plumbing rough", "Drywall", "Tile", "Paint", "Trim-out", "Clean")
FIRST = date(2015, 1, 5)

HERE = Path(__file__).resolve().parents[2]
ROUNDS = 3
BESIDE = {"jobs": 5_000, "phases": 20_000, "hours": 30_000, "bills": 30_000, "statement": 30_000}
"""Rows of the files two checkouts read."""
READ = """
import sys, time
from pathlib import Path
from costlearn.firm import Firm
from costlearn.intake.reader import read_file
for name in sys.argv[1:]:
    paths = sorted(Path(name).parent.glob(Path(name).name))
    start = time.process_time()
    for path in paths:
        read_file(path, Firm())
    print(time.process_time() - start)
"""
"""Reads files by their patterns and prints the seconds of each pattern."""

T = TypeVar("T")


@dataclass(frozen=True)
class Line:
    """One step of an import: its rows, its seconds, and the seconds of a bare read."""

    what: str
    rows: int
    seconds: float
    bare: float

    @property
    def ratio(self) -> float:
        return self.seconds / self.bare


def timed(work: Callable[[], T]) -> tuple[T, float]:
    """What some work gives, and its processor seconds."""
    start = time.process_time()
    return work(), time.process_time() - start


def write_hours(path: Path, count: int) -> None:
    rng = random.Random(SEED)
    with path.open("w", newline="", encoding="utf-8") as file:
        lines = csv.writer(file)
        lines.writerow(["Date", "Who", "Job", "Phase", "Hrs", "Notes"])
        for i in range(count):
            # One line a person and day: nobody works over 24 hours.
            day = FIRST + timedelta(days=i // 2 % 20_000)
            hours = rng.choice(["8", "7.5", "4", "6:30", "2"])
            who = ("Ann", "Bo")[i % 2]
            lines.writerow([day, who, f"J-{i // 400:04d}", rng.choice(PHASES), hours, ""])


def write_receipts(path: Path, count: int) -> None:
    rng = random.Random(SEED)
    with path.open("w", newline="", encoding="utf-8") as file:
        lines = csv.writer(file)
        lines.writerow(["Date", "Vendor", "Invoice", "Job", "Category", "Amount"])
        for i in range(count):
            day = FIRST + timedelta(days=i // 15)
            kind = rng.choice(["Materials", "Sub", "Rental"])
            amount = f"${rng.randint(500, 200_000) / 100:,.2f}"
            lines.writerow([day, "Supply yard", f"INV-{i}", f"J-{i // 100:04d}", kind, amount])


def write_statement(path: Path, count: int) -> None:
    rng = random.Random(SEED)
    balance = 5_000_000
    with path.open("w", newline="", encoding="utf-8") as file:
        lines = csv.writer(file)
        lines.writerow(["Date", "Description", "Debit", "Credit", "Balance"])
        for i in range(count):
            day = FIRST + timedelta(days=i // 10)
            cents = rng.randint(100_000, 2_500_000) if i % 12 == 0 else -rng.randint(500, 200_000)
            balance += cents
            text = f"POS {rng.choice(['TILE YARD', 'LUMBER', 'FUEL STOP'])} {i % 4_000:04d}"
            text = f"E-TRANSFER CLIENT {i % 97}" if cents > 0 else text
            sides = ["", cents / 100] if cents > 0 else [-cents / 100, ""]
            lines.writerow([day, text, *sides, balance / 100])


def bare_read(path: Path) -> float:
    """Processor seconds of the better of two bare reads, dates included."""
    return min(timed(lambda: pd.read_csv(path, parse_dates=["Date"]))[1] for _ in range(2))


def measure(folder: Path, hours: int, receipts: int) -> list[Line]:
    """All steps of one import of an hours log and of receipts."""
    files = (
        (folder / "hours.csv", write_hours, hours),
        (folder / "bills.csv", write_receipts, receipts),
    )
    lines: list[Line] = []
    with Book.open(folder / "bench.book") as book:
        for path, write, count in files:
            write(path, count)
            bare = bare_read(path)
            batch, seconds = timed(lambda path=path: read_file(path, Firm()))
            assert len(batch.entries) == count
            lines.append(Line(f"read {path.name}", count, seconds, bare))
            _, seconds = timed(lambda path=path, batch=batch: book.add(batch, path))
            lines.append(Line(f"keep {path.name}", count, seconds, bare))
        both = lines[0].bare + lines[2].bare
        history, seconds = timed(book.history)
        lines.append(Line("put the jobs together", hours + receipts, seconds, both))
        _, seconds = timed(lambda: attention(history, book.entries()))
        lines.append(Line("look for slips", hours + receipts, seconds, both))
    whole = sum(line.seconds for line in lines)
    lines.append(Line("the whole import", hours + receipts, whole, both))
    return lines


def write_beside(folder: Path, part: int) -> dict[str, Path]:
    """Files of each kind of table, and the demo's, by what they are; a path may be a pattern."""
    rows = {kind: count // part for kind, count in BESIDE.items()}
    for kind, jobs in (("jobs", rows["jobs"]), ("phases", rows["phases"] // len(scale.PHASES))):
        (folder / kind).mkdir()
        scale.write_files(folder / kind, jobs)
    files = {kind: folder / kind / f"{kind}.csv" for kind in ("jobs", "phases")}
    writers = {"hours": write_hours, "bills": write_receipts, "statement": write_statement}
    for kind, write in writers.items():
        files[kind] = folder / f"{kind}.csv"
        write(files[kind], rows[kind])
    demo = {f"demo {end}": demo_folder() / f"*.{end}" for end in ("csv", "xlsx")}
    return {f"{rows[kind]:,} rows of {kind}": path for kind, path in files.items()} | demo


def seconds_of(checkout: Path, files: Sequence[Path]) -> list[float]:
    """Processor seconds a checkout takes to read each of some files, in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", READ, *map(str, files)],
        env={**os.environ, "PYTHONPATH": str(checkout)},
        cwd=checkout,
        capture_output=True,
        text=True,
        check=True,
    )
    return [float(line) for line in done.stdout.split()]


def print_beside(other: Path, part: int, rounds: int) -> None:
    """The seconds of both checkouts for each file, and how many times the other's ours are."""
    with tempfile.TemporaryDirectory() as folder:
        files = write_beside(Path(folder), part)
        paths = list(files.values())
        runs = [(seconds_of(other, paths), seconds_of(HERE, paths)) for _ in range(rounds)]
    theirs, ours = (map(min, zip(*took, strict=True)) for took in zip(*runs, strict=True))
    print(f"{'file':28}{'before':>9}{'now':>9}{'ratio':>7}")
    for what, before, now in zip(files, theirs, ours, strict=True):
        print(f"{what:28}{before:9.2f}{now:9.2f}{now / before:7.2f}")


def main(words: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--short", action="store_true")
    parser.add_argument("--profile", action="store_true")
    parser.add_argument("--against", type=Path, metavar="PATH")
    told = parser.parse_args(words)
    part = SHORT if told.short else 1
    if told.against:
        print_beside(told.against.resolve(), part, 1 if told.short else ROUNDS)
        return
    profile = cProfile.Profile()
    with tempfile.TemporaryDirectory() as folder:
        if told.profile:
            profile.enable()
        lines = measure(Path(folder), HOURS // part, RECEIPTS // part)
        profile.disable()
    print(f"{'step':24}{'rows':>10}{'seconds':>9}{'rows/s':>10}{'bare reads':>12}")
    for line in lines:
        rate = line.rows / line.seconds
        print(f"{line.what:24}{line.rows:10,}{line.seconds:9.2f}{rate:10,.0f}{line.ratio:12.0f}")
    if told.profile:
        pstats.Stats(profile).sort_stats("tottime").print_stats(25)


if __name__ == "__main__":
    main()

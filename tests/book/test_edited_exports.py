"""An export somebody edited: a figure no book can hold sets its row aside, and the rest is kept."""

from __future__ import annotations

import csv
from pathlib import Path

import openpyxl
import pytest

from costlearn import tidy
from costlearn.book.export import export
from costlearn.book.store import Book
from costlearn.errors import BookProblem, Place
from costlearn.firm import Firm
from costlearn.intake.reader import read_file
from costlearn.records import Batch, JobEntry

ABSURD = (
    "1e308", "-1e308", "-5", "3.7", "abc", "1" + "0" * 30, "nan", "inf", "1e999999", "9" * 5000,
    "-0", "1_000", "½", "9223372036854775808", "1e18", "true", "'", "=1", "1e-320", "9999-12-31",
    "0001-01-01", "10000-01-01", "2025-02-30", "\u202e", "niche 1e308", "niche -1", "niche nan",
)  # fmt: skip


def edited(folder: Path, kind: str) -> tuple[Path, int]:
    """A table of an export with a row for each column and absurd cell; and how many rows."""
    path = folder / f"tidy_{kind}.csv"
    with path.open(encoding="utf-8-sig", newline="") as file:
        heads, first, *_ = csv.reader(file)
    rows = []
    for at in range(len(heads)):
        for absurd in ABSURD:
            rows.append([*first])
            rows[-1][at] = absurd
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([heads, *rows, first])
    return path, len(rows) + 1


@pytest.mark.parametrize("kind", tidy.KINDS)
def test_an_absurd_cell_sets_its_row_aside_or_is_kept_whole(
    batch: Batch, tmp_path: Path, kind: str
) -> None:
    export(batch.entries, Firm(), tmp_path / "out")
    path, rows = edited(tmp_path / "out", kind)
    back = read_file(path, Firm())
    aside = [f for f in back.findings if f.kind == "set aside"]
    assert len(aside) + len(back.entries) == rows
    assert len(aside) > 50
    assert all("expected" in f.text and f.place.row and f.place.column for f in aside)
    assert max(e.place.row for e in back.entries) <= tidy.LAST_ROW
    with Book.in_memory() as book:
        book.add(back, path)
        book.history()
        kept = list(book.entries())
    files = export(kept, Firm(), tmp_path / "again")
    (again,) = [f for f in files if f.name == path.name]
    assert list(read_file(again, Firm()).entries) == kept


@pytest.mark.parametrize(
    ("kind", "heading", "cell", "told"),
    [
        ("jobs", "from row", "1e308", "found '1e308', expected a row number"),
        ("jobs", "from row", "-5", "found '-5', expected a row number"),
        ("jobs", "from row", "3.7", "found '3.7', expected a row number"),
        ("jobs", "from row", "nan", "found 'nan', expected a row number"),
        ("jobs", "price", "1e999999", "expected an amount with at most two decimals"),
        ("jobs", "house year", "1" + "0" * 30, "expected a whole number of at most 18 figures"),
        ("jobs", "area sqft", "-1", "found '-1', expected a number of zero or more"),
        ("jobs", "state", "done", "found 'done', expected finished, running or quoted"),
        ("changes", "state", "yes", "found 'yes', expected approved, declined or verbal"),
        ("phases", "percent complete", "-.1", "expected a number of zero or more"),
        ("phases", "planned crew", "1e308", "expected a number of at most 18 figures"),
    ],
)
def test_what_is_said_of_it(
    batch: Batch, tmp_path: Path, kind: str, heading: str, cell: str, told: str
) -> None:
    export(batch.entries, Firm(), tmp_path / "out.xlsx")
    book = openpyxl.load_workbook(tmp_path / "out.xlsx")
    heads = [c.value for c in book[kind][1]]
    book[kind].cell(2, heads.index(heading) + 1).value = cell
    book.save(tmp_path / "out.xlsx")
    (aside,) = [
        f for f in read_file(tmp_path / "out.xlsx", Firm()).findings if f.kind == "set aside"
    ]
    assert told in aside.text
    assert (aside.place.sheet, aside.place.row, aside.place.column) == (kind, 2, heading)


@pytest.mark.parametrize("row", [2**63, 10**5000], ids=["wide", "long"])
def test_a_row_number_no_book_can_hold_is_refused_in_one_sentence(row: int) -> None:
    entry = JobEntry("J-1", Place("a.csv", "", row))
    with Book.in_memory() as book, pytest.raises(BookProblem, match=r"a\.csv: .* is too large"):
        book.add(Batch("a.csv", "d", (entry,), ()))

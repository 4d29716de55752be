"""Tidy copies of the whole book, and the empty workbook, as a person asks for them."""

from __future__ import annotations

from pathlib import Path

import pytest

from costlearn.book.store import Book
from tests.cli.conftest import Command


@pytest.mark.parametrize("to", ["copy", "copy.xlsx"])
def test_a_copy_imported_into_a_new_book_gives_the_identical_history(
    command: Command, demo_book: Path, tmp_path: Path, to: str
) -> None:
    done = command("jobs", "--book", demo_book, "--export", tmp_path / to)
    assert done.code == 0, done.err
    assert "Written: " in done.out
    files = sorted((tmp_path / to).glob("*.csv")) if to == "copy" else [tmp_path / to]
    settings = tmp_path / ("copy/tidy_firm.toml" if to == "copy" else "copy_firm.toml")
    again = tmp_path / "again.book"
    assert command("import", *files, "--settings", settings, "--book", again).code == 0
    with Book.open(demo_book, create=False) as one, Book.open(again, create=False) as other:
        assert other.history() == one.history()
        assert len(other.history().jobs) == 48
    ask = command("estimate", "--area", "46 sq ft", "--items", "niche", "--book", again, "--json")
    asked = command(
        "estimate", "--area", "46 sq ft", "--items", "niche", "--book", demo_book, "--json"
    )
    assert ask.data == asked.data
    origin = command("jobs", "B25-02", "--book", again).out
    assert "jobs_2025.csv, row" in " ".join(origin.split())


def test_a_copy_is_not_written_over_and_needs_a_book(
    command: Command, demo_book: Path, tmp_path: Path
) -> None:
    to = tmp_path / "copy.xlsx"
    assert command("jobs", "--book", demo_book, "--export", to).code == 0
    told = command("jobs", "--book", demo_book, "--export", to).told
    assert "there is a file of this name already" in told
    assert command("jobs", "--book", demo_book, "--export", to, "--replace").code == 0
    assert (
        "there is no job book here"
        in command("jobs", "--book", tmp_path / "none", "--export", tmp_path / "x").told
    )
    assert not (tmp_path / "x").exists()


def test_the_empty_workbook_is_made_read_and_never_written_over(
    command: Command, tmp_path: Path
) -> None:
    out = tmp_path / "records.xlsx"
    done = command("template", out, "--book", tmp_path / "b")
    assert done.code == 0, done.err
    assert "Fill in what you know" in done.out
    assert not (tmp_path / "b").exists()
    read = command("import", out, "--book", tmp_path / "b")
    assert read.code == 0
    assert "0 finished jobs" in read.out
    assert "set aside" not in read.out
    assert "already" in command("template", out, "--book", tmp_path / "b").told
    again = command("template", out, "--book", tmp_path / "b", "--replace", "--json")
    assert again.data == {"written": [str(out)]}
    assert "ending in .xlsx" in command("template", tmp_path / "x.csv").told
    assert "does not exist" in command("template", tmp_path / "no" / "x.xlsx").told

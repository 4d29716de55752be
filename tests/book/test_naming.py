"""Which file on record a word means, and which file says again what the book has."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from costlearn.book.store import Book
from costlearn.errors import InputProblem, Place
from costlearn.records import Batch, HoursEntry, JobEntry, Question

DAY = date(2024, 3, 4)


def hours(file: str, count: int, day: date | None = DAY) -> Batch:
    entries = tuple(
        HoursEntry(job="J-1", person="Ann", day=day, hours=8.0 + n, place=Place(file, "", n + 2))
        for n in range(count)
    )
    return Batch(file, f"digest of {file} {count}", entries, ())


def test_a_file_is_meant_by_name_path_or_the_only_name_that_ends_so(tmp_path: Path) -> None:
    (tmp_path / "home").mkdir()
    with Book.open(tmp_path / "home" / "b") as book:
        for number, folder in enumerate(("home/2023", "home/2024", "away")):
            book.add(hours("jobs.csv", number + 2), tmp_path / folder / "jobs.csv")
        assert [line.name for line in book.files()] == [
            "2023/jobs.csv", "2024/jobs.csv", "jobs.csv",
        ]  # fmt: skip
        assert book.remove("3/JOBS.csv").file == "2023/jobs.csv"
        assert book.remove(str(tmp_path / "home" / "2024" / "jobs.csv")).file == "2024/jobs.csv"
        assert book.remove("jobs.csv").file == "jobs.csv"
        with pytest.raises(InputProblem, match="the book is empty"):
            book.remove("jobs.csv")


def test_an_end_of_several_names_means_none_of_them(tmp_path: Path) -> None:
    with Book.open(tmp_path / "b") as book:
        for number, year in enumerate(("2023", "2024"), 2):
            book.add(hours("jobs.csv", number), tmp_path / year / "jobs.csv")
        with pytest.raises(InputProblem, match="is the end of 2 names; expected one of 2023/jobs"):
            book.remove("jobs.csv")
        with pytest.raises(InputProblem, match="the book has no file ''"):
            book.remove("")
        assert len(book.files()) == 2


def test_rows_that_are_all_on_record_are_a_copy() -> None:
    with Book.in_memory() as book:
        book.add(hours("a.csv", 3))
        change = book.add(hours("b.xlsx", 3))
        assert (change.kind, change.same_as) == ("unchanged", "a.csv")
        assert book.add(hours("c.csv", 2)).kind == "new"
        with pytest.raises(InputProblem, match=r"c\.csv: it now has the same content as a\.csv"):
            book.add(replace(hours("c.csv", 3), digest="later"))
        assert len(list(book.entries())) == 5


def test_one_row_or_undated_ones_or_other_questions_are_no_copy() -> None:
    asked = Question("column: jobs / x", "column", Place("b.csv"), "x", "What is in 'x'?")
    with Book.in_memory() as book:
        book.add(hours("one.csv", 1))
        assert book.add(hours("one again.csv", 1)).kind == "new"
        book.add(hours("week 1.csv", 2, None))
        assert book.add(hours("week 2.csv", 2, None)).kind == "new"
        book.add(hours("a.csv", 3))
        assert book.add(replace(hours("b.csv", 3), questions=(asked,))).kind == "new"


def test_what_would_be_is_told_and_nothing_of_it_is_kept() -> None:
    entry = JobEntry(job="J-1", place=Place("a.csv", "", 2), state="finished")
    with Book.in_memory() as book:
        book.add(Batch("a.csv", "d", (entry,), ()))
        after = book.as_if({"a.csv": Batch("a.csv", "d", (replace(entry, area_sqft=45.0),), ())})
        assert after.jobs[0].area_sqft == 45.0
        assert book.history().jobs[0].area_sqft is None

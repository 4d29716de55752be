"""The command that makes the day sheet, and its exports on their way into a book."""

from __future__ import annotations

import json
import re
from pathlib import Path

import costlearn
from costlearn.book.store import Book
from costlearn.firm import Firm
from costlearn.intake.day_sheet import HEADINGS, NAME
from costlearn.records import HoursEntry
from tests.cli.conftest import Command

HEAD = ",".join(HEADINGS)


def line(
    key: str, version: int, hours: str, phase: str = "Tile and grout", removed: str = ""
) -> str:
    return f"hours,2026-11-09,B26-08,Ann,{phase},{hours},,,,,,,,,,,,{key},{version},{removed}"


def write(path: Path, *lines: str) -> Path:
    path.write_text("\ufeff" + "\r\n".join((HEAD, *lines, "")), "utf-8", newline="")
    return path


def hours(book: Path) -> list[float]:
    with Book.open(book, create=False) as kept:
        return sorted(e.hours for e in kept.entries() if isinstance(e, HoursEntry))


def choices(page: Path) -> dict[str, object]:
    found = re.search(r'id="choices">(.*?)</script>', page.read_text("utf-8"))
    assert found
    data: dict[str, object] = json.loads(found[1])
    return data


def test_without_a_book_the_page_works_with_the_words_of_the_trade(
    command: Command, tmp_path: Path, monkeypatch
) -> None:
    monkeypatch.chdir(tmp_path)
    done = command("daysheet")
    assert done.code == 0
    assert "Written: daysheet.html" in done.out
    assert "costlearn import" in done.out
    data = choices(tmp_path / "daysheet.html")
    assert data["jobs"] == data["people"] == []
    assert "Tile and grout" in data["phases"]
    assert (tmp_path / "daysheet.html").stat().st_size < 150_000


def test_a_book_gives_running_jobs_and_who_was_on_site(
    command: Command, demo_book: Path, tmp_path: Path
) -> None:
    page = tmp_path / "sheet.html"
    made = command("daysheet", "--to", page, "--book", demo_book, "--json")
    assert made.data == {"written": [str(page)]}
    data = choices(page)
    assert data["jobs"] == ["L26-09 laundry room", "B26-08 main bath, tub to shower"]
    assert data["people"] == ["Odrin", "Maywen"]
    assert data["hours"] == 8


def test_what_cannot_be_made_is_refused_in_a_sentence(command: Command, tmp_path: Path) -> None:
    page = tmp_path / "sheet.html"
    assert "no job book" in command("daysheet", "--to", page, "--book", tmp_path / "no.book").told
    assert not page.exists()
    page.write_text("mine", "utf-8")
    assert "already" in command("daysheet", "--to", page).told
    assert page.read_text("utf-8") == "mine"
    assert "folder does not exist" in command("daysheet", "--to", tmp_path / "no" / "a.html").told


def test_exports_of_any_name_and_order_count_each_record_once(
    command: Command, tmp_path: Path
) -> None:
    book = tmp_path / "jobs.book"
    first = write(tmp_path / "daysheet-2026-11-09.csv", line("ka", 1, "8"), line("kb", 1, "4"))
    newer = write(
        tmp_path / "daysheet-2026-11-10.csv",
        line("ka", 2, "6.5"),
        line("kb", 2, "4", removed="yes"),
        line("kc", 1, "3"),
    )
    again = write(
        tmp_path / "daysheet-2026-11-10 (1).csv", *newer.read_text("utf-8").split("\n")[1:]
    )
    done = command("import", first, "--book", book)
    assert "daysheet-2026-11-09.csv: 2 records of a day sheet: 2 new." in done.out
    assert hours(book) == [4.0, 8.0]
    assert "1 new, 1 corrected, 1 taken out" in command("import", newer, "--book", book).out
    assert hours(book) == [3.0, 6.5]
    assert "2 older" in command("import", first, "--book", book).out
    assert "on file already" in command("import", again, "--book", book).out
    assert hours(book) == [3.0, 6.5]
    # An export that goes by the very name the book gives them all is one more export.
    named = write(tmp_path / NAME, line("kd", 1, "2"))
    assert "1 new" in command("import", named, "--book", book).out
    assert hours(book) == [2.0, 3.0, 6.5]
    # All at once, in a folder of their own, the oldest last.
    other = tmp_path / "other.book"
    assert command("import", again, newer, first, "--book", other).code == 0
    assert hours(other) == [3.0, 6.5]
    with Book.open(book, create=False) as kept:
        assert [file.name for file in kept.files()] == [NAME]


def test_an_answer_reaches_the_records_and_later_exports(command: Command, tmp_path: Path) -> None:
    book = tmp_path / "jobs.book"
    first = write(tmp_path / "one.csv", line("ka", 1, "8", phase="the wet wall"))
    command("import", first, "--book", book)
    (asked,) = command("questions", "--book", book, "--json").data
    assert asked["where"] == "one.csv, row 2, column 'phase'"
    sheet = tmp_path / "answers.csv"
    command("questions", "--book", book, "--write", sheet)
    told = sheet.read_text("utf-8-sig").splitlines()
    sheet.write_text("\n".join((told[0], told[1].removesuffix(",") + ",waterproof")), "utf-8")
    assert command("answer", sheet, "--book", book).code == 0
    second = write(tmp_path / "two.csv", line("kb", 1, "5", phase="the wet wall"))
    command("import", second, "--book", book)
    with Book.open(book, create=False) as kept:
        logged = [e for e in kept.entries() if isinstance(e, HoursEntry)]
        assert [(e.hours, e.phase, e.place.file) for e in logged] == [
            (8.0, "waterproof", "one.csv"),
            (5.0, "waterproof", "two.csv"),
        ]
        assert not kept.questions()


def test_a_notebook_that_adds_two_exports_doubles_nothing_either(tmp_path: Path) -> None:
    first = write(tmp_path / "one.csv", line("ka", 1, "8"))
    later = write(tmp_path / "two.csv", line("ka", 1, "8"), line("kb", 1, "4"))
    with costlearn.Book.in_memory() as book:
        for path in (first, later):
            book.add(costlearn.read_file(path, Firm()), path)
        assert sorted(e.hours for e in book.entries()) == [4.0, 8.0]


def test_a_tidy_copy_of_a_book_with_day_sheets_comes_back_whole(
    command: Command, tmp_path: Path
) -> None:
    book = tmp_path / "jobs.book"
    command("import", write(tmp_path / "one.csv", line("ka", 1, "7.5")), "--book", book)
    copy = tmp_path / "copy.xlsx"
    assert command("jobs", "--export", copy, "--book", book).code == 0
    other = tmp_path / "other.book"
    assert command("import", copy, "--book", other).code == 0
    with Book.open(book, create=False) as one, Book.open(other, create=False) as two:
        assert list(one.entries()) == list(two.entries())

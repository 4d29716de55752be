"""Questions asked from a filled-in sheet: the same answer as from the TOML of the same quote."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from costlearn.firm import Firm
from costlearn.intake.asked import read_asked
from tests.cli.conftest import DEMO, Command
from tests.intake.test_asked_sheet import as_rows, simple, workbook

QUOTE = DEMO / "quote_sane.toml"


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    """The sane quote of the demo, typed into the workbook."""
    return workbook(tmp_path / "q.xlsx", as_rows(read_asked(QUOTE, Firm())))


@pytest.mark.parametrize(
    "words", [("check",), ("estimate",), ("crew",), ("options",), ("compare", "--with", "bench")]
)
def test_the_sheet_is_answered_as_the_toml_is(
    command: Command, demo_book: Path, sheet: Path, words: tuple[str, ...]
) -> None:
    name, *more = words
    by_toml, by_sheet = (
        command(name, path, *more, "--book", demo_book, "--json") for path in (QUOTE, sheet)
    )
    assert by_sheet.out == by_toml.out
    assert by_sheet.code == by_toml.code


def test_the_book_stays_as_it_is(command: Command, demo_book: Path, sheet: Path) -> None:
    before = demo_book.read_bytes()
    command("check", sheet, "--book", demo_book)
    assert demo_book.read_bytes() == before


def test_two_jobs_of_one_sheet_are_compared(
    command: Command, demo_book: Path, tmp_path: Path
) -> None:
    rows = {
        "Jobs": [simple("A", **{"Floor area (sq ft)": 48}), simple("B")],
        "Scope": [
            {"Job": "A", "Item": "toilet"},
            {"Job": "B", "Item": "toilet"},
            {"Job": "B", "Item": "heated floor", "Size": 30},
        ],
    }
    path = workbook(tmp_path / "two.xlsx", rows)
    data = command("compare", path, "--job", "A", "--job", "B", "--book", demo_book, "--json").data
    assert [c["key"] for c in data["changes"]] == ["heated_floor"]
    toml = tmp_path / "a.toml"
    toml.write_text("[scope]\nkind = 'bathroom'\narea = '48 sq ft'\nitems = ['toilet']\n")
    mixed = command("compare", toml, path, "--job", "B", "--book", demo_book, "--json").data
    assert mixed["second"]["name"] == "B"
    told = command("compare", path, *["--job", "A"] * 3, "--book", demo_book).told
    assert told == "--job is given 3 times; expected once or twice."


def test_options_stand_on_top_of_a_sheet(command: Command, demo_book: Path, sheet: Path) -> None:
    data = command("check", sheet, "--price", "30,000", "--book", demo_book, "--json").data
    assert data["price"] == 30_000


def test_a_toml_holds_one_job_only(command: Command, demo_book: Path) -> None:
    told = command("check", QUOTE, "--job", "Q-118", "--book", demo_book).told
    assert told == "--job is given, but quote_sane.toml holds one job only; expected no --job."


def test_answers_on_file_hold_for_the_sheet_too(
    command: Command, demo_book: Path, tmp_path: Path
) -> None:
    jobs, book = tmp_path / "jobs.csv", tmp_path / "own.book"
    jobs.write_text("Job,Phase,Planned cost,Actual cost\nJ-1,rough,100,120\n")
    assert command("import", jobs, "--book", book).code == 0
    rows = {"Jobs": [simple()], "Phases": [{"Job": "Q-118", "Phase": "rough", "Planned cost": 9}]}
    path = workbook(tmp_path / "q.xlsx", rows)
    assert "'rough' may mean" in command("check", path, "--book", book).told
    answers = tmp_path / "answers.csv"
    assert command("questions", "--write", answers, "--book", book).code == 0
    with answers.open(newline="", encoding="utf-8-sig") as file:
        heads, first = list(csv.reader(file))
    first[heads.index("answer")] = "framing"
    with answers.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([heads, first])
    assert command("answer", answers, "--book", book).code == 0
    assert "records cannot check" in command("check", path, "--book", book).out


def test_a_word_explained_once_is_understood_in_options_and_scope_files(
    command: Command, tmp_path: Path
) -> None:
    rows = "".join(
        f"Job {n},bath,{45 + n},{15000 + 700 * n},gleamer; niche\n"
        if n % 2
        else f"Job {n},bath,{45 + n},{15000 + 700 * n},toilet\n"
        for n in range(8)
    )
    jobs, book, scope = tmp_path / "jobs.csv", tmp_path / "jobs.book", tmp_path / "scope.toml"
    jobs.write_text(f"Job,Kind,Size,Cost,What we did\n{rows}", "utf-8")
    scope.write_text(
        "[scope]\nkind = 'bathroom'\narea = '46 sq ft'\nitems = ['gleamer']\n", "utf-8"
    )
    assert command("import", jobs, "--book", book).code == 0
    asked = ("--area", "46", "--kind", "bathroom", "--items", "gleamer", "--book", book)
    assert command("estimate", *asked).code == 2
    answers = tmp_path / "answers.csv"
    answers.write_text("id,answer\nscope: gleamer,wall tile\n", "utf-8")
    assert command("answer", answers, "--book", book).code == 0
    assert command("estimate", *asked).code == 0
    assert command("estimate", scope, "--book", book).code == 0
    assert command("calendar", *asked, "--start", "2027-01-11").code == 0
    more = command("compare", scope, "--with", "niche", "--without", "gleamer", "--book", book)
    assert more.code == 0, more.err

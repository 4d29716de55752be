"""One line typed by hand: kept, shown, asked about, listed, taken back."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import typer

from costlearn.book.store import Book
from costlearn.cli import adding
from costlearn.records import JobEntry, Span

from .conftest import Command

LINE = (
    "Fir Lane ensuite, 76 sq ft, curbless, heated floor 35, bench, 25 days 2 men, 33-35k all in, "
    "finished 12 Feb 2026"
)
ROWS = (
    "Main bath + hall laundry, full gut, walk-in shower, bench, heated floor, new wall, washer "
    "rough-in, 105 sf, $36,000 to $41,000 CAD, 17 days, two of us",
    "Hall bath, tub out, tub in, tile surround, vanity, 45 sf, ~18k, 9 days me alone",
    "Powder room, toilet, vanity, floor tile, 22 sf, 7k-8k, 4 days",
    "Basement bath, new bath, shower base, 38 sf, about 21,000, 12 days 1 man",
    "Ensuite walk-in, tub to shower, glass, niche, floor tile, 70 sf, 28 - 31k, 11 days, 2 men",
)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path / "jobs.book"


def jobs_in(book: Path) -> list[JobEntry]:
    with Book.open(book) as kept:
        return [entry for entry in kept.entries() if isinstance(entry, JobEntry)]


def on_a_terminal(monkeypatch: pytest.MonkeyPatch, *answers: str) -> list[str]:
    """Somebody types these answers; what they were asked for comes back."""
    typed, asked = list(answers), []

    def prompt(text: str, **_: Any) -> str:
        asked.append(text)
        if not typed:
            raise typer.Abort
        return typed.pop(0)

    monkeypatch.setattr(adding, "_on_terminal", lambda: True)
    monkeypatch.setattr(typer, "prompt", prompt)
    return asked


def test_a_line_that_says_all_is_kept_and_shown(command: Command, here: Path) -> None:
    done = command("add", LINE)
    assert done.code == 0
    assert "bathroom, 76 sq ft, finished, finished 12 Feb 2026" in done.out
    assert "cost $33,000-35,000, 25 days on site, 2 on site a day, 50 person-days" in done.out
    assert "scope: curbless entry, heated floor 35 sq ft, bench" in done.out
    (job,) = jobs_in(here)
    assert job.rough == {"actual.cost": Span(3_300_000, 3_500_000)}
    again = command("add", LINE.replace(", bench", ",  BENCH"))
    assert "on file already, as line 1" in again.out
    assert len(jobs_in(here)) == 1


def test_the_rows_of_a_remembered_list_come_right_with_one_answer_of_money(
    command: Command, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for row in ROWS:
        assert command("add", row).code == 1
    assert jobs_in(here) == []
    asked = json.loads(command("questions", "--json").out)
    assert sum(one["topic"] == "part of a line" for one in asked) == len(ROWS)
    for number, one in enumerate(asked):
        if one["topic"] == "part of a line":
            sheet = here.with_name(f"answers{number}.csv")
            sheet.write_text(f'id,answer\n"{one["id"]}",cost\n', "utf-8")
            assert command("answer", str(sheet)).code == 0
    found = {job.job: job for job in jobs_in(here)}
    said = {
        name: (
            job.state, job.area_sqft, job.rough["actual.cost"], job.actual.site_days,
            job.actual.crew,
        )
        for name, job in found.items()
    }  # fmt: skip
    assert said == {
        "Main bath + hall laundry": ("finished", 105.0, Span(3_600_000, 4_100_000), 17.0, 2.0),
        "Hall bath": ("finished", 45.0, Span(1_800_000, 1_800_000), 9.0, 1.0),
        "Powder room": ("finished", 22.0, Span(700_000, 800_000), 4.0, None),
        "Basement bath": ("finished", 38.0, Span(2_100_000, 2_100_000), 12.0, 1.0),
        "Ensuite walk-in": ("finished", 70.0, Span(2_800_000, 3_100_000), 11.0, 2.0),
    }
    with Book.open(here) as kept:
        assert kept.firm().currency == "CAD"


def test_what_a_line_leaves_open_is_asked_in_place(
    command: Command, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = on_a_terminal(monkeypatch, "1")
    done = command("add", "Elm kitchen, 120 sf, 33k, 20 days 2 men")
    assert done.code == 0, done.err
    assert asked == ["answer"]
    assert "its figures wait for an answer" in done.out
    assert "cost $33,000, 20 days on site" in done.out
    assert jobs_in(here)[0].actual.cost == 3_300_000


def test_without_a_line_one_is_asked_for(
    command: Command, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "no line is given" in command("add").err
    on_a_terminal(monkeypatch, "Elm kitchen, 120 sf, 33k all in, 20 days 2 men")
    assert command("add").code == 0
    assert jobs_in(here)[0].job == "Elm kitchen"


def test_lines_are_listed_and_taken_back_and_numbers_are_not_given_again(
    command: Command, here: Path
) -> None:
    command("add", LINE)
    command("add", "Elm kitchen, 120 sf, 33k all in, 20 days 2 men")
    listed = json.loads(command("add", "--list", "--json").out)
    assert [one["line"] for one in listed] == [1, 2]
    assert "Line 2 is taken back" in command("add", "--remove", "2").out
    assert [job.job for job in jobs_in(here)] == ["Fir Lane ensuite"]
    refused = command("add", "--remove", "2")
    assert (refused.code, "there is no line 2; expected one of 1" in refused.err) == (2, True)
    command("add", "Elm kitchen, 120 sf, 34k all in, 20 days 2 men")
    listed = json.loads(command("add", "--list", "--json").out)
    assert [one["line"] for one in listed] == [1, 3]


@pytest.mark.parametrize("line", ["76 sq ft, 33k all in", "Elm kitchen", "25 days, 2 men", ""])
def test_a_line_no_job_can_be_made_of_is_refused(command: Command, here: Path, line: str) -> None:
    done = command("add", line)
    assert done.code == 2
    assert "expected a name, then what is known" in done.err


def test_lines_survive_an_export(command: Command, here: Path, tmp_path: Path) -> None:
    command("add", LINE)
    copy = tmp_path / "copy"
    assert command("jobs", "--export", str(copy)).code == 0
    other = tmp_path / "other.book"
    assert command("import", str(copy), "--book", str(other)).code == 0
    assert jobs_in(other)[0].rough == jobs_in(here)[0].rough


def test_a_line_is_asked_about_like_a_file(command: Command, demo_book: Path) -> None:
    book = ("--book", str(demo_book))
    said = command("estimate", "hall bath, 46 sq ft, gut, niche, 3 lights", *book, "--json")
    options = command(
        "estimate", "--area", "46 sq ft", "--kind", "bathroom", "--items", "gut; niche; 3 lights",
        *book, "--json",
    )  # fmt: skip
    one, other = json.loads(said.out), json.loads(options.out)
    assert one["sentence"] == other["sentence"]
    line = "hall bath, 46 sq ft, gut, niche, price 24,500, planned 14 days 2 men"
    checked = json.loads(command("check", line, *book, "--json").out)
    assert checked["job"]["price"] == 2_450_000
    for wrong, why in (
        ("hall bath, 46 sq ft, 24,500", "expected 'cost 24,500' or 'price 24,500'"),
        ("hall bath, 46 sq ft, finished 3 Mar 2026", "is finished, not quoted"),
        ("my folder/scope", "is no file that is there"),
    ):
        done = command("check", wrong, *book)
        assert (done.code, why in done.err) == (2, True), done.err

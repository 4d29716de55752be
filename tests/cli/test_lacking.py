"""The list of jobs: a line each, and which finished jobs lack what, with the cell that holds it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Command
from tests.cli.test_importing import flat, written

HEAD = "Job,Kind,Size,Cost,Time,Finished\n"
FULL = "J-1 hall bath,bathroom,45 sf,13000,9 days me alone,2024-03-20\n"


def lines_of(command: Command, folder: Path, *names: str) -> str:
    book = folder / "b"
    assert command("import", *(folder / name for name in names), "--book", book).code == 0
    return flat(command("jobs", "--book", book).out)


def test_nothing_is_lacking_where_all_is_written_down(command: Command, tmp_path: Path) -> None:
    written(tmp_path, "jobs.csv", HEAD + FULL)
    assert "no cost" not in (said := lines_of(command, tmp_path, "jobs.csv"))
    assert "has no" not in said
    assert "have no" not in said


def test_a_cell_that_is_none_is_named(command: Command, tmp_path: Path) -> None:
    bad = FULL.replace("J-1", "J-2").replace("13000", "see Ann")
    written(tmp_path, "jobs.csv", HEAD + FULL + bad + FULL.replace("J-1", "J-3"))
    said = lines_of(command, tmp_path, "jobs.csv")
    assert "1 finished job has no cost: jobs.csv, column 'Cost', row 3" in said


def test_a_column_that_is_asked_about_is_named_with_its_question(
    command: Command, tmp_path: Path
) -> None:
    rows = "".join(f"J-{n} bath,bathroom,45 sf,1{n}000.50,2024-03-20\n" for n in range(1, 9))
    written(tmp_path, "jobs.csv", f"Job,Kind,Size,Grand zorp,Finished\n{rows}")
    said = lines_of(command, tmp_path, "jobs.csv")
    (asked,) = [
        n
        for n, q in enumerate(command("questions", "--book", tmp_path / "b", "--json").data, 1)
        if q["topic"] == "column"
    ]
    assert f"8 finished jobs have no cost: jobs.csv, column 'Grand zorp' (question {asked})" in said
    assert "8 finished jobs have no days: jobs.csv" in said


def test_jobs_of_which_nobody_said_whether_they_are_over_name_the_question(
    command: Command, tmp_path: Path
) -> None:
    rows = "".join(f"J-{n} bath,{n}500,{n + 4} days\n" for n in range(4, 9))
    written(tmp_path, "list.csv", f"Job,Price,Days\n{rows}")
    said = lines_of(command, tmp_path, "list.csv")
    assert "5 jobs are not known to be finished: list.csv" in said
    topics = [q["topic"] for q in command("questions", "--book", tmp_path / "b", "--json").data]
    assert f"finished: list.csv (question {topics.index('jobs of a list') + 1})" in said


def test_at_most_six_lines_the_most_jobs_first(command: Command, tmp_path: Path) -> None:
    names = [f"y{n}.csv" for n in range(4)]
    for n, name in enumerate(names):
        rows = "".join(f"{name[:2]}-{m} bath,bathroom,2024-03-20\n" for m in range(4 - n))
        written(tmp_path, name, f"Job,Kind,Finished\n{rows}")
    book = tmp_path / "b"
    assert command("import", *(tmp_path / n for n in names), "--book", book).code == 0
    out = command("jobs", "--book", book).out.splitlines()
    lacks = [x for x in out if x.startswith("  ") and ("finished job" in x or "more such" in x)]
    assert len(lacks) == 6
    assert "4 finished jobs have no" in lacks[0]
    assert lacks[-1].strip() == "and 11 more such"


@pytest.mark.parametrize("width", [80, 100])
def test_each_job_takes_one_line(
    command: Command, demo_book: Path, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    lines = command("jobs", "--book", demo_book).out.splitlines()
    head = next(n for n, line in enumerate(lines) if line.split()[:2] == ["job", "kind"])
    end = next(n for n, line in enumerate(lines[head:], head) if not line.strip())
    assert end - head - 2 == 48
    assert max(map(len, lines)) <= width

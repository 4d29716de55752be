"""What an import says and leaves out, folders, copies, files taken back, figures that moved."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
import xlsxwriter

from costlearn.cli.effects import losses, moved, say_moved
from costlearn.firm import Firm
from costlearn.records import Amounts, History, Job
from tests.cli.conftest import Command

HEAD = "Job,Kind,Floor area,Cost,Price,Days on site,Started,Finished\n"
ROWS = (
    "A1 hall bath,bathroom,45 sf,13000,19500,15,2024-03-01,2024-03-20\n"
    "A2 ensuite,bathroom,60 sf,17000,25000,19,2024-05-01,2024-05-29\n"
    "A3 laundry,laundry,40 sf,9000,13500,9,2024-06-03,2024-06-14\n"
)
HOURS = "Job,Person,Date,Hours\nA1 hall bath,Ann,2024-03-04,8\nA2 ensuite,Ann,2024-05-06,8\n"


def written(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")
    return path


def as_workbook(path: Path, text: str) -> Path:
    """The same cells as a workbook, numbers as numbers."""
    with xlsxwriter.Workbook(str(path), {"strings_to_numbers": True}) as made:
        sheet = made.add_worksheet()
        for number, row in enumerate(csv.reader(text.splitlines())):
            sheet.write_row(number, 0, row)
    return path


def flat(text: str) -> str:
    return " ".join(text.split())


def test_a_file_with_much_to_say_takes_twelve_lines_what_is_wrong_first(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    bad = "".join(
        f"B{n} bath,bathroom,{'x' * 30} {n} of a floor that nobody measured,{n}000,,,,2024-03-20\n"
        for n in range(10, 20)
    )
    file = written(tmp_path, "jobs.csv", HEAD + ROWS + bad + "TOTAL,,,200000,58000,43,,\n")
    told = command("import", file, "--book", tmp_path / "b").out.splitlines()
    end = next(n for n, line in enumerate(told) if line.startswith("On file: "))
    assert end <= 12
    assert max(map(len, told[:end])) <= 80
    said = flat("\n".join(told[:end]))
    assert "2 sums agree, 1 sum does not agree" in said
    assert said.index("Does not agree: 'TOTAL' says 200,000.00") < said.index("Set aside:")
    details = command("import", file, "--details", "--book", tmp_path / "b")
    assert "nothing new" in details.out, "the details of a file on file are shown again"
    assert "columns: 'Job' is job" in flat(details.out)


def test_a_folder_is_read_in_the_order_of_names_and_what_is_no_table_is_counted(
    command: Command, tmp_path: Path
) -> None:
    folder = tmp_path / "records"
    written(folder, "2024/jobs.csv", HEAD + ROWS)
    written(folder, "a/copy of jobs.csv", HEAD + ROWS)
    written(folder, "hours.csv", HOURS)
    written(folder, ".hidden.csv", HOURS)
    written(folder, "~$hours.xlsx", "lock")
    written(folder, ".cache/old.csv", HOURS)
    written(folder, "letter.txt", "Dear client, a bathroom is not built in a day.\n")
    written(folder, "plan.pdf", "%PDF")
    done = command("import", folder, "--book", tmp_path / "b")
    assert done.code == 0, done.err
    said = flat(done.out)
    assert "3 spreadsheets; left out: 2 are no table, 3 are hidden or a lock." in said
    assert said.count("the book has its content already, as records/2024/jobs.csv") == 1
    order = [said.index(name) for name in ("/jobs.csv: 3 jobs", "/copy of", "/hours.csv: 2")]
    assert order == sorted(order)
    assert len(command("jobs", "--book", tmp_path / "b", "--json").data) == 3
    data = command("import", folder, "--book", tmp_path / "b", "--json").data
    assert [f["change"] for f in data["files"]] == ["unchanged"] * 3
    assert len(data["folders"]) == 1


def test_a_folder_without_a_spreadsheet_and_no_file_at_all_are_refused(
    command: Command, tmp_path: Path
) -> None:
    (tmp_path / "empty").mkdir()
    told = command("import", tmp_path / "empty", "--book", tmp_path / "b").told
    assert "no spreadsheet is in this folder" in told
    assert "no file is named" in command("import", "--book", tmp_path / "b").told
    assert not (tmp_path / "b").exists()


def test_an_answer_sheet_is_no_table_of_records(command: Command, tmp_path: Path) -> None:
    folder, book = tmp_path / "records", tmp_path / "b"
    written(folder, "jobs.csv", HEAD + ROWS)
    assert command("import", folder, "--book", book).code == 0
    sheet = folder / "answers.csv"
    assert command("questions", "--write", sheet, "--book", book).code == 0
    assert "this is an answer sheet" in command("import", sheet, "--book", book).told
    done = command("import", folder, "--book", book)
    assert done.code == 0
    assert f"answers.csv holds answers: costlearn answer {sheet}" in flat(done.out)


def test_files_on_file_are_listed_and_one_is_taken_back(command: Command, tmp_path: Path) -> None:
    book = tmp_path / "home" / "b"
    book.parent.mkdir()
    jobs, hours = written(tmp_path, "y/jobs.csv", HEAD + ROWS), written(tmp_path, "h.csv", HOURS)
    assert command("import", jobs, hours, "--book", book).code == 0
    listed = command("import", "--list", "--book", book).out
    assert [w in listed for w in ("jobs.csv", "3 job rows", "h.csv", "2 hours rows")] == [True] * 4
    data = command("import", "--list", "--book", book, "--json").data
    assert [(f["file"], f["rows"]) for f in data] == [
        ("jobs.csv", {"job rows": 3}), ("h.csv", {"hours rows": 2}),
    ]  # fmt: skip
    said = flat(command("import", "--remove", jobs, "--book", book).out)
    assert "jobs.csv: removed, job rows: 3 removed." in said
    assert "1 job is gone, 2 jobs lose their cost, 2 jobs lose their price" in said
    assert [f["file"] for f in command("import", "--list", "--book", book, "--json").data] == [
        "h.csv"
    ]
    assert command("import", jobs, "--book", book).code == 0
    gone = command("import", "--remove", "OBS.csv", "--book", book, "--json").data
    assert (gone["file"], gone["removed"]) == ("jobs.csv", {"job rows": 3})
    told = command("import", "--remove", "jobs.csv", "--book", book).told
    assert "the book has no file 'jobs.csv'; expected one of h.csv" in told
    assert "stand alone" in command("import", jobs, "--list", "--book", book).told
    assert command("import", "--remove", "h.csv", "--book", book).code == 0
    assert "No file is on file." in command("import", "--list", "--book", book).out


def test_the_same_content_under_another_name_folder_or_form_is_not_added_twice(
    command: Command, tmp_path: Path
) -> None:
    book = tmp_path / "b"
    first = written(tmp_path, "hours.csv", HOURS)
    assert command("import", first, "--book", book).code == 0
    again = (
        written(tmp_path, "hours (1).csv", HOURS),
        written(tmp_path, "other/hours.csv", HOURS.replace("\n", "\r\n")),
        written(tmp_path, "sep.csv", HOURS.replace(",", ";")),
        as_workbook(tmp_path / "hours.xlsx", HOURS),
    )
    for path in again:
        done = command("import", path, "--book", book)
        assert "the book has its content already, as hours.csv" in flat(done.out), path
    more = written(tmp_path, "more.csv", HOURS + "A1 hall bath,Ann,2024-03-05,8\n")
    assert "3 hours lines read" in command("import", more, "--book", book).out


def test_bills_without_a_date_may_be_the_same_twice(command: Command, tmp_path: Path) -> None:
    bills = "Job,Payee,Amount\nA1 hall bath,tile yard,400\nA1 hall bath,tile yard,120\n"
    files = written(tmp_path, "w1.csv", bills), written(tmp_path, "w2.csv", bills + "\n")
    data = command("import", *files, "--book", tmp_path / "b", "--json").data
    assert [f["change"] for f in data["files"]] == ["new", "new"]


def test_a_file_read_again_says_which_figures_moved(command: Command, tmp_path: Path) -> None:
    book, file = tmp_path / "b", written(tmp_path, "jobs.csv", HEAD + ROWS)
    assert "Moved" not in command("import", file, "--book", book).out
    now = ROWS.replace("13000", "14500").replace("25000", "25900").replace("40 sf", "")
    written(tmp_path, "jobs.csv", HEAD + now)
    said = flat(command("import", file, "--book", book).out)
    assert "3 jobs read (job rows: 3 changed)" in said
    assert (
        "Moved by more than a tenth: 'A1 hall bath': cost from $13,000 to $14,500 "
        "'A3 laundry': size from 40 sq ft to not recorded On file" in said
    )
    written(tmp_path, "jobs.csv", HEAD + ROWS)
    data = command("import", file, "--book", book, "--json").data
    assert data["moved"] == [
        {"job": "A1 hall bath", "figure": "cost", "was": 1_450_000, "now": 1_300_000}
    ]


def test_at_most_five_figures_that_moved_are_named(command: Command, tmp_path: Path) -> None:
    rows = "".join(f"J{n} bath,bathroom,45 sf,1{n}000,,,,2024-03-20\n" for n in range(8))
    book, file = tmp_path / "b", written(tmp_path, "jobs.csv", HEAD + rows)
    assert command("import", file, "--book", book).code == 0
    written(tmp_path, "jobs.csv", HEAD + rows.replace("000,,", "00000,,"))
    said = flat(command("import", file, "--book", book).out)
    assert said.count(": cost from $") == 5
    assert "and 3 more On file" in said


def test_what_moves_and_what_is_lost_is_told_of_each_figure() -> None:
    was = Job("a", "A", paid=100_00, actual=Amounts(cost=50_00, site_days=4.0), area_sqft=40.0)
    now = Job("a", "A", paid=109_00, actual=Amounts(cost=None, site_days=5.0), area_sqft=40.0)
    before, after = History(jobs=(was, Job("b", "B"))), History(jobs=(now,))
    found = moved(before, after)
    assert [(m.figure, m.was, m.now) for m in found] == [
        ("cost", 5000, None),
        ("days on site", 4, 5),
    ]
    assert say_moved(found[1], Firm()) == "'A': days on site from 4 days to 5 days"
    assert losses(before, after) == ["1 job is gone", "1 job loses its cost"]


def test_the_one_currency_that_lists_of_jobs_name_is_the_firms(
    command: Command, tmp_path: Path
) -> None:
    book = tmp_path / "b"
    jobs = written(tmp_path, "j.csv", HEAD + ROWS.replace("13000", "CAD 13000"))
    assert command("import", jobs, "--book", book).code == 0
    assert command("settings", "--book", book, "--json").data["currency"] == "CAD"

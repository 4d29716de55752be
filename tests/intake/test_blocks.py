"""Several tables stacked on one sheet, and the job a table without a column for it belongs to."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from costlearn.firm import Firm
from costlearn.intake.on_top import says_no_name
from costlearn.intake.reader import read_file
from costlearn.records import Batch, ChangeEntry, CostEntry, HoursEntry, PhaseEntry

Read = Callable[..., Batch]


def texts(batch: Batch, kind: str) -> list[str]:
    return [f.text for f in batch.findings if f.kind == kind]


def figures(batch: Batch) -> list[tuple[str, str, float | None, int]]:
    return [
        (e.job, e.phase, e.actual.person_days, e.place.row)
        for e in batch.entries
        if isinstance(e, PhaseEntry)
    ]


ONE_TABLE_A_JOB = """Maple hall bath,,
Phase,Hrs,Cost
Demo,8,400
Tile,16,900
Total,24,1300

Oak ensuite,,
Phase,Hrs,Cost
Demo,4,200
Total,4,200
"""


def test_a_table_a_job_under_each_jobs_name(read: Read) -> None:
    batch = read(ONE_TABLE_A_JOB)
    assert figures(batch) == [
        ("Maple hall bath", "demo", 1.0, 3),
        ("Maple hall bath", "tile", 2.0, 4),
        ("Oak ensuite", "demo", 0.5, 9),
    ]
    assert all("agrees" in t for t in texts(batch, "checked"))
    assert len(texts(batch, "checked")) == 4
    assert any("2 tables stand on this sheet, from rows 1, 7 on" in t for t in
               texts(batch, "understood"))  # fmt: skip


def test_no_blank_line_between_the_tables(read: Read) -> None:
    assert figures(read(ONE_TABLE_A_JOB.replace("\n\n", "\n"))) == [
        ("Maple hall bath", "demo", 1.0, 3),
        ("Maple hall bath", "tile", 2.0, 4),
        ("Oak ensuite", "demo", 0.5, 8),
    ]


def test_headings_repeated_on_each_page_part_nothing(read: Read) -> None:
    batch = read("Job,Phase,Hrs\nA,Demo,8\n\nJob,Phase,Hrs\nA,Tile,16\nB,Demo,4\n")
    assert [(j, p) for j, p, _, _ in figures(batch)] == [
        ("A", "demo"),
        ("A", "tile"),
        ("B", "demo"),
    ]
    assert sum("headings are repeated" in t for t in texts(batch, "understood")) == 1


def test_tables_of_different_kinds_on_one_sheet(read: Read) -> None:
    batch = read(
        "Job: Maple hall bath,,,\n\nHours,,,\nDate,Who,Phase,Hrs\n2025-03-03,Ann,demo,8\n\n"
        "Receipts,,,\nDate,Vendor,Category,Amount\n2025-03-04,Tile yard,Materials,400\n\n"
        "Change orders,,,\nChange order,Amount,Approved,\nextra niche,350,yes,\n"
    )
    hours, cost, change = batch.entries
    assert isinstance(hours, HoursEntry)
    assert isinstance(cost, CostEntry)
    assert isinstance(change, ChangeEntry)
    assert (hours.job, hours.place.row) == ("Maple hall bath", 5)
    assert (cost.job, cost.net, cost.place.row) == ("Maple hall bath", 40_000, 9)
    assert (change.job, change.price, change.place.row) == ("Maple hall bath", 35_000, 13)


def test_a_line_that_names_the_job(read: Read) -> None:
    for line in (
        "Job: Maple hall bath,,",
        "Client,Maple hall bath,",
        "Chantier : Maple hall bath,,",
    ):
        batch = read(f"{line}\n\nPhase,Hrs,Cost\nDemo,8,400\n")
        assert [e.job for e in batch.entries] == ["Maple hall bath"]
        assert not any("no column" in t for t in texts(batch, "proposed"))


def test_cost_lines_take_a_job_only_from_a_line_that_says_so(read: Read) -> None:
    lines = "Date,Vendor,Category,Amount\n2025-03-04,Tile yard,Materials,400\n"
    assert [e.job for e in read(lines, name="Maple.csv").entries] == [None]
    assert [e.job for e in read("Job: Maple,,,\n" + lines).entries] == ["Maple"]


def workbook(path: Path, sheets: dict[str, list[list[object]]]) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


@pytest.mark.parametrize(
    "months", [("Jan 2025", "Feb 2025"), ("janvier", "février"), ("2025-01", "2025-02")]
)
def test_a_workbook_a_job_with_a_sheet_a_month(tmp_path: Path, months: tuple[str, str]) -> None:
    head = ["Date", "Who", "Phase", "Hrs"]
    path = workbook(
        tmp_path / "Maple hall bath.xlsx",
        {
            months[0]: [head, ["2025-01-06", "Ann", "demo", 8]],
            months[1]: [head, ["2025-02-03", "Ann", "tile", 6.5], ["", "TOTAL", "", 6.5]],
        },
    )
    batch = read_file(path, Firm())
    hours = [e for e in batch.entries if isinstance(e, HoursEntry)]
    assert [(e.job, e.hours, e.place.sheet) for e in hours] == [
        ("Maple hall bath", 8, months[0]),
        ("Maple hall bath", 6.5, months[1]),
    ]
    assert [f.kind for f in batch.findings if "6.5 hours agrees" in f.text] == ["checked"]


def test_a_sheet_a_job(tmp_path: Path) -> None:
    rows = [["Phase", "Hrs", "Cost"], ["Demo", 8, 400]]
    path = workbook(tmp_path / "2024.xlsx", {"Maple bath": list(rows), "Oak ensuite": list(rows)})
    assert [e.job for e in read_file(path, Firm()).entries] == ["Maple bath", "Oak ensuite"]


@pytest.mark.parametrize(
    ("text", "nothing"),
    [
        ("Sheet1", True), ("Feuil2", True), ("Mars 2025", True), ("août", True), ("2025", True),
        ("Receipts 2025", True), ("Hours log", True), ("Week of 3 March", True), ("", True),
        ("Maple bath", False), ("J-07", False), ("March house", False), ("12 Oak", False),
        ("May Street kitchen", False),
    ],
)  # fmt: skip
def test_names_that_tell_when_or_what_and_not_whose(text: str, nothing: bool) -> None:
    assert says_no_name(text) is nothing

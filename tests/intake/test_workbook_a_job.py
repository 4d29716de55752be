"""A workbook a job: the title inside names it, for bills where the file bears it out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest
import xlsxwriter

from costlearn.firm import Firm
from costlearn.intake.on_top import named_on_top, without_quote_words
from costlearn.intake.reader import read_file
from costlearn.records import Batch, CostEntry, JobEntry, PhaseEntry

Rows = Sequence[Sequence[object]]
BILLS: Rows = (
    ("Date", "Item", "Amount"),
    ("2024-03-11", "Tub", 894.0),
    ("2024-03-13", "Wall tile", 1216.5),
    (None, "Total", 2110.5),
)
STEPS: Rows = (
    (None, "plan h", "plan $", "did h", "came to $"),
    ("Demo", 8, 590, 9, 630),
    ("Tile + grout", 6, 330, 6, 325),
    ("Paint", 3, 120, 2, 110),
    ("Framing + blocking", 3, 120, 2, 110),
)


def read(folder: Path, name: str, sheets: Mapping[str, Rows], known: Sequence[str] = ()) -> Batch:
    path = folder / name
    book = xlsxwriter.Workbook(path)
    for title, rows in sheets.items():
        sheet = book.add_worksheet(title)
        for at, row in enumerate(rows):
            sheet.write_row(at, 0, row)
    book.close()
    return read_file(path, Firm(), known_jobs=known)


def jobs(batch: Batch) -> set[str | None]:
    return {entry.job for entry in batch.entries}


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("QUOTE - Bayview hall bathroom", "Bayview hall bathroom"),
        ("Elm bath quote 2", "Elm bath"),
        ("Quote for the brick house laundry room", "brick house laundry room"),
        ("Ironwood bath - what it took", "Ironwood bath"),
    ],
)
def test_what_is_no_part_of_a_name(title: str, name: str) -> None:
    assert without_quote_words(title) == name


def test_firm_names_sheets_and_dates_name_no_job() -> None:
    rows = [["Haskle & Corravel"], ["Job sheet"], ["March 2025"], ["Bathrooms and kitchens 2024"]]
    assert named_on_top(rows, ()) == ""
    assert named_on_top([*rows, ["Basswood"]], ["Basswood"]) == "Basswood"


def test_bills_below_a_jobs_name_are_its(tmp_path: Path) -> None:
    batch = read(tmp_path, "Pintail.xlsx", {"Sheet1": (("Pintail bath",), (), *BILLS)})
    assert jobs(batch) == {"Pintail bath"}
    assert sum(e.net for e in batch.entries if isinstance(e, CostEntry)) == 211_050


def test_bills_below_a_title_that_nothing_bears_out_are_nobodys(tmp_path: Path) -> None:
    rows = (("Kitchen supplies",), (), ("Date", "Paid to", "Item", "Amount"),
            ("2024-03-11", "Shop", "Tub", 894.0))  # fmt: skip
    assert jobs(read(tmp_path, "march.xlsx", {"Sheet1": rows})) == {None}


def test_a_jobs_name_on_file_names_the_sheet(tmp_path: Path) -> None:
    sheets = {"Sheet1": (("Basswood",), (), *BILLS)}
    assert jobs(read(tmp_path, "bills.xlsx", sheets, ["Basswood"])) == {"Basswood"}


def test_the_title_wins_over_the_files_name_and_the_difference_is_said(tmp_path: Path) -> None:
    name = "copy of Birch hall (dogwood).xlsx"
    batch = read(tmp_path, name, {"Sheet1": (("Dogwood kitchen",), *STEPS)})
    assert jobs(batch) == {"Dogwood kitchen"}
    said = [f.text for f in batch.findings if "its file is called" in f.text]
    assert said == [
        "no column names the job; the sheet says 'Dogwood kitchen', though its file is called "
        "'copy of Birch hall (dogwood)'"
    ]


def test_steps_under_no_heading_are_phases_and_no_jobs(tmp_path: Path) -> None:
    batch = read(tmp_path, "Birch hall.xlsx", {"Sheet1": (("Birch hall bath",), (), *STEPS)})
    assert not any(isinstance(entry, JobEntry) for entry in batch.entries)
    demo = next(e for e in batch.entries if isinstance(e, PhaseEntry) and e.phase == "demo")
    assert (demo.plan.cost, demo.actual.cost) == (59_000, 63_000)


def test_a_sheet_of_its_own_for_the_plan_is_planned(tmp_path: Path) -> None:
    rows: Rows = (("step", "hours", "cost"), ("Demo", 8, 590), ("Tile", 6, 330))
    sheets = {
        "plan": (("Ironwood bath",), (), *rows),
        "what it came to": (("Ironwood bath - what it took",), (), *rows),
        "loose": rows,
    }
    batch = read(tmp_path, "ironwood FINAL.xlsx", sheets)
    assert jobs(batch) == {"Ironwood bath"}
    found = {(e.place.sheet, bool(e.plan.cost)) for e in batch.entries if isinstance(e, PhaseEntry)}
    assert found == {("plan", True), ("what it came to", False), ("loose", False)}

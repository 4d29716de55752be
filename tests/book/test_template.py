"""The empty workbook: every choice it offers is understood, and what is filled in comes back."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from costlearn.book.template import lists, sheets, template
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.intake.headers import HeadingReader
from costlearn.intake.reader import read_file
from costlearn.records import (
    Amounts,
    ChangeEntry,
    CostEntry,
    Entry,
    HoursEntry,
    JobEntry,
    PhaseEntry,
)
from costlearn.vocabulary import fold, standard

FIRM = Firm()
DAY = datetime(2025, 4, 7)


def made(folder: Path, firm: Firm = FIRM) -> Path:
    path = folder / "records.xlsx"
    path.write_bytes(template(firm))
    return path


def fill(path: Path, rows: dict[str, list[dict[str, Any]]]) -> None:
    """Fill in rows below the examples, as a person does: by the headings."""
    book = load_workbook(path)
    for name, lines in rows.items():
        sheet = book[name]
        at = {c.value: c.column for c in sheet[1]}
        for number, line in enumerate(lines, 3):
            for heading, value in line.items():
                sheet.cell(number, at[heading], value)
    book.save(path)


FILLED: dict[str, list[dict[str, Any]]] = {
    "Jobs": [
        {
            "Job": "J-07 ensuite", "Kind": "bathroom", "State": "finished", "Quoted on": DAY,
            "Started": datetime(2025, 5, 5), "Finished": datetime(2025, 5, 23),
            "Floor area (sq ft)": 61.5, "Grade": "high", "House built": 1971,
            "Quoted price": 21400, "Price paid": 22150.5, "Planned cost": 15000,
            "Actual cost": 15800.25, "Books closed": "yes", "Notes": "tight stair",
        },
        {"Job": "J-08 laundry", "Kind": "laundry", "State": "quoted"},
    ],
    "Scope": [
        {"Job": "J-07 ensuite", "Item": "wall tile", "Size": 110, "Unit": "sq ft"},
        {"Job": "J-07 ensuite", "Item": "floor tile", "Size": 4, "Unit": "m²"},
        {"Job": "J-07 ensuite", "Item": "bench", "Size": "no"},
        {"Job": "J-07 ensuite", "Item": "curbless entry"},
    ],
    "Phases": [
        {
            "Job": "J-07 ensuite", "Phase": "Tile and grout", "Planned person-days": 4.5,
            "Planned cost": 2600, "Actual cost": 3100, "Books closed": "no",
        },
    ],
    "Hours": [
        {"Job": "J-07 ensuite", "Day": datetime(2025, 5, 12), "Person": "Ann",
         "Phase": "Tile and grout", "Hours": 6.25},
        {"Job": "J-07 ensuite", "Day": datetime(2025, 5, 13), "Person": "Bo",
         "Phase": "Painting", "Hours": 3, "Waiting": "yes", "Notes": "paint late"},
        {"Job": "J-07 ensuite", "Day": datetime(2025, 9, 2), "Person": "Ann",
         "Phase": "Tile and grout", "Hours": 2, "Call-back of": "Backer, membrane, flood test"},
    ],
    "Receipts": [
        {"Job": "J-07 ensuite", "Day": datetime(2025, 5, 9), "Payee": "tile shop",
         "Document": "A-77", "Kind": "Materials", "Amount before tax": 812.4, "Tax": 105.61,
         "Phase": "Tile and grout"},
        {"Day": datetime(2025, 5, 10), "Payee": "yard", "Kind": "Disposal",
         "Amount before tax": -20},
    ],
    "Changes": [
        {"Job": "J-07 ensuite", "Change": "second niche", "Price": 750, "Cost": 480, "Days": 1,
         "State": "approved", "Phase": "Tile and grout"},
    ],
}  # fmt: skip


def at(sheet: str, row: int) -> Place:
    return Place("records.xlsx", sheet, row)


EXPECTED: list[Entry] = [
    JobEntry(
        "J-07 ensuite", at("Jobs", 3), kind="bathroom", state="finished",
        quoted_on=date(2025, 4, 7), started=date(2025, 5, 5), finished=date(2025, 5, 23),
        area_sqft=61.5, grade=2.0, house_year=1971, price=2_140_000, paid=2_215_050,
        plan=Amounts(cost=1_500_000), actual=Amounts(cost=1_580_025, elapsed_days=15.0),
        books_closed=True, notes="tight stair",
    ),
    JobEntry("J-08 laundry", at("Jobs", 4), kind="laundry", state="quoted"),
    JobEntry("J-07 ensuite", at("Scope", 3), scope={"wall_tile": 110.0}),
    # 1 m2 = 10.7639 sq ft (international foot of 0.3048 m).
    JobEntry("J-07 ensuite", at("Scope", 4), scope={"floor_tile": 4 * 10.7639}),
    JobEntry("J-07 ensuite", at("Scope", 5), scope={"bench": 0.0}),
    JobEntry("J-07 ensuite", at("Scope", 6), scope={"curbless": 1.0}),
    PhaseEntry(
        "J-07 ensuite", "tile", at("Phases", 3), Amounts(cost=260_000, person_days=4.5),
        Amounts(cost=310_000), books_closed=False,
    ),
    HoursEntry("J-07 ensuite", "Ann", date(2025, 5, 12), 6.25, at("Hours", 3), "tile"),
    HoursEntry(
        "J-07 ensuite", "Bo", date(2025, 5, 13), 3.0, at("Hours", 4), "paint", True, "paint late"
    ),
    HoursEntry(
        "J-07 ensuite", "Ann", date(2025, 9, 2), 2.0, at("Hours", 5), "tile",
        callback_of="waterproof",
    ),
    CostEntry(
        "J-07 ensuite", "material", 81_240, at("Receipts", 3), tax=10_561, day=date(2025, 5, 9),
        phase="tile", payee="tile shop", document="A-77",
    ),
    CostEntry(None, "disposal", -2_000, at("Receipts", 4), day=date(2025, 5, 10), payee="yard"),
    ChangeEntry(
        "J-07 ensuite", "second niche", "approved", at("Changes", 3), 75_000, 48_000, 1.0, "tile"
    ),
]  # fmt: skip


def test_what_is_filled_in_comes_back_and_nothing_is_asked(tmp_path: Path) -> None:
    path = made(tmp_path)
    fill(path, FILLED)
    batch = read_file(path, FIRM)
    assert list(batch.entries) == EXPECTED
    assert batch.count("asked") == 0
    assert batch.count("set aside") == 0
    assert batch.questions == ()


def test_the_empty_workbook_reads_as_nothing_and_says_why(tmp_path: Path) -> None:
    batch = read_file(made(tmp_path), FIRM)
    assert batch.entries == ()
    assert batch.count("set aside") == 0
    assert batch.count("asked") == 0
    told = [f.text for f in batch.findings if "example:" in f.text]
    assert len(told) == len(sheets(FIRM))


@pytest.mark.parametrize("unit", ["sqft", "sqm"])
def test_every_heading_is_known_beyond_doubt(unit: str) -> None:
    reader = HeadingReader(standard())
    for sheet in sheets(Firm(area_unit=unit)):
        kind = sheet.name.casefold()
        for field in sheet.fields:
            assert reader.match(field.heading, kind).how == "exact", (sheet.name, field.heading)
    area = reader.match(sheets(Firm(area_unit="sqm"))[0].fields[7].heading, "jobs")
    assert (area.field, area.unit) == ("area", "sqm")


def test_every_choice_of_a_list_is_a_word_the_readers_know() -> None:
    words = standard()
    offered = lists(words)
    assert {words.phase_words.get(fold(w)) for w in offered["phases"]} == {
        p.key for p in words.phases
    }
    assert {words.item_words.get(fold(w)) for w in offered["items"]} == {i.key for i in words.items}
    assert all(words.job_words.get(fold(w)) for w in offered["job kinds"])
    assert all(words.cost_words.get(fold(w)) for w in offered["cost kinds"])
    named = {f.choices for s in sheets(FIRM) for f in s.fields} - {"", "jobs"}
    assert named == set(offered)


def test_the_firm_s_own_phases_and_units_are_offered(tmp_path: Path) -> None:
    firm = Firm(area_unit="sqm", currency="EUR", phase_words={"stair_work": ("stairs",)})
    book = load_workbook(made(tmp_path, firm))
    assert "stair work" in [c.value for column in book["Lists"].columns for c in column]
    assert "Floor area (m²)" in [c.value for c in book["Jobs"][1]]
    assert book["Hours"].page_setup.paperSize == 9
    assert any("EUR" in str(c.value) for row in book["Start here"].rows for c in row)


def test_the_sheets_are_set_up_to_be_filled_in_and_printed(tmp_path: Path) -> None:
    book = load_workbook(made(tmp_path))
    assert book.sheetnames[0] == "Start here"
    told = " ".join(str(c.value) for row in book["Start here"].rows for c in row if c.value)
    assert "who worked on which phase each day" in told
    for name in FILLED:
        sheet = book[name]
        assert sheet.freeze_panes == "B2"
        assert sheet.print_title_rows == "$1:$1"
        assert sheet.page_setup.orientation == "landscape"
        assert sheet.cell(2, 1).value.startswith("example:")
        assert sheet.cell(2, 1).font.italic
        formulas = {v.formula1 for v in sheet.data_validations.dataValidation if v.type == "list"}
        assert formulas, name
        for formula in formulas:
            home, _, cells = formula.partition("!")
            values = [c[0].value for c in book[home][cells.replace("$", "")]]
            assert home == "Jobs" or all(values), formula
    formats = {c.value: book["Hours"].cell(2, c.column).number_format for c in book["Hours"][1]}
    assert formats["Day"] == "yyyy-mm-dd"


def test_the_same_firm_gets_the_same_workbook_byte_for_byte() -> None:
    assert template(FIRM) == template(FIRM)

"""Findings counted together for a person to read."""

from __future__ import annotations

from costlearn.errors import Place
from costlearn.intake.findings import Notes, outcome, summary
from costlearn.records import Batch, Finding, Question


def batch(*found: Finding) -> Batch:
    return Batch("a.csv", "0", (), found)


def cell(row: int, raw: str, column: str = "Budget") -> Finding:
    place = Place("a.csv", "", row, column)
    return Finding("set aside", place, f"'{raw}' is no amount of money", raw)


def test_like_cells_become_one_line() -> None:
    lines = summary(batch(*(cell(row, "IEH" if row % 3 else "FTK") for row in range(2, 302))))
    (line,) = lines
    assert line.count == 300
    assert [p.row for p in line.first_places] == [2, 3, 4]
    assert line.example.raw == "IEH"
    assert line.text == "'IEH' is no amount of money; likewise 'FTK' (100)"


def test_other_columns_and_kinds_stay_apart_in_the_order_of_kinds() -> None:
    asked = Finding("asked", Place("a.csv"), "who?")
    told = Finding("understood", Place("a.csv"), "so")
    lines = summary(batch(asked, cell(2, "IEH"), cell(2, "IEH", "Spent"), told))
    assert [(line.kind, line.count) for line in lines] == [
        ("understood", 1),
        ("set aside", 1),
        ("set aside", 1),
        ("asked", 1),
    ]
    assert lines[1].text == "'IEH' is no amount of money"


def test_what_is_noted_once_stays_once() -> None:
    notes = Notes()
    for row in range(3):
        notes.once("key", "proposed", Place("a.csv", "", row), "text")
    notes.once("other", "proposed", Place("a.csv"), "text")
    assert [f.place.row for f in notes.found] == [0, 0]


def test_what_a_person_must_know_is_sorted_by_what_it_is() -> None:
    place = Place("a.csv", "", 9, "Cost")
    few = Question("a", "phase", Place("a.csv", "", 2, "Phase"), "rough", "Which?", rows_waiting=9)
    dear = Question("b", "column", Place("a.csv", "", 1, "Zorp"), "Zorp", "What?", money=100)
    found = (
        Finding("checked", place, "'Total' 5.00 agrees", "Total", agrees=True),
        Finding("checked", Place("a.csv", "", 12, "Cost"), "'Sum' 5.00 agrees", "Sum", agrees=True),
        Finding("checked", place, "'TOTAL' says 7.00", "TOTAL", agrees=False),
        Finding("asked", few.place, "phase 'rough' may mean", "rough"),
        Finding("asked", Place("a.csv", "", 4, "Job"), "3 lines name no job"),
        Finding("set aside", Place("a.csv", "", 1, "Time"), "column 'Time' is not used", "Time"),
        Finding("set aside", Place("a.csv", "Notes"), "sheet of 3 rows is not used", "Dear"),
        cell(3, "5,4k"),
        Finding("proposed", Place("a.csv", "", 5, "Phase"), "'Tyle' is taken for 'tile'", "Tyle"),
        Finding("understood", Place("a.csv"), "so"),
    )
    told = outcome(Batch("a.csv", "0", (), found, (few, dear)))
    assert told.agree == 2
    assert [line.text for line in told.off] == ["'TOTAL' says 7.00"]
    assert told.waits == (dear, few)
    assert [line.text for line in told.asked] == ["3 lines name no job"]
    assert [line.example.raw for line in told.aside] == ["5,4k"]
    assert told.unused == ("Time", "Notes")
    assert [line.example.raw for line in told.read_as] == ["Tyle"]

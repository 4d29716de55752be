"""Findings counted together for a person to read."""

from __future__ import annotations

from costlearn.errors import Place
from costlearn.intake.findings import Notes, summary
from costlearn.records import Batch, Finding


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

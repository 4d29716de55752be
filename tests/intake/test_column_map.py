"""Reading through a column map."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from costlearn.errors import InputProblem
from costlearn.intake.columns import map_from
from costlearn.intake.reader import read_file
from costlearn.records import (
    HoursEntry,
    JobEntry,
    PhaseEntry,
)
from tests.intake.making import FIRM, Read, of, texts, workbook

ODD = "x,y\nBldg,What,Step,Bud,Spent,St\nK1,roof,Scope,PNS,100,Complete\nK1,roof,Fit,50,60,Open\n"
CHART = {
    "kind": "phases",
    "missing": ["PNS"],
    "columns": {
        "job": ["Bldg", "What"],
        "phase": "Step",
        "plan.cost": "bud ",
        "actual.cost": "Spent",
    },
    "phases": {"Scope": "precon", "Fit": "fitting"},
    "constants": {"books_closed": False},
    "only": {"St": "Complete"},
}


def test_a_map_says_all(read: Read) -> None:
    batch = read(ODD, column_map=map_from(CHART))
    (entry,) = of(batch, PhaseEntry)
    assert (entry.job, entry.phase, entry.books_closed) == ("K1 / roof", "precon", False)
    assert (entry.plan.cost, entry.actual.cost, entry.place.row) == (None, 10_000, 3)
    assert any("1 of 2 rows are left out" in t for t in texts(batch, "understood"))
    assert any("'PNS' means nothing is there" in t for t in texts(batch, "understood"))


def test_a_map_may_add_a_phase_of_the_firms_own(read: Read) -> None:
    batch = read(ODD, column_map=map_from({k: v for k, v in CHART.items() if k != "only"}))
    assert [e.phase for e in of(batch, PhaseEntry)] == ["precon", "fitting"]


def test_a_map_without_columns_only_adds_to_what_is_found(read: Read) -> None:
    chart = map_from({"constants": {"job": "Birch street bath", "books_closed": True}})
    batch = read("Phase,Hours,Cost\ndemo,8,100\n", column_map=chart)
    (entry,) = of(batch, PhaseEntry)
    assert (entry.job, entry.books_closed) == ("Birch street bath", True)


def test_a_map_that_names_a_column_not_there_names_those_that_are(read: Read) -> None:
    chart = map_from({"kind": "phases", "columns": {"job": "Bldg", "phase": "Trade"}})
    with pytest.raises(InputProblem) as caught:
        read(ODD, column_map=chart)
    message = str(caught.value)
    assert "row 2: the column map names a column 'Trade'" in message
    assert "'Bldg', 'What', 'Step'" in message


def test_a_map_that_picks_rows_by_a_column_not_there(read: Read) -> None:
    chart = map_from({"only": {"Statuss": "Complete"}})
    with pytest.raises(InputProblem, match=r"column 'Statuss' that is not there.*'Job', 'Cost'"):
        read("Job,Cost\nA bath,1\n", column_map=chart)


def test_a_sheet_without_the_columns_of_the_map_is_set_aside(tmp_path: Path) -> None:
    path = workbook(
        tmp_path / "b.xlsx", One=[["J", "C"], ["A bath", 1]], Two=[["K", "C"], ["B bath", 2]]
    )
    chart = map_from({"kind": "jobs", "columns": {"job": "J", "actual.cost": "C"}})
    batch = read_file(path, FIRM, column_map=chart)
    assert [e.job for e in of(batch, JobEntry)] == ["A bath"]
    (aside,) = [f for f in batch.findings if f.place.sheet == "Two"]
    assert "has not the columns the map names" in aside.text


def test_a_map_that_names_a_sheet_or_row_not_there(tmp_path: Path) -> None:
    path = workbook(tmp_path / "b.xlsx", One=[["Job", "Cost"], ["A bath", 1]])
    with pytest.raises(InputProblem, match=r"sheet 'Two' that is not there; expected one of 'One'"):
        read_file(path, FIRM, column_map=map_from({"sheet": "Two"}))
    with pytest.raises(InputProblem, match="a row from 1 to 2"):
        read_file(path, FIRM, column_map=map_from({"header_row": 9}))


def test_a_maps_date_order_holds_and_cells_that_do_not_fit_are_set_aside(read: Read) -> None:
    chart = map_from({"date_order": "day-first"})
    batch = read("Job,Date,Hours\nA,03/04/2025,8\nA,02/14/2025,8\n", column_map=chart)
    assert [e.day for e in of(batch, HoursEntry)] == [date(2025, 4, 3), None]
    assert any(f.kind == "set aside" and f.raw == "02/14/2025" for f in batch.findings)


def test_units_of_a_map(read: Read) -> None:
    chart = map_from(
        {"kind": "jobs", "columns": {"job": "J", "area": "A"}, "units": {"area": "m2"}}
    )
    (job,) = of(read("J,A\nx,4\n", column_map=chart), JobEntry)
    assert job.area_sqft == pytest.approx(4 * 10.7639)

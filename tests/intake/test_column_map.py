"""Reading through a column map."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from dirt.reading import FIRM, Read, of, texts, workbook

from costlearn.errors import InputProblem
from costlearn.intake.columns import _KEYS, ColumnMap, map_from, map_keys
from costlearn.intake.reader import read_file
from costlearn.records import (
    Batch,
    CostEntry,
    HoursEntry,
    JobEntry,
    PhaseEntry,
)

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


EXAMPLES = {name: map_from(tomllib.loads(example)) for name, _, example in map_keys()}


def test_every_key_of_a_map_has_one_example_that_says_it() -> None:
    assert sorted(EXAMPLES) == sorted(_KEYS)
    assert [name for name, _, _ in map_keys()].count("kind") == 1
    for name, chart in EXAMPLES.items():
        assert getattr(chart, name) != getattr(ColumnMap(), name), name
        assert all(says.endswith(".") for key, says, _ in map_keys() if key == name)


def costs(batch: Batch) -> list[tuple[str, int | None]]:
    return [(job.job, job.actual.cost) for job in of(batch, JobEntry)]


def net(batch: Batch) -> list[int]:
    return [line.net for line in of(batch, CostEntry)]


JOBS = "Job,Cost,Status\nA bath,100,done\nB bath,200,open\nC bath,300,paid\n"
LINES = "Date,Description,Amount\n2025-01-06,LUMBER YARD,50.00\n2025-01-07,TILE HOUSE,20.00\n"
MARKED = (
    "Date,Description,Amount,DC\n2025-01-06,LUMBER YARD,50.00,D\n2025-01-07,TILE HOUSE,20.00,C\n"
)
READS: dict[str, tuple[str, Callable[[Batch], object], object]] = {
    "kind": (JOBS, costs, [("A bath", 10_000), ("B bath", 20_000), ("C bath", 30_000)]),
    "header_row": (
        "A bath,x,40,900\nB bath,x,50,950\n", costs, [("A bath", 90_000), ("B bath", 95_000)]
    ),
    "columns": (
        "Site,Who,Date,In,Out,Lunch\nA,Ann,2025-03-04,8:00,16:30,30\n",
        lambda batch: [(e.job, e.person, e.hours) for e in of(batch, HoursEntry)],
        [("A", "Ann", 8.0)],
    ),
    "units": (
        "Job,Area,Days on site,Cost\nA bath,4,2,18\nB bath,5,3,21\n",
        lambda batch: [
            (round(e.area_sqft or 0), e.actual.site_days, e.actual.cost)
            for e in of(batch, JobEntry)
        ],
        [(43, 10, 1_800_000), (54, 15, 2_100_000)],
    ),
    "constants": (
        "Job,Cost\nA bath,100\n",
        lambda batch: [(e.state, e.books_closed, e.actual.cost) for e in of(batch, JobEntry)],
        [("finished", True, 10_000)],
    ),
    "only": (JOBS, costs, [("A bath", 10_000), ("C bath", 30_000)]),
    "skip": (
        "Job,Cost,Who\nA bath,100,me\nB bath,200,sub\nC bath,300,me\nD bath,400,me\n"
        "E bath,500,me\nF bath,600,me\n",
        costs,
        [("A bath", 10_000), ("C bath", 30_000), ("D bath", 40_000), ("E bath", 50_000)],
    ),
    "date_order": (
        "Job,Date,Hours\nA,03/04/2025,8\n",
        lambda batch: [e.day for e in of(batch, HoursEntry)],
        [date(2025, 4, 3)],
    ),
    "decimal": ('Job,Cost\nA bath,"1.234"\n', costs, [("A bath", 123_400)]),
    "sign": (LINES, net, [5_000, 2_000]),
    "marker": (MARKED, net, [5_000]),
    "missing": (
        "Job,Cost\nA bath,PNS\nB bath,200\n", costs, [("A bath", None), ("B bath", 20_000)]
    ),
    "phases": (
        "Job,Phase,Cost\nA,Step 3,100\nA,Sauna,50\n",
        lambda batch: [e.phase for e in of(batch, PhaseEntry)],
        ["tile", "sauna_bench"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", READS)
def test_the_example_of_each_key_is_read_as_it_says(read: Read, name: str) -> None:
    text, what, expected = READS[name]
    assert what(read(text, column_map=EXAMPLES[name])) == expected


def test_the_example_of_a_sheet_takes_that_sheet_only(tmp_path: Path) -> None:
    head = ["Job", "Cost"]
    path = workbook(tmp_path / "b.xlsx", **{"2023": [head, ["A", 1]], "2024": [head, ["B", 2]]})
    batch = read_file(path, FIRM, column_map=EXAMPLES["sheet"])
    assert [e.job for e in of(batch, JobEntry)] == ["B"]
    assert sorted({*READS, "sheet"}) == sorted(_KEYS)


@pytest.mark.parametrize(
    ("raw", "found"),
    [
        ({"header_row": "none"}, "a sheet without headings needs its columns"),
        ({"kind": "jobs", "columns": {"job": 1}}, "columns by number need a row"),
        ({"skip": {"rows": "7 to 9"}}, "found '7 to 9'"),
        ({"sign": "positive"}, "found 'positive'"),
        ({"marker": {"column": "DC", "out": "D"}}, "column, and the words"),
        ({"constants": {"currency": "dollars"}}, "three letters"),
        ({"kind": "jobs", "columns": {"job": 0}}, "found 0"),
        ({"kind": "jobs", "units": {"price": "furlongs"}}, "one of sf, m2"),
    ],
)
def test_what_a_map_cannot_say_is_named(raw: dict[str, object], found: str) -> None:
    with pytest.raises(InputProblem, match=found):
        map_from(raw)


def test_a_letter_is_a_column_only_where_there_are_no_headings(read: Read) -> None:
    chart = map_from({"kind": "jobs", "columns": {"job": "Job", "actual.cost": "B"}})
    with pytest.raises(InputProblem, match="names a column 'B' that is not there"):
        read("Job,Cost\nA,1\n", column_map=chart)


def test_the_words_of_a_marker_hold_even_where_they_would_mean_the_other_way(read: Read) -> None:
    chart = map_from({"marker": {"column": "DC", "out": "C", "in": "D"}})
    assert net(read(MARKED, column_map=chart)) == [2_000]

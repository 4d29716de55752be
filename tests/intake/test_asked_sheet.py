"""A quote read from a filled-in workbook or a table: the same job as its TOML, or one sentence."""

from __future__ import annotations

import io
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from costlearn.book.template import template
from costlearn.demo.files import demo_folder
from costlearn.errors import InputProblem
from costlearn.firm import Firm
from costlearn.intake.asked import read_asked
from costlearn.intake.asked_sheet import read_asked_sheet
from costlearn.intake.sheet_names import is_sheet
from costlearn.records import Job, job_key
from costlearn.vocabulary import standard

QUOTE = demo_folder() / "quote_sane.toml"
NAME = "Q-118 ensuite"
GRADES = ("basic", "middle", "high")


def workbook(path: Path, rows: Mapping[str, list[dict[str, Any]]]) -> Path:
    """The empty workbook with some rows filled in under its headings, or under new ones."""
    book = openpyxl.load_workbook(io.BytesIO(template(Firm())))
    for sheet, filled in rows.items():
        heads = [c.value for c in book[sheet][1]]
        for at, row in enumerate(filled, 3):
            for head, value in row.items():
                if head not in heads:
                    heads.append(head)
                    book[sheet].cell(1, len(heads), head)
                book[sheet].cell(at, heads.index(head) + 1, value)
    book.save(path)
    return path


def as_rows(job: Job) -> dict[str, list[dict[str, Any]]]:
    """A quote as a person would type it into the workbook."""
    words, plan = standard(), job.plan
    jobs = {
        "Job": job.name,
        "Kind": job.kind,
        "State": "quoted",
        "Quoted on": job.quoted_on,
        "Floor area (sq ft)": job.area_sqft,
        "Grade": GRADES[int(job.grade or 0)],
        "House built": job.house_year,
        "Quoted price": (job.price or 0) / 100,
        "Planned cost": (plan.cost or 0) / 100,
        "Planned site days": plan.site_days,
        "Planned person-days": plan.person_days,
        "Planned elapsed days": plan.elapsed_days,
        "Planned crew": plan.crew,
    }
    scope = [{"Job": job.name, "Item": words.item(k).name, "Size": v} for k, v in job.scope.items()]
    phases = [
        {
            "Job": job.name,
            "Phase": words.phase_name(p.phase),
            "Planned cost": (p.plan.cost or 0) / 100,
            "Planned person-days": p.plan.person_days,
        }
        for p in job.phases
    ]
    return {"Jobs": [jobs], "Scope": scope, "Phases": phases}


def simple(name: str = NAME, **more: Any) -> dict[str, Any]:
    return {"Job": name, "Kind": "bathroom", "State": "quoted", "Quoted price": 28900, **more}


def refusal(path: Path, **named: str) -> str:
    with pytest.raises(InputProblem) as problem:
        read_asked_sheet(path, Firm(), **named)
    return str(problem.value)


def test_the_workbook_gives_the_same_job_as_the_toml(tmp_path: Path) -> None:
    wanted = read_asked(QUOTE, Firm())
    found = read_asked_sheet(workbook(tmp_path / "q.xlsx", as_rows(wanted)), Firm())
    assert found == wanted


def test_a_table_of_one_row_is_enough(tmp_path: Path) -> None:
    path = tmp_path / "q.csv"
    path.write_text(
        "Job,Kind,Floor area (sq ft),Quoted price,Planned cost,Scope\n"
        'Q-7 bath,bathroom,48,"21,500","15,000","niche; wall tile 80 sq ft; toilet"\n'
    )
    found = read_asked_sheet(path, Firm())
    assert (found.key, found.state, found.area_sqft) == (job_key("Q-7 bath"), "quoted", 48.0)
    assert (found.price, found.plan.cost) == (2_150_000, 1_500_000)
    assert found.scope == {"niche": 1.0, "wall_tile": 80.0, "toilet": 1.0}


def test_days_to_come_are_no_days_built_in(tmp_path: Path) -> None:
    row = simple(Started=date(2026, 12, 1), **{"Planned finish": date(2026, 12, 14)})
    found = read_asked_sheet(workbook(tmp_path / "q.xlsx", {"Jobs": [row]}), Firm())
    assert (found.started, found.quoted_on) == (None, date(2026, 12, 1))
    assert found.plan.elapsed_days == 10


def test_a_crew_divided_out_of_days_is_not_taken_as_stated(tmp_path: Path) -> None:
    row = simple(**{"Planned site days": 10, "Planned person-days": 14})
    found = read_asked_sheet(workbook(tmp_path / "q.xlsx", {"Jobs": [row]}), Firm())
    assert (found.plan.person_days, found.plan.crew) == (14.0, None)


def test_several_quotes_are_listed_and_one_is_named(tmp_path: Path) -> None:
    path = workbook(tmp_path / "q.xlsx", {"Jobs": [simple(), simple("Q-119 hall")]})
    assert refusal(path) == (
        "q.xlsx: 2 quoted jobs stand in it: Q-118 ensuite; Q-119 hall; expected --job with the "
        "name of one of them."
    )
    assert read_asked_sheet(path, Firm(), job="q119").name == "Q-119 hall"
    assert "there is no job 'Q-120' in it; expected one of Q-118 ensuite; Q-119 hall" in refusal(
        path, job="Q-120"
    )


def test_finished_jobs_beside_one_quote_do_not_stand_in_its_way(tmp_path: Path) -> None:
    done = {"Job": "J-1", "State": "finished", "Actual cost": 9000}
    path = workbook(tmp_path / "q.xlsx", {"Jobs": [done, simple()]})
    assert read_asked_sheet(path, Firm()).name == NAME
    assert "job 'J-1' is finished, not quoted" in refusal(path, job="J-1")


def test_no_quote_is_told(tmp_path: Path) -> None:
    started = {"Job": "J-1", "Started": date(2026, 1, 5), "Quoted price": 9000}
    path = workbook(tmp_path / "q.xlsx", {"Jobs": [started]})
    assert "job 'J-1' is running, not quoted: it has begun" in refusal(path)
    done = [{"Job": f"J-{i}", "State": "finished", "Actual cost": 9} for i in range(3)]
    assert "none of its 3 jobs is quoted" in refusal(workbook(path, {"Jobs": done}))
    assert "no job stands in it" in refusal(workbook(path, {}))


@pytest.mark.parametrize(
    ("sheet", "row", "told"),
    [
        ("Jobs", {"Planned cost": "max 20k"}, "row 3, column 'Planned cost': 'max 20k'"),
        ("Jobs", {"Floor area (sq ft)": "big"}, "column 'Floor area (sq ft)': 'big' is no area"),
        ("Jobs", {"Grade": "posh"}, "'posh' is no finish grade"),
        ("Jobs", {"Job": "Q-118", "Kind": "barn"}, "kind of job 'barn' is not known"),
        ("Scope", {"Item": "hovercraft"}, "sheet 'Scope', row 3, column 'Item': scope word"),
        ("Scope", {"Item": "wall tile", "Size": "some"}, "'some' is neither a size nor yes or no"),
        ("Phases", {"Phase": "rough", "Planned cost": 5}, "'rough' may mean Plumbing rough-in"),
        ("Phases", {"Phase": "Tile and grout", "Planned cost": "x"}, "column 'Planned cost': 'x'"),
    ],
)
def test_a_cell_that_is_unclear_is_one_sentence(
    tmp_path: Path, sheet: str, row: dict[str, Any], told: str
) -> None:
    rows = {"Jobs": [simple(**row)] if sheet == "Jobs" else [simple()]}
    if sheet != "Jobs":
        rows[sheet] = [{"Job": NAME, **row}]
    said = refusal(workbook(tmp_path / "q.xlsx", rows))
    assert told in said
    assert said.count("\n") == 0
    assert said.endswith("(correct the cell, so that the whole quote is read).")


def test_what_is_unclear_about_another_job_does_not_matter(tmp_path: Path) -> None:
    rows = {
        "Jobs": [simple(), simple("Q-119 hall", Grade="posh")],
        "Phases": [{"Job": "Q-119 hall", "Phase": "rough", "Planned cost": "x"}],
    }
    path = workbook(tmp_path / "q.xlsx", rows)
    assert read_asked_sheet(path, Firm(), job=NAME).name == NAME
    assert "'posh'" in refusal(path, job="Q-119")


def test_guesses_and_figures_that_disagree_are_told(tmp_path: Path) -> None:
    rows = {
        "Jobs": [simple(**{"Planned cost": 20000, "Mood": "sunny"})],
        "Scope": [{"Job": NAME, "Item": "heatd floor", "Size": 80}],
        "Phases": [{"Job": NAME, "Phase": "Tile and grout", "Planned cost": 4000}],
    }
    notes = read_asked_sheet(workbook(tmp_path / "q.xlsx", rows), Firm()).notes
    assert "'heatd floor' read as heated floor (row 3), one letter apart" in notes
    assert "column 'Mood' is not used" in notes
    assert "$20,000.00 by the job list, $4,000.00 by the phases" in notes


def test_a_table_nobody_can_read_names_the_template(tmp_path: Path) -> None:
    path = tmp_path / "q.csv"
    path.write_text("Kind,Price\nbathroom,5\n")
    said = refusal(path)
    assert "costlearn template" in said
    assert "--map" not in said


def test_only_sheets_are_taken_for_sheets() -> None:
    assert is_sheet(Path("Quote.XLSX"))
    assert not is_sheet(Path("quote.toml"))

"""A job list, a notebook and bills in words nobody was asked to use."""

from __future__ import annotations

from pathlib import Path

from costlearn.firm import Firm
from costlearn.intake.answers import key_of, settle
from costlearn.intake.reader import read_file
from costlearn.records import Batch, HoursEntry, JobEntry
from costlearn.vocabulary import standard

FIRM = Firm()


def read(folder: Path, text: str, name: str = "mine.csv") -> Batch:
    path = folder / name
    path.write_text(text, "utf-8")
    return read_file(path, FIRM)


def test_the_cost_of_jobs_is_asked_for_before_its_column_is_set_aside(tmp_path: Path) -> None:
    rows = 'Maple bath,17.2k,24500\nOak kitchen,31000,44000\nElm bath,"15,900",22000\n'
    batch = read(tmp_path, f"Job,Damage,Quoted\n{rows}")
    asked = {q.key: q for q in batch.questions}
    assert [c.partition(" (")[0] for c in asked["column: jobs / damage"].choices[:2]] == [
        "cost",
        "paid",
    ]
    with_cost = read(tmp_path, f"Job,Damage,Cost\n{rows}")
    assert "column: jobs / damage" not in {q.key for q in with_cost.questions}
    small = read(tmp_path, "Job,Drawer,Quoted\nMaple bath,3,24500\nOak kitchen,4,44000\n")
    assert "column: jobs / drawer" not in {q.key for q in small.questions}


def test_a_column_of_amounts_may_be_any_amount_the_list_does_not_give(tmp_path: Path) -> None:
    rows = 'Maple,17200,"24,500"\nOak,31000,"45,000 + extras"\nElm,15900,22000\n'
    (asked,) = read(tmp_path, f"Job,Cost,Amount billed out\n{rows}").questions
    assert [c.partition(" (")[0] for c in asked.choices[:2]] == ["price", "paid"]
    (finding,) = [
        f for f in read(tmp_path, f"Job,Quote,Amount billed out\n{rows}").findings
        if f.kind == "asked"
    ]  # fmt: skip
    assert "is it 'cost', 'paid'" in finding.text


def test_what_a_job_came_to_is_its_cost(tmp_path: Path) -> None:
    batch = read(tmp_path, "Job;Came to;Quoted\nMaple bath;17200;24500\nElm bath;15900;22000\n")
    jobs = [e for e in batch.entries if isinstance(e, JobEntry)]
    assert [e.actual.cost for e in jobs] == [17_200_00, 15_900_00]


def test_a_notebook_says_for_which_job_and_what(tmp_path: Path) -> None:
    batch = read(tmp_path, "date,who,for job,what,hrs\n2025-06-09,Sam,Elm,demo,8\n")
    assert [(e.job, e.phase) for e in batch.entries] == [("Elm", "demo")]  # type: ignore[union-attr]


def test_spellings_of_one_field_are_one_choice(tmp_path: Path) -> None:
    batch = read(
        tmp_path, "Job,Cost,What done,Quoted\nMaple,17200,niche,24500\nElm,15900,bench,22000\n"
    )
    (asked,) = [q for q in batch.questions if q.key == key_of("column", "jobs", "what done")]
    assert len([c for c in asked.choices if c.startswith("what")]) == 1


def test_a_bare_rate_of_tax_is_one_in_percent(tmp_path: Path) -> None:
    batch = read(tmp_path, "Date,Supplier,Job,Total incl tax\n2025-06-10,Tile,Elm,1130\n")
    (asked,) = [q for q in batch.questions if q.topic == "tax"]
    rates = ((said, settle(asked, said, standard(), (), asked.place)) for said in ("13", "13%"))
    assert {said: float(rate) for said, rate in rates} == {"13": 0.13, "13%": 0.13}


def test_times_of_day_in_one_cell_are_the_hours_between_them(tmp_path: Path) -> None:
    batch = read(tmp_path, "date,who,job,hrs\n2025-06-09,Sam,Elm,8-4:30\n2025-06-10,Sam,Elm,8\n")
    assert [e.hours for e in batch.entries if isinstance(e, HoursEntry)] == [8.5, 8.0]

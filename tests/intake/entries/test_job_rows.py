"""Job lists: states, kinds, scope, elapsed days; the order of dates."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TypeVar

from costlearn.records import (
    Batch,
    JobEntry,
    PhaseEntry,
)

Read = Callable[..., Batch]


T = TypeVar("T")


def of(batch: Batch, kind: type[T]) -> list[T]:
    return [e for e in batch.entries if isinstance(e, kind)]


def texts(batch: Batch, kind: str) -> list[str]:
    return [f.text for f in batch.findings if f.kind == kind]


def test_elapsed_days_are_working_days_both_counted(read: Read) -> None:
    # 2025-03-03 is a Monday: to Friday of the next week are 10 working days; the plan ended on
    # the first Friday, 5 working days.
    batch = read(
        "Job,Phase,Start,Planned finish,Finish,Cost\nA,tile,2025-03-03,2025-03-07,2025-03-14,1\n"
    )
    (entry,) = of(batch, PhaseEntry)
    assert (entry.plan.elapsed_days, entry.actual.elapsed_days) == (5, 10)
    assert sum("elapsed days are the working days" in t for t in texts(batch, "understood")) == 2


def test_stated_elapsed_days_come_first(read: Read) -> None:
    batch = read("Job,Started,Finished,Elapsed days\nA bath,2025-03-03,2025-03-14,8\n")
    assert of(batch, JobEntry)[0].actual.elapsed_days == 8


def test_states_grades_kinds_and_the_rest_of_a_job_list(read: Read) -> None:
    batch = read(
        "Job #,Job name,Type,Status,Quality,Year built,Condo,Price,Paid,Books closed,Comments\n"
        'J-1,hall bath,Bathroom,Closed,basic,1958,no,"$9,000","$9,400",yes,tight stairs\n'
        "J-2,ensuite,,in progress,High-end,2101,yes,8000,,no,\n"
        "J-3,galley kitchen,,lost,fancy,,,7000,,,\n"
    )
    one, two, three = of(batch, JobEntry)
    assert (one.job, one.kind, one.state, one.grade) == ("J-1 hall bath", "bathroom", "finished", 0)
    assert (one.house_year, one.condo, one.price, one.paid) == (1958, False, 900_000, 940_000)
    assert (one.books_closed, one.notes) == (True, "tight stairs")
    assert (two.kind, two.state, two.grade, two.house_year) == ("bathroom", "running", 2, None)
    assert (three.kind, three.state, three.grade) == ("kitchen", "quoted", None)
    assert any("2101" in t for t in texts(batch, "set aside"))
    assert any("'fancy'" in t for t in texts(batch, "set aside"))


def test_a_kind_is_taken_from_the_name_only_if_it_is_clear(read: Read) -> None:
    batch = read(
        "Job,Cost\nBasement bath,9100\nBath and kitchen,28400\nBirch street,300\nLaundry repair,4\n"
    )
    assert [e.kind for e in of(batch, JobEntry)] == ["bathroom", None, None, "laundry"]
    assert sum("kind of job" in t for t in texts(batch, "understood")) == 1


def test_scope_columns_where_no_cell_says_no(read: Read) -> None:
    batch = read("Job,Niche,Bench,Wall tile (sf),Cost\nA bath,yes,,96,1\nB bath,,TBD,,2\n")
    a, b = of(batch, JobEntry)
    assert a.scope == {"niche": 1, "bench": 0, "wall_tile": 96}
    assert b.scope == {"niche": 0, "bench": None, "wall_tile": 0}
    assert sum("no cell of these columns says no" in t for t in texts(batch, "understood")) == 1


def test_scope_columns_where_some_cell_says_no(read: Read) -> None:
    batch = read("Job,Niche,Lights,Cost\nA bath,yes,4,1\nB bath,no,0,2\nC bath,,,3\n")
    assert [e.scope for e in of(batch, JobEntry)] == [
        {"niche": 1, "lighting": 4},
        {"niche": 0, "lighting": 0},
        {"niche": None, "lighting": None},
    ]


def test_scope_in_words_and_its_own_columns_together(read: Read) -> None:
    batch = read('Job,Scope,Niche,Cost\nA bath,"niche; 2 pot lights\nunicorn",3,1\n')
    (job,) = of(batch, JobEntry)
    assert job.scope == {"niche": 3, "lighting": 2}
    assert job.notes == "unicorn"
    assert texts(batch, "asked") == []
    assert any("'unicorn'" in t for t in texts(batch, "understood"))


def test_a_column_that_proves_nothing_follows_one_that_does(read: Read) -> None:
    batch = read(
        "Job,Started,Finished,Cost\nA bath,03/02/2025,20/02/2025,1\nB bath,,21/02/2025,2\n"
    )
    assert of(batch, JobEntry)[0].started == date(2025, 2, 3)

"""One job on file: every figure with its row, what follows from them, and nothing made up."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from making import change, job

from costlearn.assembly.jobs import assemble
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.questions.onfile.job import JobOnFile, job_on_file, price_of
from costlearn.questions.onfile.sources import say_rows_of
from costlearn.records import (
    Amounts,
    CostEntry,
    Entry,
    History,
    HoursEntry,
    Job,
    JobEntry,
    PhaseEntry,
)

LIST = Place("jobs.csv", "", 4)
FIRM = Firm(day_rate=400.0)


def hours(row: int, day: int, phase: str | None = "tile", **said: object) -> HoursEntry:
    place = Place("log.xlsx", "2025", row)
    return HoursEntry("B1 bath", "Odrin", date(2025, 3, day), 8.0, place, phase, **said)  # type: ignore[arg-type]


ROWS: tuple[Entry, ...] = (
    JobEntry(
        "B1 bath", LIST, "bathroom", "finished", started=date(2025, 3, 3), area_sqft=50.0,
        finished=date(2025, 3, 14), price=2_000_000, plan=Amounts(cost=1_500_000),
        actual=Amounts(cost=1_650_000), scope={"niche": 1.0, "bench": None, "tile_floor": 0.0},
    ),
    PhaseEntry("B1 bath", "tile", Place("phases.csv", "", 9), Amounts(cost=300_000)),
    *(hours(n, n) for n in (3, 4, 5, 7)),
    hours(12, 12, "tile", callback_of="tile"),
    CostEntry("B1 bath", "material", 90_000, Place("bills.csv", "", 21), phase="tile"),
)  # fmt: skip


@pytest.fixture
def found() -> JobOnFile:
    history = assemble(ROWS, FIRM)
    return job_on_file(history, history.jobs[0])


def table(found: JobOnFile, caption: str) -> dict[str, tuple[str, ...]]:
    return {r[0]: r[1:] for t in found.tables() if t.caption.startswith(caption) for r in t.rows}


def test_every_figure_of_the_job_names_its_rows(found: JobOnFile) -> None:
    rows = table(found, "B1 bath")
    assert rows["price quoted"] == ("$20,000.00", "as stated", "jobs.csv, row 4")
    value, how, where = rows["actual person-days"]
    assert (value, how.split(" worked")[0]) == ("4 days", "32 hours")
    assert where == "log.xlsx, sheet '2025', rows 3 to 5 and 7"
    blank = [
        name for name, (value, *_, at) in rows.items() if not at and value not in ("?", "not said")
    ]
    assert blank == []


def test_every_origin_of_the_job_is_shown_somewhere(found: JobOnFile) -> None:
    shown = " ".join(c for t in found.tables() for r in t.rows for c in r)
    for origin in found.job.origins:
        assert origin.how in shown or origin.figure.startswith("scope "), origin
        assert say_rows_of(origin.places) in shown, origin


def test_what_follows_is_computed_by_hand(found: JobOnFile) -> None:
    derived = {d.name: d.value for d in found.derived}
    assert derived == {
        "direct cost against plan": "+10 %",
        "direct cost for each sq ft of floor": "$330",
        "left after direct cost": "$3,500.00",
        "margin": "18 %",
        "left for each day on site": "$875",
    }
    assert found.sentence.startswith(
        "This job took $16,500 in direct cost and 4 days on site, 10 % over plan. Of the price "
        "quoted of $20,000 it left $3,500, 18 %."
    )


def test_call_back_work_stands_apart_with_its_rows(found: JobOnFile) -> None:
    rows = table(found, "Call-backs")
    assert rows["Tile and grout"][-1] == "log.xlsx, sheet '2025', row 12"
    assert rows["Tile and grout"][0] == "$400.00"


def test_scope_says_where_and_what_is_not_said(found: JobOnFile) -> None:
    rows = table(found, "Scope")
    assert rows["shower niche"] == ("1", "jobs.csv, row 4")
    assert rows["bench"][0] == "not said"
    assert len(rows) == 2


@pytest.mark.parametrize(
    ("unit", "sizes"),
    [
        ("sqm", {"wall tile": "9.5 m²", "new partition": "2.4 m", "heated floor": "2.5 m²"}),
        ("sqft", {"wall tile": "102.257 sq ft", "new partition": "7.87402 ft"}),
    ],
)
def test_sizes_stand_in_the_unit_of_the_firm_as_they_were_written(
    unit: str, sizes: dict[str, str]
) -> None:
    # 9.5 m2, 2.5 m2 and 2.4 m as the book keeps them: by 10.7639 and 3.28084.
    scope = {
        "wall_tile": 102.25705,
        "new_partition": 7.874016,
        "heated_floor": 26.90975,
        "niche": 2.0,
    }
    one = job("a", scope=scope)
    rows = table(job_on_file(History(Firm(area_unit=unit), (one,)), one), "Scope")
    assert rows["shower niche"][0] == "2"
    assert {name: rows[name][0] for name in sizes} == sizes


def test_a_paid_amount_goes_before_the_quote_and_its_changes() -> None:
    one = job("a", price=100, changes=(change(price=30), change("verbal", price=5)))
    assert price_of(one) == (130, "price quoted with approved changes")
    assert price_of(replace(one, paid=90)) == (90, "price paid")
    assert price_of(job("b")) is None


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (job("a"), "This job is finished, but neither its direct cost nor its days are on file."),
        (job("a", state="running"), "This job is running; no cost or days are on file yet."),
        (
            job("a", state="running", actual=Amounts(material=120_000, sub=30_000)),
            "This job is running: $1,500 in material and sub so far.",
        ),
        (
            job("a", state="quoted", price=1_250_000),
            "This job is quoted at $12,500; nothing says it has begun.",
        ),
        (
            job("a", paid=900_000, actual=Amounts(cost=1_000_000)),
            "This job took $10,000 in direct cost. Of the price paid of $9,000 nothing was left: "
            "$1,000 lost.",
        ),
        (
            job("a", actual=Amounts(site_days=3.0)),
            "This job took 3 days on site. Its direct cost is not on file.",
        ),
    ],
)
def test_what_is_missing_is_said_and_never_filled_in(one: Job, said: str) -> None:
    answer = job_on_file(History(jobs=(one,)), one)
    assert answer.sentence == said
    assert "$0" not in " ".join(c for t in answer.tables() for r in t.rows for c in r)


def test_open_books_and_disagreements_are_said_first_thing() -> None:
    one = job("a", actual=Amounts(cost=100), books_closed=False, conflicts=("this against that.",))
    answer = job_on_file(History(jobs=(one,)), one)
    assert "books are open" in answer.sentence
    assert answer.sentence.endswith(
        "In 1 place, listed below, records disagree or leave a sum open."
    )
    assert answer.tables()[-1].rows == (("this against that.",),)


def test_rows_are_told_in_stretches_and_a_cut_list_says_so() -> None:
    def at(*rows: int) -> list[Place]:
        return [Place("a.csv", "", n) for n in rows]

    assert say_rows_of([]) == ""
    assert say_rows_of(at(7)) == "a.csv, row 7"
    assert say_rows_of(at(7, 8)) == "a.csv, rows 7 and 8"
    assert say_rows_of(at(3, 1, 2, 2, 8, 9, 10)) == "a.csv, rows 1 to 3 and 8 to 10"
    both = [*at(5), Place("b.xlsx", "Log", 2), Place("b.xlsx", "Log", 4)]
    assert say_rows_of(both) == "a.csv, row 5; b.xlsx, sheet 'Log', rows 2 and 4"
    assert say_rows_of(at(*range(1, 51))).endswith("rows 1 to 50 (the first of more)")

"""What all entries about a job say together; expected figures are worked out by hand."""

from __future__ import annotations

import random
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from costlearn.assembly import assemble
from costlearn.firm import Firm
from costlearn.records import (
    Amounts,
    ChangeEntry,
    CostEntry,
    Entry,
    History,
    HoursEntry,
    JobEntry,
)
from tests.assembly.making import RATED, at, how, line, listed, only, phase, worked

# -- job lists ------------------------------------------------------------------------------------


def test_nothing_gives_nothing() -> None:
    assert assemble([], Firm()) == History(Firm())


def test_the_first_known_figure_counts_and_a_later_other_one_is_said() -> None:
    job = only(
        [
            listed(2, price=None, area_sqft=50.0, condo=False),
            listed(3, "b.csv", price=1_840_000, area_sqft=50.0, condo=True),
            listed(4, "c.csv", price=1_900_000, area_sqft=50.0),
        ]
    )
    assert (job.price, job.area_sqft, job.condo) == (1_840_000, 50.0, False)
    assert job.conflicts == (
        "condo: no (a.csv, row 2) against yes (b.csv, row 3); the first is used.",
        "price: $18,400.00 (b.csv, row 3) against $19,000.00 (c.csv, row 4); the first is used.",
    )
    (origin,) = (o for o in job.origins if o.figure == "price")
    assert (origin.how, origin.places) == ("as stated", (at(3, "b.csv"),))


def test_scope_keeps_not_said_apart_from_not_in_the_job() -> None:
    job = only(
        [
            listed(2, scope={"niche": None, "bench": 0.0, "toilet": None}),
            listed(3, "b.csv", scope={"niche": 2.0, "bench": 1.0}),
        ]
    )
    assert dict(job.scope) == {"niche": 2.0, "bench": 0.0, "toilet": None}
    assert any(c.startswith("scope bench: 0 (a.csv, row 2) against 1") for c in job.conflicts)
    assert {o.figure for o in job.origins if "scope" in o.figure} == {"scope niche", "scope bench"}


def test_different_notes_are_all_kept() -> None:
    job = only([listed(2, notes="slow client"), listed(3, "b.csv", notes="slow client"),
                phase("tile", notes="cracked floor")])  # fmt: skip
    assert job.notes == "slow client; cracked floor"


def test_jobs_stand_oldest_first_and_undated_last() -> None:
    entries = [
        JobEntry("late", at(2), started=date(2024, 1, 1)),
        JobEntry("none b", at(3)),
        JobEntry("none a", at(4)),
        JobEntry("early", at(5), quoted_on=date(2020, 1, 1)),
        JobEntry("mid", at(6), finished=date(2022, 1, 1)),
    ]
    names = [job.name for job in assemble(entries, Firm()).jobs]
    assert names == ["early", "mid", "late", "none a", "none b"]


# -- state, books, dates --------------------------------------------------------------------------


def test_state_as_stated_else_from_what_is_there() -> None:
    spent = Amounts(cost=10_000)
    assert only([listed(state="running", finished=date(2024, 3, 1))]).state == "running"
    assert only([listed(finished=date(2024, 3, 1))]).state == "finished"
    assert only([listed(books_closed=True)]).state == "finished"
    assert only([listed(actual=spent)]).state == "finished"
    assert only([listed(started=date(2024, 3, 1))]).state == "running"
    assert only([listed(), worked(1)]).state == "running"
    assert only([listed(), line("material", 100)]).state == "running"
    assert only([listed(plan=spent), phase("tile", plan=spent)]).state == "quoted"


def test_phases_show_whether_a_job_is_done() -> None:
    spent = Amounts(cost=10_000)
    done = phase("demo", 5, plan=spent, actual=spent)
    assert only([done, phase("tile", 6, plan=spent, actual=spent)]).state == "finished"
    assert only([done, phase("tile", 6, plan=spent)]).state == "running"
    half = phase("tile", 6, plan=spent, actual=spent, percent_complete=0.5)
    assert only([done, half]).state == "running"
    assert only([done, half]).phases[1].percent_complete == 0.5


def test_one_open_phase_keeps_the_books_open() -> None:
    shut, unshut = phase("demo", 5, books_closed=True), phase("tile", 6, books_closed=False)
    assert only([listed(), phase("tile")]).books_closed is None
    assert only([shut]).books_closed is True
    assert only([shut, unshut]).books_closed is False
    said = only([listed(books_closed=True), shut, unshut])
    assert said.books_closed is True
    assert said.conflicts == (
        "books closed: yes (a.csv, row 2) against no (p.xlsx, row 6); the first is used.",
    )


def test_dates_nobody_states_come_from_phases_and_hours() -> None:
    job = only([listed(state="finished"), worked(4), worked(12)])
    assert (job.started, job.finished) == (date(2024, 3, 4), date(2024, 3, 12))
    running = only([listed(state="running"), worked(4)])
    assert (running.started, running.finished) == (date(2024, 3, 4), None)
    phased = only(
        [
            listed(state="finished"),
            phase("demo", 5, started=date(2024, 2, 1), finished=date(2024, 2, 2)),
            phase("tile", 6, started=date(2024, 2, 5), finished=date(2024, 2, 9)),
        ]
    )
    assert (phased.started, phased.finished) == (date(2024, 2, 1), date(2024, 2, 9))
    assert phased.actual.elapsed_days == 7.0
    assert phased.phases[0].actual.elapsed_days == 2.0


# -- changes and doubles --------------------------------------------------------------------------


def test_a_change_in_two_files_counts_once() -> None:
    first = ChangeEntry("J-1", "Extra niche", "approved", at(2, "c.csv"), 50_000, 30_000, 0.5)
    other = ChangeEntry("J-1", "bench", "verbal", at(3, "c.csv"), 70_000)
    again = ChangeEntry("J-1", "extra  niche", "approved", at(9, "d.csv"), 50_000, 30_000, 0.5)
    job = only([first, other, again])
    assert job.changes == (first, other)
    assert (job.changed_price, job.changed_cost, job.changed_days) == (50_000, 30_000, 0.5)
    assert "stands in two files (c.csv, row 2 and d.csv, row 9)" in job.conflicts[0]
    # Two lines of one file under one label are two changes.
    twice = ChangeEntry("J-1", "bench", "verbal", at(4, "c.csv"), 70_000)
    assert only([first, other, twice]).changes == (first, other, twice)


def test_hours_and_bills_that_stand_in_two_files_are_said() -> None:
    again = HoursEntry("J-1", "ann", date(2024, 3, 1), 8.0, at(7, "march.csv"))
    bill = line("material", 5_000, document="471", payee="Shop", day=date(2024, 3, 2))
    copy = CostEntry(
        "J-1", "material", 5_000, at(8, "all.csv"), document="471", payee="shop",
        day=date(2024, 3, 2),
    )  # fmt: skip
    job = only([worked(1), again, bill, copy], RATED)
    assert (job.actual.person_days, job.actual.material) == (2.0, 5_000)
    assert job.conflicts == (
        "hours: 1 row alike in two files, first h.csv, row 1 and march.csv, row 7; all are "
        "counted.",
    )


# -- all together ---------------------------------------------------------------------------------


def test_every_figure_has_an_origin_with_few_places() -> None:
    hours = [
        HoursEntry("J-1", "Ann", date(2023, 1, 2) + timedelta(days=n), 8.0, at(n, "h.csv"))
        for n in range(200)
    ]
    job = only(
        [listed(price=5, kind="bathroom", scope={"niche": 1.0}), *hours, line("sub", 9)], RATED
    )
    figures = [o.figure for o in job.origins]
    assert len(figures) == len(set(figures))
    assert {"price", "kind", "state", "started", "scope niche", "actual.person_days"} <= set(
        figures
    )
    for side in ("plan", "actual"):
        amounts = getattr(job, side)
        names = (n for n in Amounts.__dataclass_fields__ if getattr(amounts, n) is not None)
        assert {f"{side}.{name}" for name in names} <= set(figures)
    assert max(len(o.places) for o in job.origins) == 50
    assert "in 200 rows" in how(job, "actual.person_days")


@given(st.integers(0, 10_000))
def test_the_order_of_hours_and_bills_changes_no_figure(seed: int) -> None:
    entries: list[Entry] = [
        listed(price=900_000),
        *(worked(d, 7.5, phase="tile" if d % 2 else "demo") for d in range(1, 20)),
        *(line("material", 1_000 * n, row=n, phase="tile") for n in range(1, 9)),
    ]
    shuffled = entries.copy()
    random.Random(seed).shuffle(shuffled)
    one, other = only(entries, RATED), only(shuffled, RATED)
    assert other.actual == one.actual
    assert {p.phase: p.actual for p in other.phases} == {p.phase: p.actual for p in one.phases}
    assert other.price == one.price

"""Planned and actual days and cost of a job; expected figures are worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from costlearn.firm import Firm
from costlearn.records import (
    Amounts,
    Entry,
    HoursEntry,
    JobEntry,
)
from tests.assembly.making import RATED, at, how, line, listed, only, phase, worked

# -- days -----------------------------------------------------------------------------------------


def test_days_by_the_hours_log() -> None:
    job = only(
        [
            worked(1, 8.0, row=1),
            worked(1, 4.0, row=2),
            worked(4, 8.0),
            worked(5, 3.0, waiting=True),
            worked(6, 2.0, waiting=True),
            worked(6, 2.0, row=7),
        ],
        Firm(hours_per_day=8.0),
    )
    # Worked 8 + 4 + 8 + 2 = 22 h = 2.75 person-days on the 1st, 4th and 6th; the 5th only waited.
    assert job.actual.person_days == 2.75
    assert job.actual.site_days == 3.0
    assert job.actual.wait_days == 1.0
    # One person on each of the three days, however short the day.
    assert job.actual.crew == 1.0
    # Friday 1 to Wednesday 6 March: Friday, Monday, Tuesday, Wednesday.
    assert job.actual.elapsed_days == 4.0
    assert how(job, "actual.person_days") == "22 hours worked in 6 rows of the hours log, 8 a day"


def test_a_log_that_never_marks_waiting_says_nothing_about_it() -> None:
    assert only([worked(1), worked(4)]).actual.wait_days is None
    assert only([worked(1, 4.0), worked(1, 4.0, row=9, waiting=True)]).actual.wait_days == 0.0


def test_a_day_that_waited_with_nobody_paid_is_a_wait_day_and_costs_nothing() -> None:
    firm = Firm(day_rate=400.0)
    waits = [worked(4, 0.0, waiting=True), worked(5, 0.0, waiting=True, row=9), worked(5, 4.0)]
    job = only([worked(1), *waits], firm)
    # Monday the 4th only waited; on the 5th somebody worked as well. 12 hours are paid.
    assert job.actual.wait_days == 1.0
    assert job.actual.site_days == 2.0
    assert job.actual.elapsed_days == 3.0
    assert job.actual.labour == 60_000
    # Hours of waiting taken back again leave no wait day behind.
    back = [worked(4, 3.0, waiting=True), worked(4, -3.0, waiting=True, row=9)]
    assert only([worked(1), *back]).actual.wait_days == 0.0


def test_a_weekend_day_counts_only_if_worked() -> None:
    # Friday 1, Saturday 2, Monday 4 March.
    assert only([worked(1), worked(2), worked(4)]).actual.elapsed_days == 3.0
    assert only([worked(2)]).actual.elapsed_days == 1.0


def test_hours_without_a_day_leave_the_days_to_other_records() -> None:
    undated = HoursEntry("J-1", "Ann", None, 8.0, at(9, "h.csv"))
    job = only([listed(actual=Amounts(site_days=2.0)), worked(1), undated])
    assert job.actual.person_days == 2.0
    assert job.actual.site_days == 2.0
    assert job.actual.elapsed_days is None
    assert only([worked(1), undated]).actual.site_days is None
    assert only([worked(1), undated]).started is None


def test_hours_taken_back_empty_their_day() -> None:
    job = only([worked(1), worked(4, 8.0), worked(4, -8.0, row=9)])
    assert (job.actual.person_days, job.actual.site_days) == (1.0, 1.0)


def test_hours_count_before_the_list_and_a_gap_over_15_percent_is_said() -> None:
    hours = [worked(1), worked(4)]
    near = only([listed(actual=Amounts(person_days=2.3)), *hours])
    assert (near.actual.person_days, near.conflicts) == (2.0, ())
    far = only([listed(actual=Amounts(person_days=2.5)), *hours])
    assert far.actual.person_days == 2.0
    assert far.conflicts == (
        "person-days: 2 by the hours log, 2.5 by the job list; the first is used.",
    )


def test_phases_count_before_the_list() -> None:
    job = only(
        [
            listed(actual=Amounts(person_days=9.0, site_days=7.0)),
            phase("demo", 5, actual=Amounts(person_days=2.0, site_days=1.0)),
            phase("tile", 6, actual=Amounts(person_days=4.0, site_days=3.0)),
        ]
    )
    assert (job.actual.person_days, job.actual.site_days, job.actual.crew) == (6.0, 4.0, 1.5)
    assert len(job.conflicts) == 2


def test_site_days_are_summed_only_if_every_working_phase_has_them() -> None:
    rows: list[Entry] = [
        phase("demo", 5, actual=Amounts(person_days=2.0, site_days=1.0)),
        phase("tile", 6, actual=Amounts(person_days=4.0)),
    ]
    assert only(rows).actual.site_days is None
    assert only(rows).actual.person_days == 6.0
    bought = phase("plumb_rough", 7, actual=Amounts(cost=90_000, sub=90_000))
    rows[1] = phase("tile", 6, actual=Amounts(person_days=4.0, site_days=3.0))
    assert only([*rows, bought]).actual.site_days == 4.0


def test_a_phase_without_person_days_is_said_or_leaves_the_word_to_the_list() -> None:
    rows: list[Entry] = [
        phase("demo", 5, actual=Amounts(person_days=2.0)),
        phase("tile", 6, actual=Amounts(site_days=3.0)),
    ]
    alone = only(rows)
    assert alone.actual.person_days == 2.0
    assert (
        "person-days: 1 of the phases (tile) give none; the others are summed." in alone.conflicts
    )
    assert only([listed(actual=Amounts(person_days=6.0)), *rows]).actual.person_days == 6.0


def test_elapsed_days_stated_then_logged_then_from_the_dates() -> None:
    dates = listed(started=date(2024, 3, 1), finished=date(2024, 3, 12))
    # Friday 1 to Tuesday 12 March: 1, 4-8, 11, 12 = 8 working days.
    assert only([dates]).actual.elapsed_days == 8.0
    assert only([dates, worked(1), worked(7)]).actual.elapsed_days == 5.0
    stated = listed(actual=Amounts(elapsed_days=5.0))
    assert only([stated, dates, worked(1), worked(7)]).actual.elapsed_days == 5.0


def test_a_finish_before_the_start_gives_no_days() -> None:
    job = only([listed(started=date(2024, 3, 12), finished=date(2024, 3, 1))])
    assert job.actual.elapsed_days is None
    assert "lies before the start" in job.conflicts[0]


def test_a_stated_crew_stands_where_days_are_not_known() -> None:
    assert only([listed(actual=Amounts(crew=2.0))]).actual.crew == 2.0
    assert only([listed(actual=Amounts(crew=2.0)), worked(1), worked(4)]).actual.crew == 1.0


# -- cost -----------------------------------------------------------------------------------------


def test_a_stated_cost_counts_and_a_gap_over_5_percent_is_said() -> None:
    rows: list[Entry] = [
        phase("demo", 5, actual=Amounts(cost=40_000)),
        phase("tile", 6, actual=Amounts(cost=60_000)),
    ]
    near = only([listed(actual=Amounts(cost=104_000)), *rows])
    assert (near.actual.cost, near.conflicts) == (104_000, ())
    far = only([listed(actual=Amounts(cost=110_000)), *rows])
    assert far.actual.cost == 110_000
    assert far.conflicts == (
        "direct cost: $1,100.00 by the job list, $1,000.00 by the phases; the first is used.",
    )
    assert only(rows).actual.cost == 100_000
    assert how(only(rows), "actual.cost") == "sum of 2 phases"


def test_a_phase_without_a_cost_leaves_the_jobs_cost_open() -> None:
    job = only(
        [
            phase("demo", 5, actual=Amounts(cost=40_000)),
            phase("tile", 6, actual=Amounts(person_days=3.0)),
            phase("paint", 7, plan=Amounts(cost=10_000)),
        ]
    )
    assert job.actual.cost is None
    assert job.conflicts[-1] == "direct cost is left open: tile of its phases give none."


def test_cost_lines_and_priced_hours_make_a_cost() -> None:
    lines: list[Entry] = [
        line("material", 50_000, tax=6_500),
        line("material", -5_000, row=51, tax=-650),
        line("sub", 90_000, row=52),
        line("tax", 7_000, row=53),
        line("overhead", 12_000, row=54),
    ]
    hours: list[Entry] = [worked(1), worked(4, 8.0), worked(5, 4.0, waiting=True)]
    job = only([*hours, *lines], RATED)
    # Paid hours 8 + 8 + 4 = 20 = 2.5 days at 400 = 1,000; lines 500 - 50 + 900 = 1,350.
    assert job.actual.labour == 100_000
    assert (job.actual.material, job.actual.sub) == (45_000, 90_000)
    assert job.actual.cost == 235_000
    assert job.actual.person_days == 2.0
    # Tax that cannot be recovered is part of the cost: 65.00 - 6.50 = 58.50 more.
    taxed = only([*hours, *lines], Firm(day_rate=400.0, tax_recoverable=False))
    assert taxed.actual.cost == 235_000 + 5_850


def test_cost_lines_with_unpriced_labour_are_no_cost() -> None:
    job = only([worked(1), line("material", 50_000)])
    assert (job.actual.material, job.actual.labour) == (50_000, None)
    assert job.actual.cost is None
    assert job.actual.total is None
    assert "no price for the labour" in job.conflicts[0]
    assert "actual.cost" not in {o.figure for o in job.origins}


def test_priced_hours_without_any_bill_are_no_cost() -> None:
    job = only([worked(1)], RATED)
    assert (job.actual.labour, job.actual.cost, job.conflicts) == (40_000, None, ())
    labour_only = only([line("labour", 40_000)])
    assert labour_only.actual.cost is None
    assert labour_only.conflicts == ("direct cost is left open: its cost lines hold labour only.",)


def test_labour_may_come_from_lines_the_list_or_person_days() -> None:
    bill = line("material", 50_000)
    assert only([bill, line("labour", 30_000, row=51)]).actual.cost == 80_000
    assert only([bill, listed(actual=Amounts(labour=35_000))]).actual.cost == 85_000
    days = only([bill, listed(actual=Amounts(person_days=1.5))], RATED)
    assert (days.actual.labour, days.actual.cost) == (60_000, 110_000)
    assert "1.5 person-days at the day rate of $400" in how(days, "actual.cost")
    pounds = Firm(day_rate=412.5, currency="GBP")
    one = only([bill, listed(actual=Amounts(person_days=1.0))], pounds)
    assert "1 person-day at the day rate of £412.50" in how(one, "actual.cost")


def test_hours_cost_what_a_day_of_each_one_costs() -> None:
    """8 h of Ann at $480 a day, 6 h of Kim at $240: 480 + 180; a person without a rate: unknown."""
    kim = HoursEntry("J-1", "KIM", date(2024, 3, 1), 6.0, at(2, "h.csv"))
    hours, bill = [worked(1), kim], line("material", 50_000)
    both = Firm(day_rate=480.0, day_rates={"Kim": 240.0})
    job = only([*hours, bill], both)
    assert (job.actual.labour, job.actual.cost) == (66_000, 116_000)
    assert "14 hours paid at each one's day rate ($240, $480)" in how(job, "actual.labour")
    tile = only([replace(h, phase="tile") for h in hours] + [replace(bill, phase="tile")], both)
    assert [p.actual.labour for p in tile.phases] == [66_000]
    assert only([*hours, bill], Firm(day_rates={"Kim": 240.0})).actual.labour is None
    assert only([kim, bill], Firm(day_rates={"Kim": 240.0})).actual.labour == 18_000


def test_wages_on_bills_and_priced_hours_are_not_added_up() -> None:
    job = only([worked(1), line("labour", 20_000), line("material", 50_000, row=51)], RATED)
    assert job.actual.cost == 90_000
    assert any("labour: $400.00 by the hours log at the day rate" in c for c in job.conflicts)


def test_another_currency_is_never_added() -> None:
    job = only([worked(1), line("material", 50_000), line("sub", 9_000, currency="EUR")], RATED)
    assert job.actual.cost == 90_000
    assert job.actual.sub is None
    assert job.conflicts == (
        "direct cost: 1 cost line in EUR (r.csv, row 50) left out of the sums, for no dated rate "
        "turns EUR into USD.",
    )
    own = only([worked(1), line("material", 50_000, currency="USD")], RATED)
    assert (own.actual.cost, own.conflicts) == (90_000, ())


def test_kinds_in_the_list_make_a_cost_if_labour_has_a_price() -> None:
    kinds = Amounts(labour=30_000, material=50_000, sub=20_000)
    assert only([listed(actual=kinds)]).actual.cost == 100_000
    bare = Amounts(material=50_000, sub=20_000, person_days=2.0)
    assert only([listed(actual=bare)]).actual.cost is None
    assert only([listed(actual=bare)], RATED).actual.cost == 150_000
    assert only([listed(actual=Amounts(material=50_000))], RATED).actual.cost is None


# -- plan -----------------------------------------------------------------------------------------


def test_the_plan_is_the_lists_word_else_the_sum_of_the_phases() -> None:
    rows: list[Entry] = [
        phase("demo", 5, plan=Amounts(cost=40_000, person_days=2.0)),
        phase("tile", 6, plan=Amounts(cost=60_000)),
    ]
    job = only(rows)
    assert (job.plan.cost, job.plan.person_days) == (100_000, None)
    said = only([listed(plan=Amounts(cost=120_000, person_days=6.0, site_days=4.0)), *rows])
    assert (said.plan.cost, said.plan.person_days, said.plan.crew) == (120_000, 6.0, 1.5)
    assert said.conflicts[0].startswith("planned direct cost: $1,200.00 by the job list")


def test_a_divided_crew_size_is_marked_with_the_words_the_questions_look_for() -> None:
    from costlearn.features.measures import DIVIDED

    listed = JobEntry("J-1", at(3), actual=Amounts(person_days=20.0, site_days=16.0))
    assert how(only([listed]), "actual.crew") == DIVIDED


def test_a_log_of_part_of_a_job_is_left_out_and_said() -> None:
    """2 of 25 days were written down: the list's days hold; cost lines alone have no own work."""
    stated = listed(actual=Amounts(person_days=30.0, site_days=25.0, crew=1.2))
    part = [worked(4, phase="demo"), worked(5, phase="demo")]
    job = only([stated, *part, line("material", 50_000)], RATED)
    found = job.actual
    assert (found.person_days, found.site_days, found.crew) == (30.0, 25.0, 1.2)
    assert (found.labour, found.cost) == (30 * 40_000, 30 * 40_000 + 50_000)
    assert job.phases == ()
    assert found.elapsed_days is None
    assert job.started == date(2024, 3, 4)
    assert any("the hours log holds 2 of the 30 the job list states" in c for c in job.conflicts)


def test_a_log_of_half_the_days_or_of_days_listed_as_hours_is_whole() -> None:
    two = [worked(4), worked(5)]
    half = only([listed(actual=Amounts(person_days=4.0)), *two])
    assert half.actual.person_days == 2.0
    hours = only([listed(actual=Amounts(person_days=16.0)), *two])
    assert hours.actual.person_days == 2.0

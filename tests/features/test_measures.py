"""Columns in fixed practical units, worked out by hand; not said is NaN, not there is 0."""

from dataclasses import replace
from datetime import date, timedelta
from math import e, isnan, log

import numpy as np
import pytest
from making import bathrooms, change, job

from costlearn.features import measures as ms
from costlearn.records import Amounts, Job, Origin

FIRST = job(
    "a",
    kind="bathroom",
    started=date(2024, 1, 1),
    area_sqft=100.0,
    grade=2.0,
    house_year=1979,
    condo=True,
    scope={"wall_tile": 60.0, "niche": 3.0, "move_drain": 1.0, "repipe": 1.0, "lighting": 3.0},
    actual=Amounts(cost=1_000_000, person_days=20.0, site_days=10.0),
)
SECOND = job(
    "b",
    kind="kitchen",
    started=date(2025, 1, 1),
    area_sqft=e**4,
    grade=0.0,
    house_year=1980,
    condo=False,
    scope={"bench": 1.0},
    actual=Amounts(cost=1_200_000, person_days=9.0, site_days=9.0),
)


def test_columns_are_in_practical_units():
    frame = ms.measure([FIRST, SECOND]).frame
    first, second = frame.loc["a"], frame.loc["b"]
    assert first["log area"] == pytest.approx(log(100))
    assert second["log area"] == pytest.approx(4)
    assert first["wall tile"] == pytest.approx(log(2)), "60 sq ft of wall tile is one unit of 60"
    assert first["moved"] == pytest.approx(1.0), "two fixtures moved are one unit"
    assert first["lights"] == pytest.approx(1.0), "three lights are one unit"
    assert first["niche"] == 1.0, "there or not, however many"
    assert first["crew"] == pytest.approx(1.0), "two people are one doubling"
    assert second["crew"] == 0.0
    assert (first["grade"], first["old house"], first["condo"]) == (2.0, 1.0, 1.0)
    assert (second["old house"], second["kitchen"], first["kitchen"]) == (0.0, 1.0, 0.0)


def test_years_run_in_threes_from_the_middle_of_the_history():
    frame = ms.measure([FIRST, SECOND]).frame
    half = 366 / 2 / 365.25 / 3
    assert frame["years"].tolist() == pytest.approx([-half, half])


def test_many_fixtures_add_ever_less():
    def moved(count: float) -> float:
        jobs = [replace(FIRST, scope={"bench": 1.0}), replace(SECOND, scope={"move_drain": count})]
        return float(ms.measure(jobs).frame.loc["b", "moved"])

    assert moved(8) == pytest.approx(log(9) / log(3))
    assert moved(3) - moved(2) < moved(2) - moved(1)


def test_columns_that_never_differ_are_left_out():
    names = {c.name for c in ms.measure([FIRST, SECOND]).columns}
    assert "niche" in names and "bench" in names
    assert "toilet" not in names, "no job has it"
    same = [FIRST, replace(FIRST, key="b")]
    assert ms.measure(same).columns == ()


def test_an_item_only_the_new_job_has_is_a_column():
    jobs = [FIRST, replace(FIRST, key="b")]
    new = replace(FIRST, key="new", scope={**FIRST.scope, "curbless": 1.0})
    measured = ms.measure(jobs, new)
    assert [c.name for c in measured.columns] == ["curbless"]
    assert measured.row is not None and measured.row["curbless"] == 1.0
    assert measured.frame["curbless"].tolist() == [0.0, 0.0]


def test_unknown_scope_is_not_said_and_an_item_not_named_is_not_there():
    silent = job("c", area_sqft=40.0)
    blank = job("d", scope={"niche": None, "lighting": 2.0})
    frame = ms.measure([FIRST, SECOND, silent, blank]).frame
    assert frame.loc["b", "niche"] == 0.0
    assert isnan(frame.loc["c", "niche"]), "nothing is known of its scope"
    assert isnan(frame.loc["d", "niche"]), "asked, and not answered"
    assert frame.loc["d", "bench"] == 0.0
    for column in ("grade", "old house", "condo", "kitchen", "crew", "years"):
        assert isnan(frame.loc["c", column]), column
    assert isnan(frame.loc["d", "log area"])


@pytest.mark.parametrize(
    ("jobs", "after"),
    [
        (2, [1]),
        (3, [1]),
        (4, [2]),
        (5, [3]),
        (7, [3]),
        (8, [6, 3]),
        (24, [12, 6, 3]),
        (26, [24, 12, 6, 3]),
    ],
)
def test_price_steps_leave_three_jobs_six_twelve_after_them(jobs, after):
    """Two jobs at least stand before each step; under 5 jobs it halves them."""
    days = [date(2024, 1, 1) + timedelta(days=7 * i) for i in range(jobs)]
    frame = ms.measure([job(f"j{i}", started=d) for i, d in enumerate(days)]).frame
    steps = frame[[c for c in frame if c.startswith("since ")]]
    assert steps.to_numpy().sum(axis=0).tolist() == after


def test_jobs_of_one_day_stand_on_one_side_of_a_price_step():
    """The 3rd job from the end began with the 4th: the step takes both, and is named once."""
    days = [1, 2, 3, 4, 5, 5, 8, 9]
    jobs = [job(f"j{i}", started=date(2024, 1, d)) for i, d in enumerate(days)]
    frame = ms.measure(jobs).frame
    assert frame["since 2024-01-05"].sum() == 4
    assert [c for c in frame if c.startswith("since ")] == ["since 2024-01-03", "since 2024-01-05"]


def test_jobs_without_dates_have_no_date_columns():
    names = [
        c.name for c in ms.measure([replace(j, started=None) for j in (FIRST, SECOND)]).columns
    ]
    assert "years" not in names and not any(n.startswith("since") for n in names)


@pytest.mark.parametrize(
    ("target", "mean"),
    [("cost", 0.0), ("person_days", 0.0), ("site_days", -0.35), ("elapsed_days", -0.35)],
)
def test_the_crews_prior_depends_on_the_target(target, mean):
    columns = {c.name: c for c in ms.measure([FIRST, SECOND], target=target).columns}
    assert columns["crew"].mean == mean


@pytest.mark.parametrize(
    ("target", "drift", "mean"),
    [("cost", None, 0.12), ("cost", 0.0, 0.0), ("cost", 0.02, 0.06), ("site_days", None, 0.0)],
)
def test_costs_are_first_guessed_to_rise_four_percent_a_year(target, drift, mean):
    columns = {c.name: c for c in ms.measure([FIRST, SECOND], target=target, drift=drift).columns}
    assert columns["years"].mean == pytest.approx(mean), "three years a unit"


def test_outside_its_phases_an_item_keeps_a_tenth_of_its_spread_and_no_guess():
    columns = {c.name: c for c in ms.measure([FIRST, SECOND]).columns}
    niche, area = columns["niche"], columns["log area"]
    assert niche.in_phase("tile") == niche
    assert (niche.in_phase("paint").mean, niche.in_phase("paint").sd) == (0.0, niche.sd / 10)
    assert area.in_phase("paint") == area, "size belongs to every phase"
    assert columns["lights"].in_phase("demo").sd == pytest.approx(0.05)


def test_rows_come_back_in_the_order_asked():
    measured = ms.measure([FIRST, SECOND])
    assert measured.only(["b", "a"]).index.tolist() == ["b", "a"]
    assert measured.row is None


@pytest.mark.parametrize("target", ms.TARGETS)
def test_zero_and_nothing_are_both_not_observed(target):
    assert ms.observed(job("a"), target) is None
    nothing = Amounts(cost=0, person_days=0.0, site_days=0.0, elapsed_days=0.0)
    assert ms.observed(job("a", actual=nothing), target) is None
    assert ms.planned(job("a", plan=nothing), target) is None


def test_observed_money_is_in_whole_units_and_parts_do_not_stand_in():
    assert ms.observed(FIRST, "cost") == 10_000.0
    assert ms.observed(FIRST, "person_days") == 20.0
    assert ms.observed(job("a", actual=Amounts(labour=100)), "cost") is None


def test_planned_holds_approved_changes_only():
    one = job(
        "a",
        plan=Amounts(cost=500_000, person_days=10.0, site_days=6.0),
        changes=(
            change(cost=20_000, days=1.5),
            change("declined", cost=1_000_000, days=50.0),
            change("verbal", cost=1_000_000, days=50.0),
        ),
    )
    assert ms.planned(one, "cost") == 5_200.0
    assert ms.planned(one, "person_days") == 11.5
    assert ms.planned(one, "site_days") == 6.0, "a change's days are person-days"
    assert ms.planned(job("a", changes=one.changes), "cost") is None, "a change is no plan"


@pytest.mark.parametrize(
    ("actual", "plan", "size"),
    [
        (Amounts(crew=2.0, person_days=9.0, site_days=9.0), Amounts(), 2.0),
        (Amounts(person_days=15.0, site_days=10.0), Amounts(), 1.5),
        (Amounts(person_days=6.0, site_days=10.0), Amounts(), 1.0),
        (Amounts(crew=0.5), Amounts(), 1.0),
        (Amounts(person_days=6.0), Amounts(crew=3.0), 3.0),
        (Amounts(), Amounts(person_days=20.0, site_days=10.0), 2.0),
        (Amounts(person_days=6.0), Amounts(site_days=3.0), None),
    ],
)
def test_crew_size_is_stated_else_worked_out_never_under_one(actual, plan, size):
    assert ms.crew_of(job("a", actual=actual, plan=plan)) == size


def test_the_same_jobs_measure_the_same_in_any_company():
    """Practical units: a column's value never depends on the other jobs (years apart)."""
    history = bathrooms(12).jobs
    few, all_of_them = ms.measure(history[:6]).frame, ms.measure(history).frame
    shared = [c for c in few if c in all_of_them and c != "years" and not c.startswith("since")]
    assert len(shared) >= 6
    assert np.array_equal(few[shared], all_of_them.loc[few.index, shared])


def test_a_crew_size_divided_out_of_days_only_tells_one_from_two():
    """Days on site written 15 % short make one person look like 1.18: still one person."""

    def told(person_days: float, site_days: float, crew: float | None = None) -> float | None:
        days = Amounts(person_days=person_days, site_days=site_days, crew=crew)
        return ms.steady_crew(Job("j", "J", actual=days))

    assert told(20, 17) == 1.0
    assert told(20, 11) == 2.0
    assert told(20, 14) is None, "1.43: nobody can say"
    assert told(20, 14, crew=1.4) == 1.4, "as stated"
    divided = Origin("actual.crew", ms.DIVIDED, ())
    job = Job("j", "J", actual=Amounts(person_days=20, site_days=17, crew=20 / 17))
    assert ms.steady_crew(replace(job, origins=(divided,))) == 1.0

"""Areas and dates no job can have, a sum too many share, a cost that is none."""

from datetime import date

from making import bathrooms, job

from costlearn.features.outlandish import outlandish
from costlearn.records import Amounts, History


def kinds(jobs, today=None):
    return [(a.job, a.kind) for a in outlandish(History(jobs=tuple(jobs)), today)]


def test_a_floor_twenty_times_the_middle_one():
    jobs = [job(f"j{i}", area_sqft=50.0 + i) for i in range(5)]
    assert kinds([*jobs, job("big", area_sqft=900.0)]) == []
    assert kinds([*jobs, job("big", area_sqft=1e6)]) == [("BIG", "area far off")]
    assert kinds([*jobs[:3], job("big", area_sqft=1e6)]) == [], "four jobs have no middle"
    other = job("big", area_sqft=1e6, kind="kitchen")
    assert kinds([*jobs, other]) == []


def test_dates_still_to_come_of_finished_jobs_only():
    late = job("a", started=date(2031, 2, 3))
    running = job("b", started=date(2031, 2, 3), state="running")
    assert kinds([late, running], date(2026, 1, 1)) == [("A", "date ahead")]
    assert kinds([late, running]) == []


def test_one_sum_in_a_third_of_the_jobs():
    jobs = [job(f"j{i}", actual=Amounts(cost=1_200_000 + (i > 2) * i)) for i in range(9)]
    assert kinds(jobs) == [("", "one sum many times")]
    assert kinds(jobs[1:]) == []
    assert kinds(bathrooms(20).jobs) == []


def test_a_cost_too_small_to_be_one():
    assert kinds([job("a", actual=Amounts(cost=100))]) == [("A", "cost far off")]
    assert kinds([job("a", actual=Amounts(cost=1_000))]) == []

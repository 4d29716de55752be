"""Which listed job a name of a log, a bill or another list means."""

from __future__ import annotations

from datetime import date

import pytest

from costlearn.assembly import assemble
from costlearn.assembly.called import Called, JobNames
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import Amounts, HoursEntry, JobEntry

LISTED = {
    "birch": "Birch hall bath",
    "chestnut": "Chestnut ensuite",
    "hickory": "Hickory powder room",
    "j14": "14 Juniper bath",
    "j41": "41 Juniper laundry",
}


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("birch", "birch"),
        ("Birch hall", "birch"),
        ("Chesnut ens", "chestnut"),
        ("hickory pwdr", "hickory"),
        ("juniper 14", "j14"),
        ("Juniper bath", "j14"),
        ("41 juniper", "j41"),
    ],
)
def test_a_name_that_can_be_one_job_only_is_that_job(name: str, key: str) -> None:
    assert JobNames(LISTED).find(name) == Called(key)


@pytest.mark.parametrize(
    ("name", "may_be"),
    [
        ("Juniper", ("j14", "j41")),
        ("half birch half chestnut", ("birch", "chestnut")),
        ("hall bath", ()),
        ("account", ()),
        ("12 Juniper", ("j14", "j41")),
    ],
)
def test_what_may_be_several_jobs_or_none_is_asked(name: str, may_be: tuple[str, ...]) -> None:
    assert JobNames(LISTED).find(name) == Called(may_be=may_be)


def job(name: str, cost: int, row: int, file: str = "a.csv", area: float = 50.0) -> JobEntry:
    place = Place(file, "", row)
    return JobEntry(name, place, state="finished", area_sqft=area, actual=Amounts(cost=cost))


def names(*entries: JobEntry | HoursEntry) -> list[str]:
    return sorted(one.name for one in assemble(entries, Firm()).jobs)


def test_a_job_on_two_lists_is_one_job_where_its_figures_agree() -> None:
    listed = job("Birch hall bath", 2_195_000, 2)
    assert names(listed, job("Birch", 2_231_000, 2, "b.csv")) == ["Birch hall bath"]
    apart = names(listed, job("Birch", 900_000, 2, "b.csv", area=20.0))
    assert apart == ["Birch", "Birch hall bath"]


def test_a_quote_is_that_of_the_job_under_way_which_its_name_can_only_mean() -> None:
    quote = JobEntry("Basswood bath", Place("quote.csv", "", 1), state="quoted", price=3_410_000)
    running = JobEntry("Basswood main bath", Place("a.csv", "", 2), state="running")
    assert names(running, quote) == ["Basswood main bath"]
    done = job("Basswood main bath", 2_000_000, 2)
    assert names(done, quote) == ["Basswood bath", "Basswood main bath"]


def test_two_rows_of_one_list_are_two_jobs_however_alike() -> None:
    assert names(job("Birch hall bath", 2_195_000, 2), job("Birch", 2_195_000, 3)) == [
        "Birch",
        "Birch hall bath",
    ]


def test_hours_of_a_name_that_means_one_job_are_of_that_job() -> None:
    hours = HoursEntry("birch", "Ann", None, 8.0, Place("log.csv", "", 2))
    assert names(job("Birch hall bath", 2_195_000, 2), hours) == ["Birch hall bath"]


def test_an_earlier_quote_of_a_job_that_has_begun_is_none_of_its_own() -> None:
    begun = JobEntry("Basswood main bath", Place("list.csv", "", 8), started=date(2026, 10, 27))
    later = JobEntry(
        "Basswood main bath", Place("q2.csv", "", 1), price=3_605_000, quoted_on=date(2026, 10, 5)
    )
    older = JobEntry(
        "Basswood bath", Place("q.csv", "", 1), price=3_410_000, quoted_on=date(2026, 9, 21)
    )
    assert names(begun, later, older) == ["Basswood main bath"]
    # Nothing has begun: two prices are two jobs.
    assert names(later, older) == ["Basswood bath", "Basswood main bath"]

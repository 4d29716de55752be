"""Whose days: by the log where it names people, by the crew where one worked, else not told."""

from __future__ import annotations

from datetime import date

from making import NOWHERE, job

from costlearn.firm import Firm
from costlearn.questions.earning.owner import own_days
from costlearn.records import Amounts, History, HoursEntry, Job

DAY = date(2025, 3, 3)


def hours(name: str, who: str, much: float = 8.0, **said: object) -> HoursEntry:
    return HoursEntry(name, who, DAY, much, NOWHERE, **said)  # type: ignore[arg-type]


def solo(key: str, days: float = 6.0, crew: float | None = 1.0) -> Job:
    return job(key, actual=Amounts(person_days=days, crew=crew))


def history(*jobs: Job, owner: str = "", day: float = 8.0) -> History:
    return History(Firm(owner=owner, hours_per_day=day), jobs)


def test_the_stated_name_counts_with_its_worked_hours_alone():
    firm = history(job("b01bath", name="B01 bath"), owner=" odrin ", day=10.0)
    rows = [
        hours("B01", "Odrin", 25.0), hours("B01 bath", "ODRIN ", 5.0), hours("B01", "May", 40.0),
        hours("B01", "Odrin", 4.0, waiting=True), hours("B01", "Odrin", 9.0, callback_of="tile"),
    ]  # fmt: skip
    found = own_days(firm, firm.jobs, rows)
    assert found.by_job == {"b01bath": 3.0}
    assert found.missing == 0
    assert found.told == ("Your own days: hours of ' odrin ' in the log (1 job)",)


def test_without_a_stated_name_the_one_on_nearly_all_jobs_is_taken_and_said():
    firm = history(*(job(f"a{i}") for i in range(5)))
    rows = [hours(f"a{i}", "Odrin") for i in range(5)] + [hours("a1", "May"), hours("a2", "May")]
    found = own_days(firm, firm.jobs, rows)
    assert found.by_job == dict.fromkeys(["a0", "a1", "a2", "a3", "a4"], 1.0)
    assert "the one name on nearly all logged jobs (5 of 5)" in found.told[0]


def test_two_names_on_all_jobs_tell_nothing():
    firm = history(job("a"), job("b"))
    rows = [hours(j, who) for j in "ab" for who in ("Odrin", "May")]
    found = own_days(firm, firm.jobs, rows)
    assert (found.by_job, found.missing) == ({}, 2)
    assert "set 'owner'" in found.told[0]
    assert "2 jobs do not say" in found.told[1]


def test_a_stated_name_that_is_not_in_the_log_is_said():
    firm = history(job("a"), owner="Nobody")
    found = own_days(firm, firm.jobs, [hours("a", "May")])
    assert found.by_job == {}
    assert found.told[0] == "The hours log has no 'Nobody', the owner's name in your settings"


def test_without_a_log_only_jobs_done_by_one_person_are_the_owners():
    firm = history(
        solo("a"), solo("b", crew=2.0), solo("c", crew=None), job("d"),
        job("e", actual=Amounts(crew=1.0, site_days=4.0)),
    )  # fmt: skip
    found = own_days(firm, firm.jobs)
    assert found.by_job == {"a": 6.0}
    assert found.missing == 4
    assert found.told[0].startswith("1 job without an hours log done by one person")


def test_a_job_in_the_log_without_the_owner_is_not_taken_for_a_lone_job():
    firm = history(solo("a"), job("b"), owner="Odrin")
    rows = [hours("a", "May"), hours("b", "Odrin")]
    assert own_days(firm, firm.jobs, rows).by_job == {"b": 1.0}


def test_a_log_without_names_leaves_the_crew_to_speak():
    firm = history(solo("a"))
    assert own_days(firm, firm.jobs, [hours("a", " ")]).by_job == {"a": 6.0}

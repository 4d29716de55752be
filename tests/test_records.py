"""Jobs and histories: what is missing stays missing, and only finished, closed jobs are used."""

from datetime import date

import pytest
from making import change, job

from costlearn.errors import Place
from costlearn.records import NOTHING, Amounts, Batch, Finding, History, PhaseRecord, job_key


def test_parts_sum_only_what_is_known():
    assert Amounts(labour=100, material=0, sub=250).parts == 350
    assert Amounts(person_days=3.0).parts is None
    assert Amounts(material=0).parts == 0


def test_kinds_never_stand_in_for_the_whole_cost():
    assert Amounts(labour=100, material=200).total is None
    assert Amounts(cost=500, labour=100).total == 500


def test_nothing_is_empty_and_a_zero_is_not_nothing():
    assert NOTHING.empty
    assert not Amounts(cost=0).empty


def test_the_day_of_prices_is_start_then_finish_then_quote():
    quoted, start, end = date(2024, 1, 1), date(2024, 2, 1), date(2024, 3, 1)
    assert job("a", quoted_on=quoted, started=start, finished=end).day == start
    assert job("a", quoted_on=quoted, finished=end).day == end
    assert job("a", quoted_on=quoted).day == quoted
    assert job("a").day is None


@pytest.mark.parametrize(
    ("state", "closed", "usable"),
    [
        ("finished", True, True),
        ("finished", None, True),
        ("finished", False, False),
        ("running", True, False),
        ("quoted", None, False),
    ],
)
def test_only_finished_jobs_whose_books_are_not_open_are_usable(state, closed, usable):
    one = job("a", state=state, books_closed=closed)
    history = History(jobs=(one,))
    assert one.usable is usable
    assert (one in history.usable) is usable
    assert (one in history.open_books) is (state == "finished" and closed is False)
    assert (one in history.running) is (state == "running")


def test_only_approved_changes_change_the_plan():
    one = job(
        "a",
        changes=(
            change(cost=10_000, price=15_000, days=1.5),
            change(cost=2_000, price=3_000),
            change("declined", cost=99_000, price=99_000, days=9.0),
            change("verbal", cost=88_000, price=88_000, days=8.0),
        ),
    )
    assert (one.changed_cost, one.changed_price, one.changed_days) == (12_000, 18_000, 1.5)


def test_a_phase_is_found_by_its_key():
    tile = PhaseRecord("tile", Amounts(cost=5))
    one = job("a", phases=(PhaseRecord("demo"), tile))
    assert one.phase("tile") == tile
    assert one.phase("paint") is None


def test_two_spellings_of_a_job_share_a_key():
    assert job_key("J-07  Hall bath") == job_key("j 07 hall Bath") == "j07hallbath"
    assert job_key("J-07") != job_key("J-70")
    assert job_key("Żółw 3") == "żółw3"


def test_a_job_is_found_by_name_key_or_the_only_beginning():
    jobs = (job("j07hallbath"), job("j08ensuite"), job("j08"), job("k1"))
    history = History(jobs=jobs)
    assert history.job("J-07 hall bath") == jobs[0]
    assert history.job("J 07") == jobs[0]
    assert history.job("J-08") == jobs[2]
    assert history.job("J") is None
    assert history.job("") is None
    assert history.job("z") is None


def test_a_batch_counts_its_findings_by_kind():
    found = [Finding(k, Place("a.csv"), "x") for k in ("asked", "asked", "set aside")]
    batch = Batch("a.csv", "0", (), tuple(found))
    assert (batch.count("asked"), batch.count("set aside"), batch.count("checked")) == (2, 1, 0)

"""The firm at a glance: counts by hand, what is sure and what is not, what to write down next."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from making import NOWHERE, bathrooms, job, phased

from costlearn.assembly import assemble, finish_unknown
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.questions.crewing.crew import crew
from costlearn.questions.earning.earnings import earnings
from costlearn.questions.onfile.job import job_on_file
from costlearn.questions.onfile.overview import Overview, overview, year_counts
from costlearn.questions.onfile.told import firm_facts, lacking, not_sure, surely
from costlearn.questions.overrun.overruns import overruns
from costlearn.questions.trust import backtest
from costlearn.records import Amounts, CostEntry, History, HoursEntry, Job, JobEntry

JOBS = (
    job("a", finished=date(2023, 5, 1), actual=Amounts(cost=1_000_000), paid=1_500_000),
    job("b", finished=date(2024, 5, 1), kind="kitchen", area_sqft=90.0),
    job("c", finished=date(2024, 6, 1), books_closed=False),
    job("d", state="running", started=date(2024, 7, 1), actual=Amounts(cost=50_000)),
    job("e", state="quoted", quoted_on=date(2023, 2, 1)),
    job("f"),
)


def test_jobs_are_counted_by_year_and_state_by_hand():
    found = year_counts(JOBS)
    assert [(y.year, y.counts) for y in found] == [
        (2023, (1, 0, 0, 0, 1)),
        (2024, (1, 1, 1, 0, 0)),
        (None, (1, 0, 0, 0, 0)),
    ]
    table = overview(History(jobs=JOBS)).tables()[0]
    assert table.heads == ("year", "finished", "books open", "running", "quoted")
    assert table.rows[-1] == ("all", "3", "1", "1", "1")
    assert table.totals == 1
    assert table.rows[2][0] == "no date"


def test_a_job_nobody_said_to_be_running_or_finished_is_told_apart():
    place = Place("jobs.csv", "", 2)
    log = HoursEntry("b", "Ann", date(2024, 5, 7), 8.0, place)
    entries = (
        JobEntry("a", place, state="running", started=date(2024, 4, 1)),
        JobEntry("b", place, started=date(2024, 5, 6)),
        log,
    )
    history = assemble(entries, Firm())
    assert [finish_unknown(j) for j in history.jobs] == [False, True]
    found = overview(history)
    assert found.tables()[0].heads == ("year", "running", "finish not known")
    assert "1 running, 1 not known whether finished." in found.sentence
    assert {j.name: j.state for j in found.jobs} == {"a": "running", "b": "finish not known"}
    assert any(r.startswith("Whether 1 begun job is finished: ") for r in found.record)
    said = job_on_file(history, history.jobs[1]).sentence
    assert said.startswith("Nobody said whether this job is finished: 1 day on site so far.")


def test_the_list_of_jobs_is_newest_first_with_gaps_shown():
    found = overview(History(jobs=JOBS))
    assert [j.name for j in found.jobs] == ["D", "C", "B", "A", "E", "F"]
    rows = {r[0]: r[1:] for r in found.job_table().rows}
    assert rows["A"] == ("?", "finished", "May 2023", "?", "$10,000", "$5,000")
    assert rows["B"] == ("kitchen", "finished", "May 2024", "90 sq ft", "?", "?")
    assert rows["D"][-2:] == ("$500", "")
    assert rows["C"][1] == "books open"


def test_what_finished_jobs_say_is_counted_by_hand():
    counts = dict(firm_facts(JOBS[:2]))
    assert counts["direct cost"] == counts["price"] == counts["floor area"] == 1
    assert counts["phases"] == counts["books closed"] == 0


def test_nothing_on_file_is_said():
    found = overview(History())
    assert not found.known
    assert found.sentence.startswith("Nothing is on file yet")
    assert found.tables() == ()


@pytest.fixture(scope="module")
def firm() -> History:
    made = phased(bathrooms(24, plan_noise=0.1), overrun={"tile": 1.6}, noise=0.08)
    jobs = tuple(replace(j, price=(j.actual.cost or 0) * 4 // 3) for j in made.jobs)
    return replace(made, jobs=jobs, firm=Firm(day_rate=500.0))


@pytest.fixture(scope="module")
def whole(firm: History) -> Overview:
    told = (overruns(firm), crew(firm), earnings(firm), backtest(firm))
    return overview(firm, told, look=2, waiting=1)


def test_a_planted_overrun_is_sure_and_ranges_come_first(whole: Overview):
    assert "range of direct cost held" in (*whole.sure, *whole.unsure)[0]
    assert "Tile and grout runs over plan, more than luck explains." in whole.sure
    assert whole.sentence.startswith("24 finished jobs on file to learn from.")


def test_what_waits_and_what_is_unset_is_named(whole: Overview):
    said = " ".join(whole.record)
    assert "1 question about your records is waiting" in said
    assert "2 things on file are worth a look" in said
    assert "(overhead_per_year)" in said
    assert "day_rate" not in said
    assert whole.mix is not None
    assert whole.tables()[-1] is whole.mix


def test_what_few_jobs_say_is_what_to_write_down_and_no_more():
    jobs = tuple(
        replace(j, actual=replace(j.actual, site_days=None, crew=None, person_days=None))
        for j in bathrooms(10).jobs
    )
    history = History(Firm(), jobs)
    record = lacking(history, (), firm_facts(jobs))
    assert record[0] == "Of each job what the client paid: 0 of 10 finished jobs say it."
    assert any("days were worked on site: 0 of 10" in r for r in record)
    assert not any("floor area" in r for r in record)
    loose = CostEntry(None, "material", 100, NOWHERE)
    waits = lacking(replace(history, loose_costs=(loose,)), (), firm_facts(jobs))
    assert any(w.startswith("1 cost line is waiting for a job: write it beside") for w in waits)
    overhead = CostEntry(None, "overhead", 100, NOWHERE)
    waits = lacking(replace(history, loose_costs=(overhead,)), (), firm_facts(jobs))
    assert not any("waiting for a job" in w for w in waits)


@pytest.mark.parametrize(
    ("count", "said"), [(2, "No job can be priced from 2 finished jobs"), (5, "mostly assumptions")]
)
def test_with_few_jobs_it_is_said_that_little_is_sure(count: int, said: str):
    history = bathrooms(count)
    told = (backtest(history), overruns(history), crew(history), earnings(history))
    assert surely(told) == ()
    unsure = not_sure(history, told)
    assert said in unsure[0]
    assert len(unsure) >= 4
    assert any("cannot tell which phases run over" in u for u in unsure)
    assert any(
        r.startswith("Who worked on which phase")
        for r in lacking(history, told, firm_facts(history.usable))
    )


def test_ranges_tried_on_a_handful_of_jobs_are_not_called_sure():
    """Of 6 tries a range that holds every second job would pass too: fair luck gives 3 to 6."""
    few = (backtest(bathrooms(9)),)
    lead = few[0].targets[0]
    assert next(c.of for c in lead.coverage if c.level == 0.8) == 6
    assert surely(few) == ()
    assert any("too few to tell" in u for u in not_sure(bathrooms(9), few))


def test_a_kind_of_two_jobs_is_named():
    jobs: tuple[Job, ...] = (
        *bathrooms(9).jobs,
        job("k1", kind="kitchen"),
        job("k2", kind="kitchen"),
    )
    assert "Too few to know by themselves: kitchens (2 jobs)." in not_sure(History(jobs=jobs), ())

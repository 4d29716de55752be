"""Which names mean one job: the same letters and digits, or the one job a code belongs to."""

from __future__ import annotations

import pytest

from costlearn.assembly import assemble
from costlearn.assembly.names import leading_codes
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import CostEntry, HoursEntry, JobEntry


def jobs_of(*names: str) -> dict[str, int]:
    """Names of the jobs made of one row a name, with how many rows each got (price 1 cent up)."""
    entries = [
        HoursEntry(name, "Ann", None, 8.0, Place("h.csv", "", row))
        for row, name in enumerate(names, start=2)
    ]
    history = assemble(entries, Firm())
    return {job.name: round(job.actual.person_days or 0) for job in history.jobs}


def test_spellings_of_one_name_are_one_job() -> None:
    assert jobs_of("J-07  Hall bath", "j 07 hall BATH", "J-07: hall bath") == {"J-07 Hall bath": 3}


@pytest.mark.parametrize(
    ("code", "name"),
    [
        ("J-07", "J-07 hall bath"),
        ("j07", "J-07 hall bath"),
        ("J-07", "J 07 / hall bath"),
        ("2024-03", "2024-03 main bath"),
        ("Job 7", "Job 7 - laundry"),
        ("12", "12 Elm bath"),
    ],
)
def test_a_code_belongs_to_the_one_job_it_leads(code: str, name: str) -> None:
    assert jobs_of(code, name) == {name: 2}
    assert jobs_of(name, code) == {name: 2}


@pytest.mark.parametrize(
    ("short", "name"),
    [
        ("J-07", "J-070 hall bath"),
        ("J-07", "J-07.2 vanity"),
        ("2024", "2024-03 main bath"),
        ("Hall", "Hall bath"),
        ("hall bath", "J-07 hall bath"),
    ],
)
def test_what_is_no_leading_code_is_a_job_of_its_own(short: str, name: str) -> None:
    assert jobs_of(short, name) == {short: 1, name: 1}


def test_a_code_two_jobs_share_is_kept_apart_and_said() -> None:
    names = ("J-07", "J-07 hall bath", "J-07 kitchen")
    assert jobs_of(*names) == dict.fromkeys(names, 1)
    entries = [JobEntry(name, Place("j.csv", "", row)) for row, name in enumerate(names, start=2)]
    job = assemble(entries, Firm()).job("J-07")
    assert job is not None
    assert job.conflicts == (
        "'J-07' (j.csv, row 2) may mean 'J-07 hall bath' or 'J-07 kitchen'; it is kept apart.",
    )


def test_a_joined_code_is_said_in_the_origins() -> None:
    entries = [
        JobEntry("J-07", Place("a.csv", "", 2)),
        JobEntry("J-07 bath", Place("b.csv", "", 3)),
    ]
    (job,) = assemble(entries, Firm()).jobs
    (origin,) = (o for o in job.origins if o.figure == "name")
    assert origin.how == "'J-07' taken for 'J-07 bath', the only job it can be"
    assert origin.places == (Place("a.csv", "", 2), Place("b.csv", "", 3))


def test_the_first_imported_of_two_joined_names_counts() -> None:
    entries = [
        JobEntry("J-07", Place("a.csv", "", 2), price=100),
        JobEntry("J-07 bath", Place("b.csv", "", 3), price=200),
    ]
    (job,) = assemble(entries, Firm()).jobs
    assert (job.name, job.price) == ("J-07 bath", 100)


def test_names_of_signs_alone_do_not_meet() -> None:
    assert jobs_of("???", "---") == {"???": 1, "---": 1}


def test_cost_lines_without_a_job_wait() -> None:
    lines = (
        CostEntry(None, "material", 100, Place("r.csv", "", 2)),
        CostEntry("  ", "sub", 200, Place("r.csv", "", 3)),
    )
    history = assemble(lines, Firm())
    assert history.jobs == ()
    assert history.loose_costs == lines


def test_leading_codes_stop_after_a_few_words() -> None:
    assert list(leading_codes("a b c d e 7 hall")) == []
    assert list(leading_codes("")) == []

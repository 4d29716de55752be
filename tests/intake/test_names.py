"""Phases of several words, slips that are said, and names of jobs across files."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest
from dirt.reading import of, texts

from costlearn.assembly import assemble
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.intake.answers import Answers, merged
from costlearn.intake.names import job_questions
from costlearn.records import Batch, CostEntry, HoursEntry, JobEntry, PhaseEntry

Read = Callable[..., Batch]


@pytest.mark.parametrize(
    ("word", "phase"),
    [
        ("Set up / floor protection", "setup"),
        ("Framing + blocking", "framing"),
        ("Fan + duct", "vent"),
        ("prime + paint", "paint"),
        ("Cabinets, doors, trim", "cabs_trim"),
        ("Measure, permit, order", "precon"),
        ("Rip out", "demo"),
        ("Counters", "cabs_trim"),
        ("Fixtures in", "finish_set"),
        ("Demmolition", "demo"),
        ("Electric rough", "elec_rough"),
        ("drains + supplies", "plumb_rough"),
        ("remove old tile", "demo"),
        ("tub removal", "demo"),
        ("take out old kitchen", "demo"),
        ("install counters", "cabs_trim"),
        ("install toilet", "finish_set"),
        ("run pex", "plumb_rough"),
        ("tile tub surround", "tile"),
        ("painting walls", "paint"),
        ("frame niche", "framing"),
    ],
)
def test_a_phase_in_several_words_of_one_meaning(read: Read, word: str, phase: str) -> None:
    batch = read(f'Job,Phase,Hours\nA,"{word}",8\n')
    assert [e.phase for e in of(batch, PhaseEntry)] == [phase]
    assert batch.questions == ()


@pytest.mark.parametrize(
    ("word", "first"),
    [
        ("Drywall / cement board", "Insulation, drywall, taping"),
        ("Demmo", "Demolition and disposal"),
        ("plumbing", "Plumbing rough-in"),
        ("install trim", "Cabinets, tops, doors, trim, floors"),
    ],
)
def test_words_of_two_phases_and_mere_likeness_are_asked(read: Read, word: str, first: str) -> None:
    batch = read(f'Job,Phase,Hours\nA,"{word}",8\nA,"{word}",4\n')
    assert {e.phase for e in of(batch, PhaseEntry)} == {"unassigned"}
    (asked,) = batch.questions
    assert (asked.choices[0], asked.holds) == (first, "2 rows without a phase")
    assert asked.choices[-1].startswith("none (")


def test_a_slip_of_the_pen_is_said_with_its_row(read: Read) -> None:
    batch = read("Job,Phase,Hours\nA,tile,8\nA,Demmolition,8\n")
    (slip,) = [f for f in batch.findings if f.slip]
    assert (slip.kind, slip.text) == (
        "understood",
        "'Demmolition' read as demolition (row 3), one letter apart",
    )


def test_a_state_nobody_knows_is_asked_with_what_follows(read: Read) -> None:
    text = "Job,Status,Cost\nA bath,zzz,100\nB bath,zzz,200\n"
    batch = read(text)
    assert [e.state for e in of(batch, JobEntry)] == ["running", "running"]
    (asked,) = batch.questions
    assert asked.holds == "2 jobs of which nobody knows how far they are"
    assert asked.choices[0] == "finished (its cost counts)"
    assert asked.choices[-1] == "none (leave it out)"
    left = read(text, answers=Answers({asked.key: "none"}))
    assert left.questions == ()
    assert [e.state for e in of(left, JobEntry)] == ["finished", "finished"]


def lists(*names: str, file: str = "jobs.csv") -> list[JobEntry]:
    return [JobEntry(name, Place(file, "", row)) for row, name in enumerate(names, 2)]


def log(*names: str) -> list[HoursEntry]:
    return [
        HoursEntry(name, "Ann", None, 8.0, Place("log.csv", "", row))
        for row, name in enumerate(names, 2)
    ]


FIRMS = lists(
    "Birch hall bath", "Chestnut ensuite", "14 Juniper bath", "41 Juniper laundry", "Linden bath"
)


@pytest.mark.parametrize(
    ("name", "job"),
    [
        ("birch", "Birch hall bath"),
        ("Birch hall", "Birch hall bath"),
        ("Chesnut ensuite", "Chestnut ensuite"),
        ("14 Juniper", "14 Juniper bath"),
    ],
)
def test_a_name_that_can_be_one_job_only_is_not_asked(name: str, job: str) -> None:
    assert job_questions([*FIRMS, *log(name)]) == ()
    hours = {j.name: j.actual.person_days for j in assemble([*FIRMS, *log(name)], Firm()).jobs}
    assert hours[job] == 1
    assert len(hours) == len(FIRMS)


@pytest.mark.parametrize(
    ("name", "likely"),
    [
        ("Juniper", ["14 Juniper bath", "41 Juniper laundry"]),
        ("Birch kitchen", ["Birch hall bath"]),
        ("hall bath", ["Birch hall bath"]),
        ("Birhc hall bath", ["Birch hall bath"]),
    ],
)
def test_any_other_name_is_one_question_with_the_likely_jobs(
    name: str, likely: Sequence[str]
) -> None:
    bill = CostEntry(name, "material", 12_345, Place("bills.csv", "", 2))
    (asked,) = merged(job_questions([*FIRMS, *log(name, name), bill]))
    assert list(asked.choices[: len(likely)]) == likely
    assert asked.choices[len(likely) :] == (
        "own (a job of its own)",
        "leave it out (3 rows count nowhere)",
    )
    assert (asked.holds, asked.money) == ("3 rows of no known job", 12_345)


def test_own_is_never_the_only_choice() -> None:
    (asked,) = job_questions([*FIRMS, *log("Quince kitchen")])
    assert asked.choices[0] == "the name of another job"
    assert len(asked.choices) == 3


def test_two_forms_of_one_name_in_one_list_are_two_jobs() -> None:
    both = lists("Birch", "Birch hall bath")
    assert job_questions(both) == ()
    assert len(assemble(both, Firm()).jobs) == 2


def test_what_a_name_was_taken_for_is_said(read: Read) -> None:
    text = "Job,Date,Hours\nbirch,2025-03-04,8\n"
    batch = read(text, known_jobs=["Birch hall bath"])
    assert texts(batch, "asked") == []

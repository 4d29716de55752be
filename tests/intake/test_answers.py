"""Each topic: the question is put with its choices and rows, and its answer changes the reading."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from costlearn.errors import InputProblem, Place
from costlearn.firm import Firm
from costlearn.intake.answers import Answers, merged, settle
from costlearn.intake.names import job_questions
from costlearn.intake.reader import read_file
from costlearn.records import (
    Batch,
    ChangeEntry,
    CostEntry,
    HoursEntry,
    JobEntry,
    PhaseEntry,
    Question,
)
from costlearn.vocabulary import standard


def read(
    folder: Path, text: str, said: Mapping[str, str] | None = None, name: str = "t.csv"
) -> Batch:
    path = folder / name
    path.write_text(text, "utf-8")
    return read_file(path, Firm(), answers=Answers(said or {}))


def asked(batch: Batch) -> dict[str, tuple[int, tuple[str, ...]]]:
    return {q.key: (q.rows_waiting, q.choices) for q in batch.questions}


def told(batch: Batch) -> list[str]:
    return [f.text for f in batch.findings if "as you answered" in f.text]


def test_a_column_of_a_doubtful_phase_is_asked_and_then_read(tmp_path: Path) -> None:
    text = "Job,Rough hrs,Tile hrs\nJ-1,8,16\nJ-2,4,8\n"
    batch = read(tmp_path, text)
    ((key, (rows, choices)),) = asked(batch).items()
    assert (key, rows) == ("phase: rough", 2)
    assert choices[0] == "Plumbing rough-in"
    done = read(tmp_path, text, {"phase: rough": "framing"})
    assert done.questions == ()
    phases = {e.phase: e.actual.person_days for e in done.entries if isinstance(e, PhaseEntry)}
    assert phases == {"framing": 0.5, "tile": 1.0}


def test_a_word_that_names_no_phase_is_asked_no_more(tmp_path: Path) -> None:
    text = "Job,Person,Day,Hours,Phase\nJ-1,Ann,2024-03-04,8,Misc\nJ-1,Ann,2024-03-05,8,misc\n"
    assert asked(read(tmp_path, text))["phase: misc"][0] == 2
    done = read(tmp_path, text, {"phase: misc": "none"})
    assert done.questions == ()
    assert {e.phase for e in done.entries if isinstance(e, HoursEntry)} == {"unassigned"}
    assert told(done)


def test_rows_without_a_phase_are_asked_job_by_job(tmp_path: Path) -> None:
    text = "Job,Phase,Cost\nJ-1,Tile,400\nJ-1,,100\nJ-2,Paint,50\nJ-2,,10\n"
    keys = list(asked(read(tmp_path, text)))
    assert keys == [
        "phase: rows without a phase in t.csv / J-1", "phase: rows without a phase in t.csv / J-2",
    ]  # fmt: skip
    done = read(tmp_path, text, {keys[0]: "demo"})
    phases = [e.phase for e in done.entries if isinstance(e, PhaseEntry)]
    assert phases == ["tile", "demo", "paint", "unassigned"]


def test_an_unknown_column_is_taken_for_what_was_said(tmp_path: Path) -> None:
    text = "Job,Cost,Prise quotted\nJ-1,100,150\nJ-2,200,280\n"
    batch = read(tmp_path, text)
    ((key, (rows, choices)),) = asked(batch).items()
    assert (key, rows) == ("column: jobs / prise quotted", 2)
    assert choices[-1].startswith("none")
    done = read(tmp_path, text, {key: "quoted price"})
    assert [e.price for e in done.entries if isinstance(e, JobEntry)] == [15_000, 28_000]
    left = read(tmp_path, text, {key: "none"})
    assert left.questions == ()
    assert [e.price for e in left.entries if isinstance(e, JobEntry)] == [None, None]
    assert any("left alone, as you answered" in f.text for f in left.findings)


def test_one_heading_means_by_kind_of_table_what_was_said_of_it_there(tmp_path: Path) -> None:
    jobs = "Job,Sqft,Cost,What done\nJ-1,40,100,wall tile 90\nJ-2,50,200,niche\n"
    bills = "Job,Day,Payee,Kind,Amount,What\nJ-1,2024-03-04,yard,material,90,grout\n"
    ((key, _),) = asked(read(tmp_path, jobs)).items()
    assert key == "column: jobs / what done"
    (question,) = read(tmp_path, jobs).questions
    assert "the column 'What done' of a list of jobs" in question.text
    for given in (key, "column: what done"):
        done = read(tmp_path, jobs, {given: "scope"})
        first = next(e for e in done.entries if isinstance(e, JobEntry))
        assert first.scope == {"wall_tile": 90.0}, "answers of before still hold"
        (bill,) = read(tmp_path, bills, {given: "scope"}).entries
        assert isinstance(bill, CostEntry)
        assert bill.notes == "grout", "what is said of job lists changes no bill"


def test_an_amount_column_left_alone_is_asked_no_more(tmp_path: Path) -> None:
    text = "Job,Damage,Quoted\nMaple,17.2k,24500\nOak,31000,44000\n"
    for given in ("column: jobs / damage", "column: damage"):
        left = read(tmp_path, text, {given: "none"})
        assert left.questions == ()
        assert not [f for f in left.findings if f.kind == "asked"]


def test_days_without_a_crew_are_never_guessed_and_follow_the_answer(tmp_path: Path) -> None:
    text = "Job,Phase,Days\nJ-1,Tile,4\nJ-1,Paint,2\n"

    def days(said: dict[str, str]) -> list[tuple[float | None, float | None, float | None]]:
        return [
            (e.actual.site_days, e.actual.person_days, e.actual.crew)
            for e in read(tmp_path, text, said).entries
            if isinstance(e, PhaseEntry)
        ]

    assert asked(read(tmp_path, text))["crew: t.csv"][0] == 2
    assert days({}) == [(4.0, None, None), (2.0, None, None)]
    assert days({"crew: t.csv": "2"}) == [(4.0, 8.0, 2.0), (2.0, 4.0, 2.0)]
    assert days({"crew: t.csv": "person-days"}) == [(None, 4.0, None), (None, 2.0, None)]


def test_tax_in_totals_is_taken_out_at_the_rate_that_was_said(tmp_path: Path) -> None:
    text = "Job,Date,Payee,Kind,Total\nJ-1,2024-03-04,shop,material,113.00\n"
    assert asked(read(tmp_path, text))["tax: t.csv"][0] == 1
    for said, figures in (("0.13", (10_000, 1_300)), ("0", (11_300, 0))):
        (entry,) = read(tmp_path, text, {"tax: t.csv": said}).entries
        assert isinstance(entry, CostEntry)
        assert (entry.net, entry.tax) == figures
    (entry,) = read(tmp_path, text).entries
    assert isinstance(entry, CostEntry)
    assert (entry.net, entry.tax) == (11_300, None)


def test_bare_amounts_beside_foreign_ones_are_asked_about(tmp_path: Path) -> None:
    text = (
        "Job,Date,Payee,Kind,Amount\nJ-1,2024-03-04,shop,material,C$ 910\n"
        "J-1,2024-03-05,shop,material,$75\nJ-1,2024-03-06,yard,material,80\n"
    )
    key = "currency: t.csv / amounts that name no currency"
    assert asked(read(tmp_path, text)) == {key: (2, ("USD", "CAD"))}
    done = read(tmp_path, text, {key: "CAD"})
    assert done.questions == ()
    assert [e.currency for e in done.entries if isinstance(e, CostEntry)] == ["CAD"] * 3
    one_currency = text.replace("C$ 910", "$910")
    assert read(tmp_path, one_currency).questions == ()


def test_the_state_of_a_change_nobody_wrote_down_is_asked(tmp_path: Path) -> None:
    text = "Job,Change,Price,Status\nJ-1,niche,350,\nJ-1,bench,200,signed\n"
    key = "state of a change: J-1 / niche"
    assert asked(read(tmp_path, text)) == {key: (1, ("approved", "declined", "verbal"))}
    done = read(tmp_path, text, {key: "approved"})
    states = [e.state for e in done.entries if isinstance(e, ChangeEntry)]
    assert states == ["approved", "approved"]
    first, _ = read(tmp_path, text).entries
    assert isinstance(first, ChangeEntry)
    assert first.state == "verbal"


def test_the_order_of_dates_is_asked_only_where_no_date_proves_it(tmp_path: Path) -> None:
    text = "Job,Person,Day,Hours\nJ-1,Ann,04/03/2024,8\nJ-1,Ann,2024-03-07,8\n"
    key = "dates: t.csv / Day"
    assert asked(read(tmp_path, text)) == {key: (1, ("month-first", "day-first"))}
    done = read(tmp_path, text, {key: "day-first"})
    days = [str(e.day) for e in done.entries if isinstance(e, HoursEntry)]
    assert days == ["2024-03-04", "2024-03-07"]
    assert read(tmp_path, text.replace("04/03", "14/03")).questions == ()


def test_a_scope_word_keeps_its_size_under_the_item_that_was_said(tmp_path: Path) -> None:
    text = "Job,Cost,Scope\nJ-1,100,flurb 3; niche\nJ-2,100,2 flurb\n"
    assert asked(read(tmp_path, text))["scope: flurb"][0] == 2
    done = read(tmp_path, text, {"scope: flurb": "bench"})
    scopes = [dict(e.scope) for e in done.entries if isinstance(e, JobEntry)]
    assert scopes == [{"bench": 3.0, "niche": 1.0}, {"bench": 2.0}]
    none = read(tmp_path, text, {"scope: flurb": "none"})
    assert none.questions == ()
    assert [dict(e.scope) for e in none.entries if isinstance(e, JobEntry)] == [{"niche": 1.0}, {}]


def test_a_job_name_close_to_two_jobs_is_asked_with_both(tmp_path: Path) -> None:
    lists = [
        JobEntry(name, Place("jobs.csv", "", row))
        for row, name in enumerate(("J-01 Hall bath", "J-02 Hall bath rear"), 2)
    ]
    log = [
        HoursEntry(name, "Ann", None, 8, Place("log.csv", "", row))
        for row, name in enumerate(("Hall bath", "J-01", "hall BATH", "j 02 HALL bath rear"), 2)
    ]
    (one,) = job_questions([*lists, *log])
    assert (one.key, one.rows_waiting) == ("job: hall bath", 2)
    assert one.choices == (
        "J-01 Hall bath",
        "J-02 Hall bath rear",
        "own (a job of its own)",
        "leave it out (2 rows count nowhere)",
    )
    assert job_questions(log) == ()
    text = "Job,Person,Day,Hours\nHall bath,Ann,2024-03-04,8\n"
    (entry,) = read(tmp_path, text, {"job: hall bath": "J-01 Hall bath"}).entries
    assert entry.job == "J-01 Hall bath"
    (entry,) = read(tmp_path, text, {"job: hall bath": "own"}).entries
    assert entry.job == "Hall bath"


@pytest.mark.parametrize(
    ("topic", "said", "settled"),
    [
        ("phase", "TILE and grout", "tile"),
        ("phase", "none", "none"),
        ("phase", "own: Stair work", "stair_work"),
        ("scope", "Wall tile", "wall_tile"),
        ("crew", "1.5", "1.5"),
        ("crew", "Person days", "person-days"),
        ("tax", "13 %", "0.13"),
        ("tax", "0.13", "0.13"),
        ("tax", "14,975 %", "0.14975"),
        ("tax", "9,975", "0.09975"),
        ("tax", "0,13", "0.13"),
        ("tax", "none", "0"),
        ("currency", "cad", "CAD"),
        ("dates", "Day first", "day-first"),
        ("state", "paid", "finished"),
        ("state of a change", "signed", "approved"),
        ("job", "own", "own"),
        ("job", "j-1", "J-1"),
        ("column", "Quoted price", "quoted price"),
        ("phase", "ask again", ""),
    ],
)
def test_answers_are_understood_as_people_write_them(topic: str, said: str, settled: str) -> None:
    question = Question(f"{topic}: x", topic, Place(), "x", "?", ("a", "b"))
    assert settle(question, said, standard(), ["J-1"], Place("a.csv", "", 2, "answer")) == settled


@pytest.mark.parametrize(
    ("topic", "said"),
    [
        ("phase", "mud"), ("phase", "own:"), ("phase", "own: NAME"), ("scope", "grommet"),
        ("crew", "-1"), ("crew", "51"),
        ("tax", "113"), ("tax", "nan"), ("currency", "dollars"), ("dates", "3"), ("job", "J-2"),
        ("column", "qwertz"), ("state", "maybe"), ("cost kind", "x"), ("kind of job", "x"),
        ("state of a change", "later"),
    ],
)  # fmt: skip
def test_what_is_no_answer_names_the_row_and_the_choices(topic: str, said: str) -> None:
    question = Question(f"{topic}: x", topic, Place(), "x", "?", ("a", "b"))
    with pytest.raises(InputProblem, match=r"a.csv, row 2, column 'answer': .*expected a or b"):
        settle(question, said, standard(), ["J-1"], Place("a.csv", "", 2, "answer"))


def test_one_word_in_two_files_is_one_question() -> None:
    one = Question("phase: rough", "phase", Place("a.csv", "", 2), "Rough", "?", ("a",), 3)
    other = Question("phase: rough", "phase", Place("b.csv", "", 9), "rough", "?", ("a", "b"), 4)
    small = Question("crew: a.csv", "crew", Place("a.csv"), "", "?", (), 1)
    both = merged((small, one, other))
    assert [(q.key, q.rows_waiting) for q in both] == [("phase: rough", 7), ("crew: a.csv", 1)]
    assert both[0].place.file == "a.csv"
    assert both[0].choices == ("a", "b")


def test_floors_with_no_unit_anywhere_are_asked_for_once_a_column(tmp_path: Path) -> None:
    text = "Job,Size,Cost\nJ-1,48,100\nJ-2,60,200\nJ-3,,300\nJ-4,big,300\n"
    batch = read(tmp_path, text)
    assert asked(batch) == {"unit: t.csv / Size": (2, ("square feet", "square metres"))}
    assert [e.area_sqft for e in batch.entries if isinstance(e, JobEntry)] == [None] * 4
    (question,) = batch.questions
    assert (question.found, question.place.row) == ("48", 2)
    for written, sizes in (("sq ft", [48.0, 60.0]), ("m2", [516.667, 645.835])):
        said = settle(question, written, standard(), (), Place())
        done = read(tmp_path, text, {question.key: said})
        areas = [e.area_sqft for e in done.entries if isinstance(e, JobEntry)][:2]
        assert areas == pytest.approx(sizes, rel=1e-5)
        assert done.questions == ()
        assert any("as you answered" in f.text for f in done.findings)
    with pytest.raises(InputProblem, match="square feet or square metres"):
        settle(question, "feet", standard(), (), Place())
    for stated in ("Job,Size sf,Cost\nJ-1,60,200\n", "Job,Size,Cost\nJ-1,60,200\nJ-2,4 m2,90\n"):
        assert read(tmp_path, stated).questions == ()

"""Answers are listed, changed, taken back, handed to another book, and read back where absurd."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

from costlearn.book.store import Book
from costlearn.cli import filled
from costlearn.errors import InputProblem, Place
from costlearn.intake.answer_sheet import as_written
from costlearn.intake.answers import settle
from costlearn.records import History, Question
from costlearn.vocabulary import standard
from tests.cli.conftest import Command
from tests.cli.test_importing import flat, written
from tests.cli.test_waiting import BILLS, HOURS, JOBS, PHASES, fill_in

SPENT = "Job,Kind,Floor area,Total spend maybe,Finished\n" + "".join(
    f"J-0{n} {kind},{kind},45 sf,{n * 4}.2,2024-0{n}-20\n"
    for n, kind in enumerate(("bathroom", "laundry", "kitchen"), 1)
)
FILES = {"jobs.csv": JOBS, "hours.csv": HOURS, "bills.csv": BILLS, "phases.csv": PHASES}
ANSWERS = {
    "phase: rough": "own: stair work",
    "dates: hours.csv / Date": "day-first",
    "job: hall bath": "j-01 HALL bath",
    "scope: flurb": "bench",
    "kind of job: grotto": "bathroom",
    "cost kind: gubbins": "Materials",
    "cost kind: paid to / rental yard": "rental",
    "crew: phases.csv": "2",
}


@pytest.fixture
def replies(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """What a person types, in order."""

    def give(*texts: str) -> None:
        left = iter(texts)
        monkeypatch.setattr("typer.prompt", lambda *_, **__: next(left))

    return give


def filed(command: Command, folder: Path) -> Path:
    """A book of four small files that raise one question of each sort."""
    files = [written(folder, name, text) for name, text in FILES.items()]
    assert command("import", *files, "--book", folder / "b").code == 0
    return folder / "b"


def answered(command: Command, folder: Path) -> Path:
    book = filed(command, folder)
    assert command("answer", fill_in(command, book, ANSWERS), "--book", book).code == 0
    return book


def history_of(book: Path) -> History:
    with Book.open(book) as kept:
        return kept.history()


def test_answers_are_listed_as_a_person_would_write_them(command: Command, tmp_path: Path) -> None:
    book = filed(command, tmp_path)
    assert "No answer has been given." in command("answer", "--list", "--book", book).out
    book = answered(command, tmp_path)
    data = command("answer", "--list", "--book", book, "--json").data
    told = {one["id"]: one["answer"] for one in data}
    assert told == {
        **ANSWERS,
        "job: hall bath": "J-01 hall bath",
        "cost kind: gubbins": "material",
        "scope: flurb": told["scope: flurb"],
    }
    shown = flat(command("answer", "--list", "--book", book).out)
    assert "own: stair" in shown
    assert "costlearn answer --again NUMBER" in shown


def test_one_answer_is_changed_or_taken_back(
    command: Command, tmp_path: Path, replies: Callable[..., None]
) -> None:
    book = answered(command, tmp_path)
    replies("Electrical rough-in")
    done = command("answer", "--again", "phase: Rough", "--book", book)
    assert "Your answer: own: stair work." in flat(done.out)
    assert "1 answer kept and applied." in done.out
    job = command("jobs", "J-01", "--book", book, "--json").data
    assert "elec_rough" in {p["phase"] for p in job["phases"]}
    ids = [a["id"] for a in command("answer", "--list", "--book", book, "--json").data]
    replies("ask again")
    number = ids.index("kind of job: grotto") + 1
    assert command("answer", "--again", number, "--book", book).code == 0
    assert command("jobs", "J-03", "--book", book, "--json").data["kind"] is None
    (left,) = command("questions", "--book", book, "--json").data
    assert left["id"] == "kind of job: grotto"
    replies("")
    assert "0 answers kept" in command("answer", "--again", "1", "--book", book).out
    assert len(command("answer", "--list", "--book", book, "--json").data) == len(ANSWERS) - 1
    told = command("answer", "--again", "99", "--book", book).told
    assert "'99' is the number or id of no answer; expected a number from 1 to 7" in told
    assert "stand alone" in command("answer", "x.csv", "--list", "--book", book).told


def test_a_rebuilt_book_with_the_answers_of_the_old_one_holds_the_same_history(
    command: Command, tmp_path: Path
) -> None:
    book = answered(command, tmp_path)
    sheet = tmp_path / "given.csv"
    assert command("answer", "--write", sheet, "--book", book).code == 0
    assert "there is a file" in command("answer", "--write", sheet, "--book", book).told
    rebuilt = tmp_path / "again.book"
    files = [tmp_path / name for name in FILES]
    assert command("import", *files, "--book", rebuilt).code == 0
    assert history_of(rebuilt) != history_of(book)
    done = command("answer", sheet, "--book", rebuilt)
    assert (done.code, done.err) == (0, "")
    assert "8 answers kept and applied. Nothing waits" in flat(done.out)
    assert history_of(rebuilt) == history_of(book)
    with Book.open(book) as one, Book.open(rebuilt) as other:
        assert one.answers() == other.answers()
        assert list(one.entries()) == list(other.entries())


def test_an_answer_to_a_question_that_another_answer_raises_is_taken_from_the_same_sheet(
    command: Command, tmp_path: Path
) -> None:
    bare = "".join(f"B{n} hall bath,4{n},1{n}500,{n} days\n" for n in range(4, 9))
    book, file = tmp_path / "b", written(tmp_path, "list.csv", bare)
    assert command("import", file, "--book", book).code == 0
    (asked,) = command("questions", "--book", book, "--json").data
    assert asked["topic"] == "headings"
    sheet = fill_in(command, book, {asked["id"]: "job, area, cost, days"})
    assert command("answer", sheet, "--book", book).code == 0
    raised = {q["id"]: q for q in command("questions", "--book", book, "--json").data}
    assert {"unit", "crew"} == {q["topic"] for q in raised.values()}
    said = {key: "sf" if q["topic"] == "unit" else "1" for key, q in raised.items()}
    assert command("answer", fill_in(command, book, said), "--book", book).code == 0
    given, rebuilt = tmp_path / "given.csv", tmp_path / "again.book"
    assert command("answer", "--write", given, "--book", book).code == 0
    assert command("import", file, "--book", rebuilt).code == 0
    done = command("answer", given, "--book", rebuilt)
    assert "not needed" not in done.out
    assert history_of(rebuilt) == history_of(book)


@pytest.mark.parametrize(
    ("topic", "text"),
    [
        *(("phase", p.name) for p in standard().phases),
        ("phase", "own: Stair work"),
        ("phase", "own: A & B"),
        ("phase", "none"),
        *(("scope", i.name) for i in standard().items),
        ("scope", "none"),
        ("column", "site days"),
        ("column", "none"),
        ("job", "J-01 hall bath"),
        ("job", "own"),
        ("dates", "Day first"),
        ("crew", "2.5"),
        ("crew", "person days"),
        ("unit", "square metres"),
        ("unit", "sf"),
        ("tax", "13"),
        ("tax", "14,975 %"),
        ("tax", "none"),
        ("currency", "cad"),
        ("cost kind", "Materials"),
        ("kind of job", "ensuite"),
        ("state", "done"),
        ("state of a change", "signed"),
        ("headings", "job, -, cost"),
        ("headings", "leave it out"),
    ],
)
def test_a_settled_answer_as_it_is_written_settles_to_itself(topic: str, text: str) -> None:
    asked = Question("k", topic, Place(), "x", "What?", (text,))
    jobs = ["J-01 hall bath"]
    said = settle(asked, text, standard(), jobs, Place())
    assert settle(asked, as_written(asked, said), standard(), jobs, Place()) == said


def test_a_choice_is_taken_with_the_words_that_explain_it(command: Command, tmp_path: Path) -> None:
    asked = Question("k", "column", Place(), "x", "What?", ("cost (what the jobs cost you)",))
    with Book.in_memory() as kept:
        assert filled.settled(kept, asked, "Cost (what the jobs cost you)", Place()) == "cost"
        with pytest.raises(InputProblem, match="is no answer"):
            filled.settled(kept, asked, "blah (what the jobs cost you)", Place())


@pytest.fixture
def spent(command: Command, tmp_path: Path) -> tuple[Path, str]:
    """A book with a column that may be a cost and would make all jobs absurdly cheap."""
    book = tmp_path / "b"
    assert command("import", written(tmp_path, "spent.csv", SPENT), "--book", book).code == 0
    (asked,) = [
        q for q in command("questions", "--book", book, "--json").data if q["topic"] == "column"
    ]
    return book, asked["id"]


def test_an_absurd_answer_on_a_sheet_is_refused_unless_it_is_insisted_on(
    command: Command, spent: tuple[Path, str], tmp_path: Path
) -> None:
    book, key = spent
    done = command("answer", fill_in(command, book, {key: "cost"}), "--book", book)
    assert done.code == 1
    assert "That makes 'J-01 bathroom' cost $4.20 (if it is right, write 'cost!')." in done.err
    assert "0 answers kept" in done.out
    assert command("jobs", "J-01", "--book", book, "--json").data["actual"]["cost"] is None
    done = command("answer", fill_in(command, book, {key: "cost!"}), "--book", book)
    assert (done.code, done.err) == (0, "")
    assert command("jobs", "J-01", "--book", book, "--json").data["actual"]["cost"] == 420
    given = tmp_path / "given.csv"
    assert command("answer", "--write", given, "--book", book).code == 0
    with given.open(encoding="utf-8-sig", newline="") as file:
        assert {row["id"]: row["answer"] for row in csv.DictReader(file)}[key] == "cost!"
    again = tmp_path / "again.book"
    assert command("import", tmp_path / "spent.csv", "--book", again).code == 0
    assert command("answer", given, "--book", again).code == 0
    assert history_of(again) == history_of(book)


def test_an_absurd_answer_typed_in_is_read_back_before_it_is_kept(
    command: Command, spent: tuple[Path, str], replies: Callable[..., None]
) -> None:
    book, key = spent
    before = [q["id"] for q in command("questions", "--book", book, "--json").data]
    assert before[0] == key
    replies("cost", "no", "none", "stop")
    done = command("answer", "--book", book)
    assert "That makes 'J-01 bathroom' cost $4.20." in done.out
    assert command("answer", "--list", "--book", book, "--json").data[0]["answer"] == "none"
    replies("cost", "yes")
    command("answer", "--again", key, "--book", book)
    assert command("jobs", "J-01", "--book", book, "--json").data["actual"]["cost"] == 420


def test_seven_questions_at_a_time_the_most_money_first_with_all_it_takes_to_answer(
    command: Command, tmp_path: Path, replies: Callable[..., None]
) -> None:
    book = tmp_path / "b"
    jobs = written(tmp_path, "jobs.csv", "Job,Kind,Cost,Finished\nJ-01,bathroom,9000,2024-03-20\n")
    bills = [
        written(
            tmp_path,
            f"bills{n}.csv",
            f"Job,Date,Payee,Kind,Amount\nJ-01,2024-03-0{n},yard,zz{n}q,{n}00\n",
        )
        for n in range(1, 10)
    ]
    assert command("import", jobs, *bills, "--book", book).code == 0
    shown = command("questions", "--book", book).out
    said = flat(shown)
    assert [f"\n{n}  " in f"\n{shown}" for n in range(1, 9)] == [True] * 7 + [False]
    assert said.index("'zz9q'") < said.index("'zz8q'") < said.index("'zz3q'")
    assert "'zz2q'" not in said
    assert "Holds up 1 row, $900 (bills9.csv, row 2, column 'Kind')." in said
    assert "2 more on the sheet: costlearn questions --write answers.csv --book" in said
    assert "9 questions hold up 9 rows, $4,500." in said
    assert len(command("questions", "--book", book, "--json").data) == 9
    replies(*["material"] * 7)
    told = flat(command("answer", "--book", book).out)
    assert "7 answers kept and applied." in told
    assert "2 more on the sheet" in told

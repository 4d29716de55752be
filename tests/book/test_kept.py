"""Files as they came, questions and answers stay in the book, through changes of version too."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from costlearn.book import kept, schema
from costlearn.book.kept import Answered, Source
from costlearn.book.store import Book
from costlearn.errors import BookProblem, Place
from costlearn.records import Batch, CostEntry, HoursEntry, JobEntry, Question

HERE = Place("mixed.xlsx", "Jobs 2024", 2)
ROUGH = Question("phase: rough", "phase", HERE, "Rough", "Which phase?", ("tile", "paint"), 4)
CREW = Question("crew: mixed.xlsx", "crew", HERE, "", "How many?", ())
SOURCE = Source("mixed.xlsx", b"the bytes\x00\xff" * 100, "map.toml", "kind = 'jobs'")


def asking(batch: Batch) -> Batch:
    return replace(batch, questions=(ROUGH, CREW))


def test_a_file_and_its_questions_come_back_as_they_were(batch: Batch, tmp_path: Path) -> None:
    path = tmp_path / "b"
    with Book.open(path) as book:
        book.add(asking(batch), source=SOURCE)
    with Book.open(path) as book:
        assert list(book.sources()) == [("mixed.xlsx", SOURCE)]
        assert list(book.sources(["other"])) == []
        assert book.questions() == (ROUGH, CREW)
        assert book.asking(["crew: mixed.xlsx"]) == {"mixed.xlsx"}
        assert book.asking(["crew: other"]) == set()
        book.remove("mixed.xlsx")
        assert book.questions() == ()
        assert list(book.sources()) == []


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ("file = '../../mixed.xlsx'", "under the name '../../mixed.xlsx'; expected a name without"),
        ("file = '/etc/mixed.xlsx'", "expected a name without a folder"),
        ("file = '..'", "expected a name without a folder"),
        ("packed = x'00'", "mixed.xlsx: the file as it came cannot be unpacked"),
        ("packed = substr(packed, 1, 12)", "it is damaged, or far too large"),
    ],
)
def test_a_book_of_somebody_else_leads_to_no_other_folder(
    batch: Batch, tmp_path: Path, changed: str, told: str
) -> None:
    path = tmp_path / "b"
    with Book.open(path) as book:
        book.add(asking(batch), source=SOURCE)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"UPDATE source SET {changed}")
        connection.commit()
    with Book.open(path) as book, pytest.raises(BookProblem) as caught:
        list(book.sources())
    assert told in str(caught.value)


def test_a_file_larger_than_any_import_is_not_unpacked(
    batch: Batch, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(kept, "LARGEST_FILE", len(SOURCE.data) - 1)
    with Book.in_memory() as book:
        book.add(asking(batch), source=SOURCE)
        with pytest.raises(BookProblem, match="far too large"):
            list(book.sources())
        monkeypatch.setattr(kept, "LARGEST_FILE", len(SOURCE.data) + 1)
        assert list(book.sources()) == [("mixed.xlsx", SOURCE)]


def test_an_answer_replaces_rows_and_closes_its_question(batch: Batch) -> None:
    job = batch.entries[0]
    assert isinstance(job, JobEntry)
    anew = replace(asking(batch), entries=(replace(job, price=7),), questions=(CREW,))
    with Book.in_memory() as book:
        book.add(asking(batch), source=SOURCE)
        book.answer([Answered(ROUGH, "tile")], {"mixed.xlsx": anew})
        assert [e.price for e in book.entries() if isinstance(e, JobEntry)] == [7]
        assert book.questions() == (CREW,)
        (said,) = book.answers()
        assert (said.question.key, said.question.choices, said.said) == (
            "phase: rough", ("tile", "paint"), "tile",
        )  # fmt: skip
        book.answer([Answered(ROUGH, "paint")], {})
        assert [one.said for one in book.answers()] == ["paint"]
        book.answer([Answered(ROUGH, "")], {})
        assert book.answers() == ()


def test_an_answered_question_of_a_file_not_read_anew_does_not_wait(batch: Batch) -> None:
    with Book.in_memory() as book:
        book.add(asking(batch))
        assert list(book.sources()) == [("mixed.xlsx", None)]
        book.answer([Answered(CREW, "2")], {})
        assert book.questions() == (ROUGH,)


def test_answers_that_cannot_be_applied_leave_the_book_as_it_was(batch: Batch) -> None:
    broken = replace(batch, entries=(CostEntry("J", "sub", 10**30, HERE),))
    with Book.in_memory() as book:
        book.add(asking(batch), source=SOURCE)
        before = list(book.entries())
        with pytest.raises(BookProblem, match="too large"):
            book.answer([Answered(ROUGH, "tile")], {"mixed.xlsx": broken})
        assert list(book.entries()) == before
        assert book.answers() == ()
        assert book.questions() == (ROUGH, CREW)


def test_the_same_bytes_by_another_map_are_a_change(batch: Batch) -> None:
    with Book.in_memory() as book:
        assert book.add(batch, source=SOURCE).kind == "new"
        assert book.add(batch, source=SOURCE).kind == "unchanged"
        assert book.add(batch, source=replace(SOURCE, map_text="kind = 'hours'")).kind == "changed"
        assert book.add(batch).kind == "unchanged"


def test_names_of_jobs_with_their_rows_and_first_places(batch: Batch) -> None:
    with Book.in_memory() as book:
        book.add(batch)
        listed, others = book.job_names()
        assert [(name, rows) for name, rows, _ in listed] == [
            ("J-01 Hall bath", 1), ("J-02", 1), ("J-03", 1),
        ]  # fmt: skip
        assert listed[0][2] == Place("mixed.xlsx", "Jobs 2024", 2, "Job")
        whole = [
            e for e in batch.entries if isinstance(e, HoursEntry) and e.job == "J-01 Hall bath"
        ]
        assert ("J-01 Hall bath", len(whole), whole[0].place) in others
        assert all(name for name, *_ in others)


def test_a_book_of_the_first_version_learns_to_ask(batch: Batch, tmp_path: Path) -> None:
    path = tmp_path / "old.book"
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for statement in schema.STEPS[0]:
            connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
        connection.execute("PRAGMA user_version = 1")
        connection.execute(
            "INSERT INTO source_file VALUES (1, 'mixed.xlsx', '', 'd-full', '2025-01-01T00:00:00')"
        )
    with Book.open(path) as book:
        assert book.questions() == ()
        assert book.answers() == ()
        assert list(book.sources()) == [("mixed.xlsx", None)]
        # The same file once more is kept this time, and asks what it has to ask.
        assert book.add(asking(batch), source=SOURCE).kind == "changed"
        assert book.questions() == (ROUGH, CREW)
        assert list(book.sources()) == [("mixed.xlsx", SOURCE)]

"""The job book keeps what it was given, changes whole files only, and says what changed."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from costlearn.assembly import twin_questions
from costlearn.book.changes import Count
from costlearn.book.kept import Answered
from costlearn.book.store import Book
from costlearn.errors import BookProblem, InputProblem, Place
from costlearn.firm import Firm
from costlearn.records import (
    Amounts,
    Batch,
    CostEntry,
    HoursEntry,
    JobEntry,
    PhaseEntry,
)


def hours(file: str, row: int, value: float, job: str = "J-1", day: int = 1) -> HoursEntry:
    return HoursEntry(job, "Ann", date(2024, 3, day), value, Place(file, "", row))


def kept(book: Book) -> list[object]:
    return list(book.entries())


def test_every_entry_comes_back_as_it_was(tmp_path: Path, batch: Batch) -> None:
    path = tmp_path / "firm.book"
    with Book.open(path) as book:
        change = book.add(batch)
    assert change.kind == "new"
    assert set(change.counts) == {
        Count("job rows", 3, 0, 0),
        Count("phase rows", 2, 0, 0),
        Count("hours rows", 3, 0, 0),
        Count("cost lines", 3, 0, 0),
        Count("change orders", 2, 0, 0),
    }
    with Book.open(path, create=False) as book:
        assert tuple(book.entries()) == batch.entries
        assert book.findings() == batch.findings


def test_missing_zero_and_no_stay_three_things(batch: Batch) -> None:
    with Book.in_memory() as book:
        book.add(batch)
        first, missing, zero = (e for e in book.entries() if isinstance(e, JobEntry))
    assert first.condo is True
    assert dict(first.scope) == {"wall_tile": 96.0, "niche": 0.0, "bench": None}
    assert list(first.scope) == ["wall_tile", "niche", "bench"]
    assert (missing.price, missing.condo, missing.actual.cost) == (None, None, None)
    assert missing.actual.empty
    assert (zero.price, zero.condo, zero.actual.cost, zero.area_sqft) == (0, False, 0, 0.0)
    assert zero.condo is False
    assert isinstance(zero.actual.person_days, float)
    assert isinstance(zero.price, int)


def test_the_moment_of_import_is_utc(batch: Batch) -> None:
    before = datetime.now(UTC).replace(microsecond=0)
    with Book.in_memory() as book:
        book.add(batch)
        (line,) = book.files()
    assert line.imported_at.utcoffset() == datetime.now(UTC).utcoffset()
    assert before <= line.imported_at <= datetime.now(UTC)
    assert (line.name, line.digest, line.findings) == ("mixed.xlsx", "d-full", 2)
    assert dict(line.counts)["job rows"] == 3


def test_a_clock_that_jumps_changes_no_order(monkeypatch: pytest.MonkeyPatch) -> None:
    """What was imported last is last, whatever the clock said: 2026, 2050, then 1990."""
    years = iter((2026, 2050, 1990, 2030))

    class Jumping(datetime):
        @classmethod
        def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
            return datetime(next(years), 1, 1, tzinfo=UTC)

    monkeypatch.setattr("costlearn.book.store.datetime", Jumping)
    with Book.in_memory() as book:
        for name, value in (("a.csv", 8.0), ("b.csv", 6.0), ("a.csv", 4.0), ("c.csv", 2.0)):
            book.add(Batch(name, f"{name}{value}", (hours(name, 2, value),), ()))
        assert [change.file for _, change in book.changes()] == ["a.csv", "b.csv", "a.csv", "c.csv"]
        assert [file.name for file in book.files()] == ["a.csv", "b.csv", "c.csv"]
        assert [entry.hours for entry in book.entries()] == [4.0, 6.0, 2.0]  # type: ignore[union-attr]


def test_the_same_file_twice_changes_nothing(batch: Batch) -> None:
    with Book.in_memory() as book:
        book.add(batch)
        history, lines, log = book.history(), book.files(), book.changes()
        again = book.add(batch)
        assert again.kind == "unchanged"
        assert again.sentence == "mixed.xlsx: nothing new, the book has this file already."
        assert (book.history(), book.files(), book.changes()) == (history, lines, log)


def test_the_same_content_under_another_name_is_not_added(batch: Batch) -> None:
    with Book.in_memory() as book:
        book.add(batch)
        again = book.add(replace(batch, file="copy of mixed.xlsx"))
        assert (again.kind, again.same_as) == ("unchanged", "mixed.xlsx")
        assert "as mixed.xlsx" in again.sentence
        assert len(book.files()) == 1


def test_a_file_that_turns_into_a_copy_of_another_is_refused() -> None:
    with Book.in_memory() as book:
        book.add(Batch("a.csv", "d1", (hours("a.csv", 2, 8.0),), ()))
        book.add(Batch("b.csv", "d2", (hours("b.csv", 2, 4.0, "J-2"),), ()))
        before = kept(book)
        with pytest.raises(InputProblem, match=r"b\.csv: it now has the same content as a\.csv"):
            book.add(Batch("b.csv", "d1", (hours("b.csv", 2, 8.0),), ()))
        assert kept(book) == before


def test_a_changed_file_replaces_its_own_rows_only(batch: Batch) -> None:
    old = tuple(hours("h.csv", 2 + n, 8.0, day=1 + n) for n in range(4))
    # Day 1 gone, day 2 as it was (one row higher), day 3 corrected, day 4 as it was, day 9 new.
    new = (
        hours("h.csv", 2, 8.0, day=2),
        hours("h.csv", 3, 6.0, day=3),
        hours("h.csv", 4, 8.0, day=4),
        hours("h.csv", 5, 8.0, day=9),
    )
    with Book.in_memory() as book:
        book.add(Batch("h.csv", "d1", old, ()))
        book.add(batch)
        change = book.add(Batch("h.csv", "d2", new, ()))
        assert change.kind == "changed"
        assert change.counts == (Count("hours rows", 1, 1, 1),)
        assert change.sentence == "h.csv: changed, hours rows: 1 added, 1 removed, 1 changed."
        # The file keeps its rank, so what counts among equal records does not change.
        assert kept(book) == [*new, *batch.entries]
        assert book.findings() == batch.findings
        assert [c.kind for _, c in book.changes()] == ["new", "new", "changed"]


def test_rows_that_only_moved_are_no_change() -> None:
    rows = tuple(hours("h.csv", 2 + n, 8.0, day=1 + n) for n in range(3))
    moved = tuple(replace(e, place=replace(e.place, row=e.place.row + 5)) for e in rows)
    with Book.in_memory() as book:
        book.add(Batch("h.csv", "d1", rows, ()))
        change = book.add(Batch("h.csv", "d2", moved, ()))
        assert (change.kind, change.counts) == ("changed", ())
        assert change.sentence == "h.csv: the file changed, but none of its rows did."
        assert kept(book) == list(moved)


def test_a_changed_scope_is_a_changed_job_row() -> None:
    row = JobEntry("J-1", Place("j.csv", "", 2), scope={"niche": None})
    with Book.in_memory() as book:
        book.add(Batch("j.csv", "d1", (row,), ()))
        change = book.add(Batch("j.csv", "d2", (replace(row, scope={"niche": 1.0}),), ()))
        assert change.counts == (Count("job rows", 0, 0, 1),)


def test_removing_a_file_takes_its_rows_and_findings(batch: Batch) -> None:
    other = Batch("h.csv", "d1", (hours("h.csv", 2, 8.0),), ())
    with Book.in_memory() as book:
        book.add(batch)
        book.add(other)
        change = book.remove("mixed.xlsx")
        assert change.kind == "removed"
        assert Count("job rows", 0, 3, 0) in change.counts
        assert kept(book) == list(other.entries)
        assert book.findings() == ()
        scope = book._connection.execute("SELECT count(*) FROM scope").fetchone()
        assert scope == (0,)
        assert book.add(batch).kind == "new"


def test_a_file_the_book_does_not_have() -> None:
    with Book.in_memory() as book:
        with pytest.raises(InputProblem, match="the book is empty"):
            book.remove("x.csv")
        book.add(Batch("h.csv", "d1", (hours("h.csv", 2, 8.0),), ()))
        with pytest.raises(InputProblem, match=r"no file 'x\.csv'; expected one of h\.csv"):
            book.remove("x.csv")
        with pytest.raises(InputProblem, match=r"no file 'x\.csv'"):
            book.findings("x.csv")


def test_findings_of_one_file(batch: Batch) -> None:
    with Book.in_memory() as book:
        book.add(batch)
        book.add(Batch("h.csv", "d1", (hours("h.csv", 2, 8.0),), ()))
        assert book.findings("mixed.xlsx") == batch.findings
        assert book.findings("h.csv") == ()


def test_files_are_known_by_their_path_below_the_book(tmp_path: Path) -> None:
    with Book.open(tmp_path / "firm.book") as book:
        for number, year in enumerate(("2021", "2022")):
            entry = JobEntry(f"J-{year}", Place("jobs.csv", "", 2))
            where = tmp_path / year / "jobs.csv"
            book.add(Batch("jobs.csv", f"d{number}", (entry,), ()), where)
        assert [line.name for line in book.files()] == ["2021/jobs.csv", "2022/jobs.csv"]
        # Provenance names the file as the book does, or two files would look like one.
        assert [e.place.file for e in book.entries()] == ["2021/jobs.csv", "2022/jobs.csv"]
        again = Batch("jobs.csv", "d9", (JobEntry("J-2021 b", Place("jobs.csv", "", 2)),), ())
        assert book.add(again, tmp_path / "2021" / "jobs.csv").kind == "changed"
        assert len(book.files()) == 2


def test_files_elsewhere_are_known_by_name_and_folder(tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.mkdir()
    entry = JobEntry("J-1", Place("jobs.csv", "", 2))
    with Book.open(home / "firm.book") as book:
        first = book.add(Batch("jobs.csv", "d1", (entry,), ()), tmp_path / "a" / "jobs.csv")
        second = book.add(Batch("jobs.csv", "d2", (entry,), ()), tmp_path / "b" / "jobs.csv")
        inside = book.add(Batch("jobs.csv", "d3", (entry,), ()), home / "jobs.csv")
        assert first.file == "jobs.csv"
        assert second.file.startswith("jobs.csv (")
        assert inside.file == "./jobs.csv"
        assert [c.kind for c in (first, second, inside)] == ["new"] * 3
        for number, folder in enumerate((tmp_path / "a", tmp_path / "b", home)):
            batch = Batch("jobs.csv", f"e{number}", (entry,), ())
            assert book.add(batch, folder / "jobs.csv").kind == "changed"
        assert len(book.files()) == 3


def test_settings_come_back() -> None:
    firm = Firm(
        name="Pinecone Baths",
        currency="CAD",
        hours_per_day=7.5,
        tax_recoverable=False,
        day_rate=412.5,
        phase_words={"tile": ("tilework", "céramique"), "sauna": ()},
        price_index={"2024-01-01": 104.2},
    )
    with Book.in_memory() as book:
        assert book.firm() == Firm()
        book.set_firm(firm)
        assert book.firm() == firm
        book.set_firm(Firm())
        assert book.firm() == Firm()


def test_history_is_assembled_with_the_firms_settings() -> None:
    entries = (
        JobEntry("J-1 bath", Place("a.csv", "", 2), price=1000_00, state="finished"),
        hours("a.csv", 9, 12.0, job="J-1"),
        CostEntry(None, "material", 500, Place("a.csv", "", 12)),
    )
    with Book.in_memory() as book:
        book.set_firm(Firm(hours_per_day=6.0))
        book.add(Batch("a.csv", "d", entries, ()))
        history = book.history()
    (job,) = history.jobs
    assert job.actual.person_days == 2.0
    assert history.firm.hours_per_day == 6.0
    assert history.loose_costs == (entries[2],)


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        (HoursEntry("J", "A", None, math.nan, Place("x.csv", "", 7)), "x.csv, row 7: nan"),
        (CostEntry("J", "material", 2**70, Place("x.csv", "", 8)), "x.csv, row 8: 1180591620717"),
        (JobEntry("J", Place("x.csv", "", 9), state="lost"), "x.csv, row 9: a value does not fit"),
        (PhaseEntry("J", "tile", Place("x.csv", "", 4), actual=Amounts(cost=1.5)), "row 4"),  # type: ignore[arg-type]
    ],
)
def test_a_value_the_book_cannot_hold_undoes_the_whole_import(entry: object, words: str) -> None:
    good = JobEntry("J-1", Place("x.csv", "", 2))
    with Book.in_memory() as book:
        book.add(Batch("x.csv", "d1", (good,), ()))
        with pytest.raises(BookProblem) as caught:
            book.add(Batch("x.csv", "d2", (hours("x.csv", 3, 8.0), entry), ()))  # type: ignore[arg-type]
        assert words in str(caught.value)
        assert kept(book) == [good]
        assert book.files()[0].digest == "d1"


def test_two_programs_do_not_write_at_once(tmp_path: Path, batch: Batch) -> None:
    path = tmp_path / "firm.book"
    with Book.open(path) as one, Book.open(path) as other:
        other._connection.execute("PRAGMA busy_timeout = 50")
        one._connection.execute("BEGIN IMMEDIATE")
        with pytest.raises(BookProblem, match="in use by another program"):
            other.add(batch)
        one._connection.execute("ROLLBACK")
        assert other.add(batch).kind == "new"
        assert tuple(one.entries()) == batch.entries


def test_an_answer_makes_two_purchases_of_one_and_survives_a_reading() -> None:
    def bought(file: str, day: int, *, on_statement: bool) -> Batch:
        line = CostEntry(
            "J-1", "material", 61_234, Place(file, "", 2), day=date(2025, 4, day),
            payee="Supply yard", on_statement=on_statement,
        )  # fmt: skip
        return Batch(file, file, (line,), ())

    with Book.in_memory() as book:
        book.add(bought("receipts.csv", 2, on_statement=False))
        book.add(bought("card.csv", 7, on_statement=True))
        assert book.history().jobs[0].actual.material == 61_234
        (asked,) = twin_questions(book.history().twins)
        book.answer([Answered(asked, "two purchases")], {})
        assert book.history().jobs[0].actual.material == 122_468
        assert twin_questions(book.history().twins) == ()

"""Exports of the day sheet: read as hours, receipts and changes, every record counted once."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path

import pytest
import xlsxwriter

from costlearn import tidy
from costlearn.errors import InputProblem, Place
from costlearn.firm import Firm
from costlearn.intake.day_sheet import HEADINGS, NAME, earlier_records, gather
from costlearn.intake.reader import read_file
from costlearn.records import Batch, ChangeEntry, CostEntry, HoursEntry, JobEntry

Row = Mapping[str, str]
FILE = "daysheet-2026-11-09.csv"


def row(key: str, record: str = "hours", version: int = 1, **cells: str) -> Row:
    """A row of an export; a heading with blanks is written with underscores."""
    base = {"record": record, "day": "2026-11-09", "job": "B26-08", "record id": key}
    base["version"] = str(version)
    return base | {heading.replace("_", " "): text for heading, text in cells.items()}


def ann(key: str = "kann", version: int = 1, hours: str = "8", **more: str) -> Row:
    return row(key, version=version, person="Ann", phase="Tile and grout", hours=hours, **more)


def export(*rows: Row, delimiter: str = ",") -> str:
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, HEADINGS, delimiter=delimiter, lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    return "\ufeff" + out.getvalue()


@pytest.fixture
def read(tmp_path: Path) -> Callable[..., Batch]:
    def reader(*rows: Row, delimiter: str = ",") -> Batch:
        path = tmp_path / FILE
        path.write_text(export(*rows, delimiter=delimiter), "utf-8", newline="")
        return read_file(path, Firm(currency="CAD"))

    return reader


class Desk:
    """Exports put together one after the other, as an import does it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.data: bytes | None = None

    def take(self, name: str, *rows: Row) -> str:
        path = self.folder / name
        path.write_text(export(*rows), "utf-8", newline="")
        earlier = earlier_records(self.data, self.folder) if self.data else ()
        found = gather(path, earlier)
        self.data = found.data
        return found.sentence.removeprefix(f"{name}: ")

    @property
    def logged(self) -> list[HoursEntry]:
        """The hours as the book would have them now."""
        path = self.folder / NAME
        path.write_bytes(self.data or b"")
        return [e for e in read_file(path, Firm()).entries if isinstance(e, HoursEntry)]

    @property
    def entries(self) -> list[tuple[str, float]]:
        """Who worked how long."""
        return [(e.person, e.hours) for e in self.logged]


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


# -- what a record becomes ------------------------------------------------------------------------


def test_hours_and_waits(read: Callable[..., Batch]) -> None:
    batch = read(
        ann(hours="7.5", note="rot under the tub"),
        row("kb", person="Ben", hours="2", waiting="yes", waiting_for="delivery", note="tub late"),
        row("kc", hours="0", waiting="yes", waiting_for="drying", phase="membrane"),
    )
    day = date(2026, 11, 9)
    assert batch.file == NAME
    assert batch.entries == (
        HoursEntry(
            "B26-08", "Ann", day, 7.5, Place(FILE, "", 2), "tile", False, "rot under the tub"
        ),
        HoursEntry("B26-08", "Ben", day, 2.0, Place(FILE, "", 3), None, True, "delivery; tub late"),
        HoursEntry("B26-08", "", day, 0.0, Place(FILE, "", 4), "waterproof", True, "drying"),
    )
    assert not batch.questions
    assert batch.count("set aside") == 0


def test_receipts_with_tax_in_on_top_none_and_unknown(read: Callable[..., Batch]) -> None:
    batch = read(
        *(
            row(f"k{i}", "receipt", cost_kind="material", paid_to="Tile shop", **sums)
            for i, sums in enumerate(
                (
                    {"amount_before_tax": "100.00", "tax": "13.00", "amount_with_tax": "113.00"},
                    {"amount_before_tax": "84.50"},
                    {"amount_before_tax": "40.00", "tax": "0.00", "amount_with_tax": "40.00"},
                    {"amount_with_tax": "56.50"},
                    {"amount_before_tax": "-10.00", "tax": "-1.30", "amount_with_tax": "-11.30"},
                )
            )
        )
    )
    lines = [e for e in batch.entries if isinstance(e, CostEntry)]
    assert [(e.net, e.tax) for e in lines] == [
        (10000, 1300), (8450, None), (4000, 0), (5650, None), (-1000, -130)
    ]  # fmt: skip
    # Only what nobody said is asked: which tax is in the one total.
    (asked,) = batch.questions
    assert (asked.topic, asked.place) == ("tax", Place(FILE, "", 5, "amount with tax"))
    assert {(e.kind, e.payee) for e in lines} == {("material", "Tile shop")}


def test_extras(read: Callable[..., Batch]) -> None:
    batch = read(
        row("k1", "extra", extra="two more lights", price="250.00", answer="approved"),
        row("k2", "extra", extra="bench", answer="verbal", phase="Tile and grout"),
        row("k3", "extra", extra="smaller niche", price="-80.00", answer="declined"),
    )
    assert batch.entries == (
        ChangeEntry("B26-08", "two more lights", "approved", Place(FILE, "", 2), 25_000),
        ChangeEntry("B26-08", "bench", "verbal", Place(FILE, "", 3), phase="tile"),
        ChangeEntry("B26-08", "smaller niche", "declined", Place(FILE, "", 4), -8_000),
    )


@pytest.mark.parametrize(
    "text", ["=HYPERLINK(1)", "+1 800", "-2 coats", "@hall", "'quoted'", "\\u0041 _x0041_"]
)
def test_texts_that_look_like_formulas_come_back_unchanged(
    read: Callable[..., Batch], text: str
) -> None:
    safe = tidy.guard(text)
    batch = read(
        ann(note=safe) | {"person": safe, "job": safe},
        row(
            "kr", "receipt", paid_to=safe, note=safe, cost_kind="material", amount_before_tax="1.00"
        ),
        row("kx", "extra", extra=safe, answer="approved"),
    )
    hours, bill, change = batch.entries
    assert isinstance(hours, HoursEntry)
    assert isinstance(bill, CostEntry)
    assert isinstance(change, ChangeEntry)
    assert (hours.job, hours.person, hours.notes) == (text, text, text)
    assert (bill.payee, bill.notes, change.label) == (text, text, text)


def test_a_row_nobody_can_use_is_set_aside_with_its_text(read: Callable[..., Batch]) -> None:
    batch = read(
        row("k1", "mileage", note="40 km"),
        row("k2", hours="7") | {"job": ""},
        row("k3", waiting="yes") | {"day": ""},
        ann(hours="plenty"),
    )
    assert batch.entries == ()
    aside = {f.place.row: f.text for f in batch.findings if f.kind == "set aside"}
    assert aside[2] == "'mileage' is no kind of record: hours, receipt, extra or job"
    assert aside[3] == "it names no job"
    assert aside[4] == "it names no day"
    assert set(aside) == {2, 3, 4, 5}


def test_a_spreadsheet_program_may_have_saved_it_anew(
    read: Callable[..., Batch], tmp_path: Path
) -> None:
    batch = read(ann(hours="7,5"), ann("kb", hours="8") | {"day": "09.11.2026"}, delimiter=";")
    assert [e.hours for e in batch.entries if isinstance(e, HoursEntry)] == [7.5, 8.0]
    book = xlsxwriter.Workbook(tmp_path / "sheet.xlsx")
    sheet = book.add_worksheet("day")
    sheet.write_row(0, 0, [heading.title() for heading in HEADINGS])
    for column, heading in enumerate(HEADINGS):
        value = ann().get(heading, "")
        if heading == "day":
            sheet.write_datetime(1, column, date(2026, 11, 9))
        elif heading in ("hours", "version"):
            sheet.write_number(1, column, float(value))
        else:
            sheet.write_string(1, column, value)
    book.close()
    (entry,) = read_file(tmp_path / "sheet.xlsx", Firm()).entries
    place = Place("sheet.xlsx", "day", 2)
    assert entry == HoursEntry("B26-08", "Ann", date(2026, 11, 9), 8.0, place, "tile")


def test_a_day_sheet_beside_other_tables_is_refused(tmp_path: Path) -> None:
    book = xlsxwriter.Workbook(tmp_path / "both.xlsx")
    book.add_worksheet("day").write_row(0, 0, HEADINGS)
    book.add_worksheet("jobs").write_row(0, 0, ["Job", "Price"])
    book.close()
    with pytest.raises(InputProblem, match="in a file of its own"):
        read_file(tmp_path / "both.xlsx", Firm())


def test_an_hours_log_of_somebody_is_no_day_sheet(
    read: Callable[..., Batch], tmp_path: Path
) -> None:
    path = tmp_path / "log.csv"
    path.write_text("Record,Day,Job,Person,Hours\n1,2026-11-09,B26-08,Ann,8\n", "utf-8")
    assert read_file(path, Firm()).file == "log.csv"
    with pytest.raises(InputProblem, match="no export of a day sheet"):
        gather(path)


# -- every record once ----------------------------------------------------------------------------


def test_the_same_export_twice_and_under_two_names_counts_once(desk: Desk) -> None:
    assert desk.take("a.csv", ann(), ann("kb", hours="4")) == "2 records of a day sheet: 2 new."
    before = desk.data
    told = desk.take("a (1).csv", ann(), ann("kb", hours="4"))
    assert told == "2 records of a day sheet: 2 on file already."
    assert desk.data == before


def test_a_newer_export_corrects_and_an_older_one_after_it_changes_nothing(desk: Desk) -> None:
    old = (ann(), ann("kb", hours="4"))
    new = (ann(version=2, hours="6.5"), ann("kb", hours="4"), ann("kc", hours="1"))
    desk.take("old.csv", *old)
    told = desk.take("new.csv", *new)
    assert told == "3 records of a day sheet: 1 new, 1 corrected, 1 on file already."
    assert sorted(desk.entries) == [("Ann", 1.0), ("Ann", 4.0), ("Ann", 6.5)]
    told = desk.take("old again.csv", *old)
    assert "1 on file already, 1 older than what is on file, which stays" in told
    assert told.endswith("; 1 more from other exports is kept.")
    assert sorted(desk.entries) == [("Ann", 1.0), ("Ann", 4.0), ("Ann", 6.5)]


def test_the_older_export_first_or_last_leaves_the_same_book(tmp_path: Path) -> None:
    old = ("old.csv", ann(), ann("kb", hours="4"))
    new = ("new.csv", ann(version=3, hours="2"), ann("kb", 2, hours="4", removed="yes"))
    ends = []
    for i, order in enumerate(((old, new), (new, old), (old, new, old, new))):
        folder = tmp_path / str(i)
        folder.mkdir()
        one = Desk(folder)
        for name, *rows in order:
            one.take(name, *rows)
        ends.append(one.data)
        assert one.entries == [("Ann", 2.0)]
    assert ends[0] == ends[1] == ends[2]


def test_a_removal_is_a_row_and_a_missing_row_is_no_removal(desk: Desk) -> None:
    desk.take("a.csv", ann(), ann("kb", hours="4"))
    told = desk.take("b.csv", ann(version=2, removed="yes"))
    assert told == ("1 record of a day sheet: 1 taken out; 1 more from other exports is kept.")
    assert desk.entries == [("Ann", 4.0)]
    desk.take("a again.csv", ann(), ann("kb", hours="4"))
    assert desk.entries == [("Ann", 4.0)]
    # Put back on the page: a version more.
    assert "1 corrected" in desk.take("c.csv", ann(version=3))
    assert sorted(desk.entries) == [("Ann", 4.0), ("Ann", 8.0)]


def test_two_phones_with_sheets_of_their_own_add_up(desk: Desk) -> None:
    desk.take("mine.csv", ann())
    told = desk.take("hers.csv", ann("kother", hours="3"))
    assert told == "1 record of a day sheet: 1 new; 1 more from other exports is kept."
    assert sorted(desk.entries) == [("Ann", 3.0), ("Ann", 8.0)]


def test_a_file_changed_by_hand_counts_as_it_stands(desk: Desk) -> None:
    desk.take("a.csv", ann())
    assert desk.take("a.csv", ann(hours="7")) == "1 record of a day sheet: 1 corrected."
    assert desk.entries == [("Ann", 7.0)]


@pytest.mark.parametrize("absurd", ["1e308", "-5", "3.7e99", "abc", "1" + "0" * 30, "nan", "inf"])
def test_an_absurd_version_stands_in_the_way_of_no_correction(desk: Desk, absurd: str) -> None:
    desk.take("one.csv", {**ann(hours="8"), "version": absurd})
    assert desk.take("two.csv", ann(version=2, hours="6")) == (
        "1 record of a day sheet: 1 corrected."
    )
    assert [one.hours for one in desk.logged] == [6]


@pytest.mark.parametrize("absurd", ["1e308", "-5", "abc", "9" * 5000, "1" + "0" * 30, "²"])
def test_an_absurd_row_of_origin_is_none(desk: Desk, absurd: str) -> None:
    path = desk.folder / "kept.csv"
    heads = (*HEADINGS, *tidy.ORIGIN)
    cells = {**ann(), "from file": "one.csv", "from row": absurd}
    path.write_text(",".join(heads) + "\n" + ",".join(cells.get(h, "") for h in heads), "utf-8")
    desk.data = gather(path).data
    (one,) = desk.logged
    assert one.place == Place("one.csv", "", 0)


def test_rows_added_by_hand_are_records_of_their_own(desk: Desk) -> None:
    """A row without an id, two equal ones, and a changed copy that kept the id of its model."""
    rows = (ann(), ann("", hours="2"), ann("", hours="2"), ann(hours="5"), ann())
    assert desk.take("a.csv", *rows) == "4 records of a day sheet: 4 new."
    hours = sorted(h for _, h in desk.entries)
    assert hours == [2.0, 2.0, 5.0, 8.0]
    assert desk.take("b.csv", *rows) == "4 records of a day sheet: 4 on file already."
    assert sorted(h for _, h in desk.entries) == hours


def test_each_entry_says_which_export_its_record_came_from(desk: Desk) -> None:
    desk.take("old.csv", ann("kb", hours="4"), ann())
    desk.take("=new.csv", ann(version=2, hours="6") | {"day": "2026-11-02"})
    assert [(e.place.file, e.place.row) for e in desk.logged] == [("=new.csv", 2), ("old.csv", 2)]


def test_a_finished_job_is_read_as_a_line_that_was_typed(read: Callable[..., Batch]) -> None:
    line = "46 sq ft, niche, 9 days me alone, ~18k all in, charged 24,500"
    batch = read(row("k1", "job", line=line), row("k2", "job", line="=niche, 30k", job="Elm bath"))
    (job,) = batch.entries
    assert isinstance(job, JobEntry)
    assert (job.job, job.state, job.finished) == ("B26-08", "finished", date(2026, 11, 9))
    assert (job.area_sqft, job.actual.cost, job.price) == (46.0, 1_800_000, 2_450_000)
    assert (job.actual.site_days, job.actual.crew) == (9.0, 1.0)
    assert job.place == Place(FILE, "", 2)
    # What is a cost or a price is asked, and the line waits.
    asked = next(q for q in batch.questions if q.topic == "part of a line")
    assert (asked.found, asked.place.row) == ("30k", 3)

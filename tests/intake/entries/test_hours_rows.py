"""Hours logs: hours spread over weekdays, dates, people or phases; crews; call-back work."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import openpyxl
import pytest

from costlearn.firm import Firm
from costlearn.intake.entries.weeks import in_week
from costlearn.intake.reader import read_file
from costlearn.records import Batch, CostEntry, HoursEntry, PhaseEntry

Read = Callable[..., Batch]


def hours(batch: Batch) -> list[HoursEntry]:
    entries = [e for e in batch.entries if isinstance(e, HoursEntry)]
    assert len(entries) == len(batch.entries)
    return entries


def brief(batch: Batch) -> list[tuple[object, ...]]:
    return [(e.job, e.person, e.day and e.day.isoformat(), e.phase, e.hours) for e in hours(batch)]


def texts(batch: Batch, kind: str) -> list[str]:
    return [f.text for f in batch.findings if f.kind == kind]


def test_a_column_a_weekday(read: Read) -> None:
    batch = read(
        "Week of,Who,Job,Phase,Mon,Tue,Wed,Thu,Fri,Total\n"
        "2025-03-03,Ann,Maple,tile,8,7.5,,half day,,19.5\n"
        "2025-03-03,Bo,Maple,tile,,,8,,,9\n"
        "TOTAL,,,,8,7.5,8,4,,\n"
    )
    assert brief(batch) == [
        ("Maple", "Ann", "2025-03-03", "tile", 8),
        ("Maple", "Ann", "2025-03-04", "tile", 7.5),
        ("Maple", "Ann", "2025-03-06", "tile", 4),
        ("Maple", "Bo", "2025-03-05", "tile", 8),
    ]
    assert [e.place.column for e in hours(batch)] == ["Mon", "Tue", "Thu", "Wed"]
    checked = texts(batch, "checked")
    assert "the row's total says 9 hours, its columns make 8" in checked
    assert sum("agrees" in t for t in checked) == 4


def test_a_week_that_ends_on_its_date(read: Read) -> None:
    # Sunday 9 March 2025 ends the week of Monday 3.
    batch = read("Week ending,Who,Job,Lun,Mer,Dim\n2025-03-09,Ann,Maple,8,7,2\n")
    assert [e.day for e in hours(batch)] == [date(2025, 3, 3), date(2025, 3, 5), date(2025, 3, 9)]


def test_the_week_of_a_title_or_of_nothing(read: Read) -> None:
    table = "Who,Job,Monday,Tuesday\nAnn,Maple,8,7\n"
    batch = read("Week of 3 March 2025,,,\n" + table)
    assert [e.day for e in hours(batch)] == [date(2025, 3, 3), date(2025, 3, 4)]
    batch = read(table)
    assert [e.day for e in hours(batch)] == [None, None]
    assert any("which week" in t for t in texts(batch, "asked"))


def test_a_column_a_date(tmp_path: Path, read: Read) -> None:
    wanted = [("Maple", "Ann", "2025-03-03", None, 8), ("Oak", "Ann", "2025-03-04", None, 4)]
    assert brief(read("Who,Job,2025-03-03,2025-03-04\nAnn,Maple,8,\nAnn,Oak,,4\n")) == wanted
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Who", "Job", datetime(2025, 3, 3), datetime(2025, 3, 4)])
    sheet.append(["Ann", "Maple", 8, None])
    sheet.append(["Ann", "Oak", None, 4])
    book.save(tmp_path / "week.xlsx")
    assert brief(read_file(tmp_path / "week.xlsx", Firm())) == wanted


def test_a_column_a_person(read: Read) -> None:
    batch = read(
        "Date,Job,Phase,Ann,Bo (hrs),Invoice,Km\n2025-03-03,Maple,demo,8,4,,\n"
        "2025-03-04,Maple,tile,7.5,,5521,12\nTotal,,,15.5,4,,\n",
        firm=Firm(people=("Ann",)),
    )
    assert brief(batch) == [
        ("Maple", "Ann", "2025-03-03", "demo", 8),
        ("Maple", "Bo", "2025-03-03", "demo", 4),
        ("Maple", "Ann", "2025-03-04", "tile", 7.5),
    ]
    assert sum("holds the hours of" in t for t in texts(batch, "understood")) == 2
    assert sum("agrees" in t for t in texts(batch, "checked")) == 2
    assert any("'Km' is not used" in t for t in texts(batch, "set aside"))


def test_a_column_a_phase(read: Read) -> None:
    batch = read("Date,Who,Job,Demo,Tile hrs,Paint\n2025-03-03,Ann,Maple,3,5,\n")
    assert brief(batch) == [
        ("Maple", "Ann", "2025-03-03", "demo", 3),
        ("Maple", "Ann", "2025-03-03", "tile", 5),
    ]


def test_a_cell_of_more_than_a_day_is_set_aside(read: Read) -> None:
    batch = read("Week of,Who,Job,Mon,Tue\n2025-03-03,Ann,Maple,80,8\n2025-03-03,Ann,Oak,,\n")
    assert [e.hours for e in hours(batch)] == [8]
    aside = [f for f in batch.findings if f.kind == "set aside"]
    assert [(f.place.row, f.place.column) for f in aside] == [(2, "Mon"), (3, "")]


def test_a_phase_table_stays_one(read: Read) -> None:
    batch = read("Job,Phase,Hours\nMaple,demo,8\n")
    assert [type(e) for e in batch.entries] == [PhaseEntry]


def test_weekdays_count_from_either_end() -> None:
    monday, wednesday = date(2025, 3, 3), date(2025, 3, 5)
    assert in_week(monday, 0, ends=False) == monday
    # A week that starts on a Wednesday has its Monday five days later.
    assert in_week(wednesday, 0, ends=False) == date(2025, 3, 10)
    assert in_week(wednesday, 0, ends=True) == monday
    assert in_week(wednesday, 3, ends=True) == date(2025, 2, 27)


def test_days_without_a_year_take_the_one_around_them(read: Read) -> None:
    table = "Date,Job,Who,Hours\n3-Mar,Maple,Ann,8\n4 mars,Maple,Ann,7\n"
    for text, name in ((table, "hours 2025.csv"), ("Hours 2025,,,\n" + table, "log.csv")):
        batch = read(text, name=name)
        assert [e.day for e in hours(batch)] == [date(2025, 3, 3), date(2025, 3, 4)]
        assert any("taken to be of 2025" in t for t in texts(batch, "proposed"))
    for name in ("log.csv", "2024-2025.csv"):
        batch = read(table, name=name)
        assert [e.day for e in hours(batch)] == [None, None]
        assert sum("has no year" in t for t in texts(batch, "set aside")) == 2


# -- crews ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("heading", "each"),
    [
        ("Crew hours", [8, 8]), ("Hours each", [8, 8]), ("Hours per man", [8, 8]),
        ("Total hours", [4, 4]), ("Man hours", [4, 4]),
    ],
)  # fmt: skip
def test_hours_of_a_crew(read: Read, heading: str, each: list[float]) -> None:
    batch = read(f"Date,Job,Crew,{heading}\n2025-03-03,Maple,2,8\n")
    assert [e.hours for e in hours(batch)] == each
    assert len({e.person for e in hours(batch)}) == 2
    assert batch.questions == ()


def test_half_a_crew_member_and_a_named_person(read: Read) -> None:
    batch = read("Date,Job,Crew,Crew hours\n2025-03-03,Maple,1.5,8\n2025-03-04,Maple,1,6\n")
    assert [e.hours for e in hours(batch)] == [8, 4, 6]
    batch = read("Date,Job,Who,Crew,Hours\n2025-03-03,Maple,Ann,2,8\n")
    assert [(e.person, e.hours) for e in hours(batch)] == [("Ann", 8)]


# -- call-back work -------------------------------------------------------------------------------


def causes(batch: Batch) -> list[tuple[str | None, str | None]]:
    return [
        (e.phase, e.callback_of) for e in batch.entries if isinstance(e, HoursEntry | CostEntry)
    ]


def test_a_column_that_names_the_cause(read: Read) -> None:
    batch = read(
        "Date,Job,Who,Hours,Phase,Callback,Cause\n"
        "2025-03-03,Maple,Ann,8,tile,,\n"
        "2025-09-01,Maple,Ann,2,tile,yes,waterproofing\n"
        "2025-09-02,Maple,Ann,2,paint,,plumbing rough\n"
        "2025-09-03,Maple,Ann,2,grout,x,\n"
        "2025-09-04,Maple,Ann,2,,yes,\n"
        "2025-09-05,Maple,Ann,2,tile,no,\n"
        "2025-09-06,Maple,Ann,2,tile,drywall,\n"
    )
    assert causes(batch) == [
        ("tile", None),
        ("tile", "waterproof"),
        ("paint", "plumb_rough"),
        ("tile", "tile"),
        (None, "unassigned"),
        ("tile", None),
        ("tile", "board"),
    ]
    assert any("booked to the phase worked on" in t for t in texts(batch, "proposed"))
    (asked,) = texts(batch, "asked")
    assert "which phase caused this call-back" in asked


@pytest.mark.parametrize(
    ("word", "cause"),
    [
        ("callback tile", "tile"), ("Call-back: grout", "tile"), ("warranty paint", "paint"),
        ("tile callback", "tile"), ("call back for drywall", "board"), ("rappel céramique", "tile"),
    ],
)  # fmt: skip
def test_words_that_name_the_cause(read: Read, word: str, cause: str) -> None:
    batch = read(f"Date,Job,Who,Hours,Phase\n2025-09-03,Maple,Ann,8,{word}\n")
    assert causes(batch) == [(None, cause)]


def test_the_bare_word_is_closing_out_work_and_said(read: Read) -> None:
    rows = "".join(f"2025-09-0{day},Maple,Ann,8,Call back\n" for day in (3, 4))
    batch = read("Date,Job,Who,Hours,Phase\n" + rows)
    assert causes(batch) == [("closeout", None)] * 2
    assert len([t for t in texts(batch, "proposed") if "closing-out work" in t]) == 1


def test_receipts_for_call_back_work(read: Read) -> None:
    batch = read(
        "Date,Vendor,Job,Category,Amount,Phase,Warranty\n"
        "2025-09-03,Tile yard,Maple,Materials,40,tile,yes\n"
        "2025-09-03,Tile yard,Maple,Materials,40,callback tile,\n"
        "2025-09-03,Tile yard,Maple,Materials,40,tile,\n"
    )
    assert causes(batch) == [("tile", "tile"), (None, "tile"), ("tile", None)]


def test_hours_with_the_other_decimal_mark_are_read_where_their_form_settles_it(
    read: Read,
) -> None:
    batch = read(
        'Job,Person,Date,Hours,Phase\nA,Bo,2025-03-10,"7,5",tile\nA,Bo,2025-03-11,9.5,tile\n'
        'A,Bo,2025-03-12,8.25,tile\nA,Bo,2025-03-13,"1,250",tile\n'
    )
    assert [e.hours for e in batch.entries if isinstance(e, HoursEntry)] == [7.5, 9.5, 8.25]
    told = [f for f in batch.findings if "by the comma as its decimal mark" in f.text]
    assert [(f.kind, f.place.row) for f in told] == [("understood", 2)]
    aside = [f.place.row for f in batch.findings if f.kind == "set aside"]
    assert aside == [5], "what may be thousands keeps the rule of its column"


def test_waiting_for_somebody_is_waiting_and_told(read: Read) -> None:
    batch = read(
        "Job,Person,Date,Hours,Phase\nA,Bo,2025-03-10,2,waiting for inspector\n"
        "A,Bo,2025-03-11,3,Waited on drywall guy\nA,Bo,2025-03-12,3,waiting\n"
    )
    found = [e for e in batch.entries if isinstance(e, HoursEntry)]
    assert [(e.waiting, e.phase) for e in found] == [(True, None)] * 3
    told = [f.raw for f in batch.findings if "nobody could work" in f.text]
    assert told == ["waiting for inspector", "Waited on drywall guy"]
    assert batch.questions == ()

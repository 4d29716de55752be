"""An hours log that writes people and their hours into one cell: "M 6h, K 4h"."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from dirt.reading import of, texts

from costlearn.errors import InputProblem
from costlearn.intake.entries.hours_named import read_named
from costlearn.records import Batch, HoursEntry

Read = Callable[..., Batch]


@pytest.mark.parametrize(
    ("text", "people"),
    [
        ("M 6h, K 4h", (("M", 6.0), ("K", 4.0))),
        ("M 7.5 K 4", (("M", 7.5), ("K", 4.0))),
        ("M6h/K4h", (("M", 6.0), ("K", 4.0))),
        ("Mike: 6 hrs and Kim: 4,5 hrs", (("Mike", 6.0), ("Kim", 4.5))),
        ("M 8", (("M", 8.0),)),
        ("about 6h", ()),
        ("M", ()),
        ("8", ()),
        ("M 6h, rest", ()),
        ("M 6h K", ()),
        ("M 123", ()),
        ("M 6h, " * 100, ()),
    ],
)
def test_a_cell(text: str, people: tuple[tuple[str, float], ...]) -> None:
    assert read_named(text) == people


@pytest.mark.parametrize("heading", ["Who", "Hours", "Crew"])
def test_a_row_gives_an_entry_a_person(read: Read, heading: str) -> None:
    batch = read(
        f"Date,Job,{heading},Doing\n"
        '2026-02-02,Mill rd,"M 6h, K 4h",demo\n'
        "2026-02-03,Mill rd,M 8h,tile\n"
        "2026-02-04,Mill rd,rain,tile\n"
        '2026-02-05,Mill rd,"M 30h, K 2h",tile\n'
    )
    found = of(batch, HoursEntry)
    assert [(e.person, e.hours, e.phase) for e in found] == [
        ("M", 6.0, "demo"),
        ("K", 4.0, "demo"),
        ("M", 8.0, "tile"),
        ("", 0.0, None),
        ("K", 2.0, "tile"),
    ]
    assert any("each name in column" in t for t in texts(batch, "understood"))
    assert any("30 hours are more" in t for t in texts(batch, "set aside"))


def test_hours_of_a_column_of_their_own_go_first(read: Read) -> None:
    batch = read('Date,Job,Who,Hours\n2026-02-02,Mill rd,"Unit 6h, Bay 4h",7\n')
    assert [e.hours for e in of(batch, HoursEntry)] == [7.0]


def test_phases_with_hours_are_no_people(read: Read) -> None:
    with pytest.raises(InputProblem, match="no column for the hours"):
        read('Date,Job,Who\n2026-02-02,Mill rd,"demo 6h, tile 2h"\n')


def test_what_is_missing_of_a_table_is_said(read: Read) -> None:
    with pytest.raises(InputProblem, match=r"row 1 has headings of an hours log .*the hours"):
        read("Date,Worker,Place\n2026-02-02,M,Mill rd\n")
    with pytest.raises(InputProblem, match=r"row 2 has headings of a list of jobs .*the job"):
        read("My jobs\nWhose bath,Began,Size,Quote\nElm,2024-03-01,45,15000\n")
    with pytest.raises(InputProblem, match="nearest to headings are 'Aa', 'Bb'"):
        read("Aa,Bb\nx,y\n")


def test_a_day_without_a_year_is_of_the_year_of_the_sheet(read: Read) -> None:
    text = "Date,Job,Who,Hours\n{},Mill rd,M,7\n{},Mill rd,M,8\n"
    batch = read(text.format("2/13", "2/3"), "hours 2026.csv")
    days = [e.day.isoformat() for e in of(batch, HoursEntry) if e.day]
    assert days == ["2026-02-13", "2026-02-03"]
    (question,) = read(text.format("2/4", "2/3"), "hours 2026.csv").questions[:1]
    assert (question.topic, question.found) == ("dates", "2/4")
    bare = read(text.format("2/13", "2/3"), "hours.csv")
    assert [e.day for e in of(bare, HoursEntry)] == [None, None]

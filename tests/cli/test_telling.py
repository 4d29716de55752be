"""What a person must know of a file at once, sorted by what it is."""

from __future__ import annotations

from costlearn.cli.telling import outcome
from costlearn.errors import Place
from costlearn.records import Batch, Finding, Question


def test_what_a_person_must_know_is_sorted_by_what_it_is() -> None:
    place = Place("a.csv", "", 9, "Cost")
    few = Question("a", "phase", Place("a.csv", "", 2, "Phase"), "rough", "Which?", rows_waiting=9)
    dear = Question("b", "column", Place("a.csv", "", 1, "Zorp"), "Zorp", "What?", money=100)
    found = (
        Finding("checked", place, "'Total' 5.00 agrees", "Total", agrees=True),
        Finding("checked", Place("a.csv", "", 12, "Cost"), "'Sum' 5.00 agrees", "Sum", agrees=True),
        Finding("checked", place, "'TOTAL' says 7.00", "TOTAL", agrees=False),
        Finding("asked", few.place, "phase 'rough' may mean", "rough"),
        Finding("asked", Place("a.csv", "", 4, "Job"), "3 lines name no job"),
        Finding("set aside", Place("a.csv", "", 1, "Time"), "column 'Time' is not used", "Time"),
        Finding("set aside", Place("a.csv", "Notes"), "sheet of 3 rows is not used", "Dear"),
        Finding("set aside", Place("a.csv", "", 3, "Cost"), "'5,4k' is no amount of money", "5,4k"),
        Finding("proposed", Place("a.csv", "", 5, "Phase"), "'Tyle' is taken for 'tile'", "Tyle"),
        Finding("understood", Place("a.csv"), "so"),
    )
    told = outcome(Batch("a.csv", "0", (), found, (few, dear)))
    assert told.agree == 2
    assert [line.text for line in told.off] == ["'TOTAL' says 7.00"]
    assert told.waits == (dear, few)
    assert [line.text for line in told.asked] == ["3 lines name no job"]
    assert [line.example.raw for line in told.aside] == ["5,4k"]
    assert told.unused == ("Time", "Notes")
    assert [line.example.raw for line in told.read_as] == ["Tyle"]

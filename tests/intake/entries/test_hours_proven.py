"""Hours logs whose cells prove what they say; what they do not prove is asked and waits."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import date, time
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from dirt.reading import of, texts

from costlearn.assembly import assemble
from costlearn.errors import InputProblem
from costlearn.firm import Firm
from costlearn.intake.answers import Answers, settle
from costlearn.intake.reader import read_file
from costlearn.records import Batch, HoursEntry, Question
from costlearn.vocabulary import standard

Log = Callable[..., Batch]
OURS = Firm(currency="CAD", people=("Mo", "Kay"))


def cell(text: str) -> Any:
    """A cell as a workbook holds it: a number, a date, a time, else a text."""
    for read in (float, date.fromisoformat, time.fromisoformat):
        try:
            return read(text) if read is not time.fromisoformat or ":" in text else text
        except ValueError:
            continue
    return text or None


@pytest.fixture(params=["csv", "xlsx"])
def log(request: pytest.FixtureRequest, tmp_path: Path) -> Log:
    """Read a table from a text file, and from a workbook with the same cells."""

    def reader(text: str, firm: Firm = OURS, answers: dict[str, str] | None = None) -> Batch:
        path = tmp_path / f"log.{request.param}"
        if request.param == "csv":
            path.write_text(text, encoding="utf-8")
        else:
            book = openpyxl.Workbook()
            sheet = book.active
            assert sheet is not None
            for row in csv.reader(io.StringIO(text)):
                sheet.append([cell(raw) for raw in row])
            book.save(path)
        return read_file(path, firm, answers=Answers(answers or {}))

    return reader


def brief(batch: Batch) -> list[tuple[str, str, float]]:
    return [(e.job, e.person, round(e.hours, 4)) for e in of(batch, HoursEntry)]


def hours(batch: Batch) -> list[float]:
    return [round(e.hours, 4) for e in of(batch, HoursEntry)]


def aside(batch: Batch) -> list[tuple[int, str, str]]:
    """Rows that wait, with their column and why."""
    held = [f for f in batch.findings if f.kind == "set aside"]
    return [(f.place.row, f.place.column, f.text) for f in held if f.place.row > 1]


def told(question: Question, said: str, *jobs: str) -> dict[str, str]:
    """An answer as it is kept."""
    return {question.key: settle(question, said, standard(), jobs, question.place)}


# -- times of day ---------------------------------------------------------------------------------


def test_in_and_out_with_a_break_in_minutes(log: Log) -> None:
    batch = log(
        "Date,Who,Site,In,Out,Break (min)\n"
        "2024-09-03,Mo,Teal bath,07:30,16:00,30\n"
        "2024-09-03,Kay,Teal bath,08:00,15:15,45\n"
        "2024-09-04,Kay,Teal bath,08:00,12:00,0\n"
        "2024-09-05,Mo,Teal bath,08:00,13:30,\n"
    )
    assert hours(batch) == [8, 6.5, 4, 5.5]
    assert batch.questions == () and not aside(batch)


@pytest.mark.parametrize("heads", ["In,Out,Lunch", "arrive,leave,lunch", "Debut,Fin,Pause"])
@pytest.mark.parametrize("lunch", ["0:30", "1/2 h", "30 min", "half hour"])
def test_twelve_hours_without_am_and_pm(log: Log, heads: str, lunch: str) -> None:
    batch = log(
        f"Date,Job,Who,{heads}\n2024-09-03,Teal,Mo,7:30,4:00,{lunch}\n"
        f"2024-09-04,Teal,Mo,8:00,4:30,\n2024-09-05,Teal,Mo,10:00 pm,2:00 am,\n"
    )
    assert hours(batch) == [8, 8.5, 4]


def test_a_morning_that_may_be_a_long_day_waits_unless_a_figure_proves_it(log: Log) -> None:
    table = "Date,Job,Who,Start,End{}\n2024-09-03,Teal,Mo,8:00,11:30{}\n"
    batch = log(table.format("", ""))
    ((row, column, why),) = aside(batch)
    assert (row, column) == (2, "End") and "3.5 or 15.5 hours" in why
    assert hours(log(table.format(",Hours", ",3.5"))) == [3.5]
    late = "2024-09-04,Teal,Mo,8:00,16:00\n"
    assert hours(log(table.format("", "") + late)) == [3.5, 8], "a clock of 24 hours proves it"


def test_two_spells_and_lunch_columns(log: Log) -> None:
    batch = log(
        "Date,Job,Who,In,Out,In,Out\n2024-09-03,Teal,Mo,8:00,12:00,12:30,4:30\n"
        "2024-09-04,Teal,Mo,8:00,14:00,,\n"
    )
    assert hours(batch) == [8, 6]
    batch = log(
        "Date,Job,Who,Start Time,End Time,Lunch Start,Lunch End\n"
        "2024-09-03,Teal,Mo,9:30 AM,5:45 PM,12:40 PM,1:10 PM\n"
    )
    assert hours(batch) == [7.75]


def test_stated_hours_are_proven_and_one_that_disagrees_waits_alone(log: Log) -> None:
    batch = log(
        "Date,Job,Who,Start,End,Break,Hours\n"
        "2024-09-03,Teal,Mo,7:30,16:00,30,8\n"
        "2024-09-04,Teal,Mo,7:30,16:00,30,9\n"
        "2024-09-05,Teal,Mo,,,,6.5\n"
        "2024-09-06,Teal,Mo,7:30,,,\n"
    )
    assert hours(batch) == [8, 6.5]
    assert [(row, column) for row, column, _ in aside(batch)] == [(3, "Hours"), (5, "End")]
    assert "7:30 to 16:00 with a break of 30 make 8 hours, the cell says 9" in aside(batch)[0][2]


def test_a_break_nobody_wrote_down_is_proven_by_the_hours(log: Log) -> None:
    head = "Date,Job,Who,Start,End,Hours\n"
    rows = "2024-09-03,Teal,Mo,7:30,16:00,8\n2024-09-04,Teal,Mo,7:00,16:00,8.5\n"
    batch = log(head + rows + "2024-09-05,Teal,Mo,7:00,16:00,7\n")
    assert hours(batch) == [8, 8.5]
    assert [row for row, _, _ in aside(batch)] == [4]


def test_a_break_only_marked_is_asked_once_or_proven(log: Log) -> None:
    table = (
        "Date,Job,Who,Start,End,Lunch{}\n2024-09-03,Teal,Mo,7:30,16:00,yes{}\n"
        "2024-09-04,Teal,Mo,7:30,12:00,no{}\n"
    )
    batch = log(table.format("", "", ""))
    (question,) = batch.questions
    assert hours(batch) == [4.5] and question.rows_waiting == 1
    again = log(table.format("", "", ""), answers=told(question, "30 minutes"))
    assert hours(again) == [8, 4.5]
    assert hours(log(table.format(",Hours", ",8", ",4.5"))) == [8, 4.5]


def test_two_columns_of_times_are_never_people_nor_one_hours(log: Log) -> None:
    with pytest.raises(InputProblem):
        log("Date,Job,B,E\n2024-09-03,Teal,7:30,16:00\n2024-09-04,Teal,8:00,15:00\n")
    table = "Date,Job,Who,Time\n2024-09-03,Teal,Mo,7:30\n2024-09-04,Teal,Mo,8:00\n"
    batch = log(table)
    (question,) = batch.questions
    assert not of(batch, HoursEntry) and len(aside(batch)) == 2
    assert hours(log(table, answers=told(question, "hours worked"))) == [7.5, 8]
    assert not of(log(table, answers=told(question, "times of day")), HoursEntry)
    assert hours(log(table + "Total,,,15:30\n")) == [7.5, 8], "their sum proves them"
    assert hours(log(table.replace("Time", "Hours"))) == [7.5, 8]


# -- regular and overtime -------------------------------------------------------------------------


def test_regular_and_overtime_are_added_and_a_total_proves_them(log: Log) -> None:
    batch = log(
        "Date,Job,Who,Regular,Overtime,Double time,Total\n"
        "2024-09-03,Teal,Mo,8,1.5,,9.5\n2024-09-04,Teal,Mo,8,2,1,11\n2024-09-05,Teal,Mo,8,,,9\n"
    )
    assert hours(batch) == [9.5, 11]
    ((row, column, why),) = aside(batch)
    assert (row, column) == (4, "Total") and "make 8 hours, the total says 9" in why


def test_weeks_of_a_person_and_their_totals(log: Log) -> None:
    batch = log(
        "Week ending,Name,Job,Regular,Overtime\n2024-05-10,Mo,Crane kitchen,40,4.5\n"
        "2024-05-10,Kay,Crane kitchen,36,0\nWeek total,,,76,4.5\n2024-05-17,Mo,Swift bath,16,0\n"
    )
    assert hours(batch) == [44.5, 36, 16]
    assert sum("agrees" in text for text in texts(batch, "checked")) == 2


@pytest.mark.parametrize(
    ("rows", "found"),
    [
        (("8,1.5", "8,2", "6,"), [9.5, 10, 6]),
        (("9.5,1.5", "10,2", "6,"), [9.5, 10, 6]),
        (("11,2", "10,1", "9,0"), [11, 10, 9]),
    ],
)
def test_overtime_beside_hours_is_in_them_or_on_top_as_the_days_prove(
    log: Log, rows: tuple[str, ...], found: list[float]
) -> None:
    lines = "".join(f"2024-09-0{at},Teal,Mo,{row}\n" for at, row in enumerate(rows, 1))
    assert hours(log("Date,Job,Who,Hours,OT\n" + lines)) == found


def test_overtime_that_proves_nothing_is_asked_once(log: Log) -> None:
    table = (
        "Date,Job,Who,Hours,OT\n2024-09-03,Teal,Mo,7,1\n2024-09-04,Teal,Mo,9.5,2\n"
        "2024-09-05,Teal,Mo,6,\n"
    )
    batch = log(table)
    (question,) = batch.questions
    assert hours(batch) == [6] and question.rows_waiting == 2
    assert hours(log(table, answers=told(question, "on top of them"))) == [8, 11.5, 6]
    assert hours(log(table, answers=told(question, "already in them"))) == [7, 9.5, 6]


def test_sums_in_a_cell(log: Log) -> None:
    batch = log("Date,Job,Who,Hours\n2024-09-03,Teal,Mo,8 + 2 OT\n2024-09-04,Teal,Mo,8\n")
    assert hours(batch) == [10, 8]


# -- people ---------------------------------------------------------------------------------------

GRID = "Day,Job,{},{}{}\n2024-06-03,Teal,8,7.5{}\n2024-06-04,Teal,6,{}{}\n"


def test_people_as_columns_by_the_settings_a_legend_or_a_total(log: Log) -> None:
    wanted = [("Teal", "Mo", 8), ("Teal", "Kay", 7.5), ("Teal", "Mo", 6)]
    plain = GRID.format("Mo", "Kay", "", "", "", "")
    assert brief(log(plain)) == wanted
    legend = '"M = Mo, K = Kay",,,\n' + GRID.format("M", "K", "", "", "", "")
    assert brief(log(legend, Firm())) == wanted
    summed = GRID.format("Mo", "Kay", ",All", ",15.5", "", ",6")
    assert brief(log(summed, Firm())) == wanted
    assert brief(log(GRID.format("Mo (hrs)", "Kay (hrs)", "", "", "", ""), Firm())) == wanted
    units = "Day,Job,Mo,Kay\n2024-06-03,Teal,8h,7.5 h\n2024-06-04,Teal,6 hrs,\n"
    assert brief(log(units, Firm())) == wanted


def test_unknown_columns_are_one_question_and_their_rows_wait(log: Log) -> None:
    plain = GRID.format("Mo", "Kay", "", "", "", "")
    batch = log(plain, Firm())
    (question,) = batch.questions
    assert "Are 'Mo' and 'Kay' people, with their hours below?" in question.text
    assert not of(batch, HoursEntry) and len(aside(batch)) == 2
    assert hours(log(plain, Firm(), told(question, "people"))) == [8, 7.5, 6]
    assert not of(log(plain, Firm(), told(question, "leave it out")), HoursEntry)


def test_a_lone_column_of_figures_is_nobody(log: Log) -> None:
    for head in ("Rate", "Temp", "Speed", "Ann"):
        with pytest.raises(InputProblem):
            log(f"Date,Job,{head}\n2024-06-03,Teal,8\n2024-06-04,Teal,6\n", Firm())
    batch = log("Date,Job,Kay,Tank\n2024-06-03,Teal,8,3\n2024-06-04,Teal,6,\n")
    assert brief(batch) == [("Teal", "Kay", 6)]
    assert [q.topic for q in batch.questions] == ["people"]


def test_several_on_one_line_are_asked_once_for_the_table(log: Log) -> None:
    table = (
        "Date,Job,Who,Hrs\n2024-06-03,Teal,Bo + Sam,8\n2024-06-04,Teal,Bo,6\n"
        '2024-06-05,Teal,"Bo, Sam",7\n'
    )
    batch = log(table, Firm())
    (question,) = batch.questions
    assert (question.topic, question.rows_waiting) == ("each", 2)
    assert brief(batch) == [("Teal", "Bo", 6)]
    each = log(table, Firm(), told(question, "each"))
    assert brief(each) == [
        ("Teal", "Bo", 8), ("Teal", "Sam", 8), ("Teal", "Bo", 6), ("Teal", "Bo", 7),
        ("Teal", "Sam", 7),
    ]  # fmt: skip
    assert hours(log(table, Firm(), told(question, "together"))) == [4, 4, 6, 3.5, 3.5]
    assert hours(log(table, Firm(), told(question, "leave it out"))) == [6]


@pytest.mark.parametrize(
    "table",
    [
        'Date,Crew,Job,Hours each\n2024-06-03,"M, K",Teal,8\n',
        'Date,Crew,Job,Hours per person\n2024-06-03,"M, K",Teal,8\n',
        'Date,Who,Job,Hours,Man hours\n2024-06-03,"M, K",Teal,8,16\n',
        'Date,Who,Job,Hours\n2024-06-03,"M, K",Teal,8\n2024-06-04,M,Teal,4\nTotal,,,20\n',
        "Date,Who,Job,Start,End,Hours\n2024-06-03,M+K,Teal,8:00,16:00,8\n",
        "Date,Who,Job,Start,End\n2024-06-03,M+K,Teal,8:00,16:00\n",
        "Date,Who,Job,Hours\n2024-06-03,M/K,Teal,8 ea\n",
        "Date,Who,Job,Hours\n2024-06-03,M & K,Teal,2 men 8 hrs\n",
    ],
)
def test_hours_of_each_are_proven(log: Log, table: str) -> None:
    batch = log(table, Firm())
    assert brief(batch)[:2] == [("Teal", "M", 8), ("Teal", "K", 8)]
    assert batch.questions == ()


def test_men_and_names_that_differ_wait(log: Log) -> None:
    batch = log("Date,Who,Job,Hours\n2024-06-03,M,Teal,2 men 8 hrs\n2024-06-04,,Teal,8 ea\n")
    assert not of(batch, HoursEntry)
    assert [row for row, _, _ in aside(batch)] == [2, 3]
    batch = log("Date,Job,Hours\n2024-06-03,Teal,2 men 7 hrs\n")
    assert hours(batch) == [7, 7]


def test_a_crew_in_words(log: Log) -> None:
    rows = "2024-06-03,2 men,Teal,8\n2024-06-04,me alone,Teal,7\n2024-06-05,two of us,Teal,6\n"
    assert hours(log("Date,Crew,Job,Hours each\n" + rows)) == [8, 8, 7, 6, 6]
    batch = log("Date,Crew,Job,Hours\n2024-06-03,2,Teal,8\n2024-06-04,1,Teal,7\n")
    assert hours(batch) == [7] and [q.topic for q in batch.questions] == ["each"]
    batch = log("Date,Crew,Job,Hours each\n2024-06-03,2,Teal,8\n2024-06-04,lots,Teal,7\n")
    assert hours(batch) == [8, 8] and (3, "Crew") in [held[:2] for held in aside(batch)]


def test_a_row_of_several_and_its_total(log: Log) -> None:
    batch = log(
        "Date,Job,Who,Hours,Total\n2024-06-03,Teal,Mo & Kay,8,16\n2024-06-04,Teal,Mo & Kay,8,8\n"
        "2024-06-05,Teal,Mo & Kay,8,12\n"
    )
    assert hours(batch) == [8, 8, 4, 4] and batch.questions == ()
    assert [held[:2] for held in aside(batch)] == [(4, "Total")]


def test_last_name_first_is_one_person(log: Log) -> None:
    batch = log('Date,Who,Job,Hours\n2024-06-03,"Smith, John",Teal,8\n', Firm())
    assert brief(batch) == [("Teal", "Smith, John", 8)]


def test_initials_by_a_legend(log: Log) -> None:
    batch = log(
        "Hours for Quarry Rd main bath,,\nJR = June,PB = Pat (helper),\ndate,who,hrs\n"
        "2023-05-01,JR PB,8 ea\n2023-05-02,JR,6\n",
        Firm(),
    )
    assert brief(batch) == [
        ("Quarry Rd main bath", "June", 8), ("Quarry Rd main bath", "Pat", 8),
        ("Quarry Rd main bath", "June", 6),
    ]  # fmt: skip


def test_people_in_one_cell_and_their_total(log: Log) -> None:
    batch = log(
        'Date,Job,Who,Total\n2024-06-03,Teal,"M 6h, K 4h",10\n2024-06-04,Teal,"M 6h, K 4h",11\n'
    )
    assert brief(batch) == [("Teal", "M", 6), ("Teal", "K", 4)]
    assert [(row, column) for row, column, _ in aside(batch)] == [(3, "Total")]


# -- days -----------------------------------------------------------------------------------------


def test_nobody_works_more_than_a_day(log: Log) -> None:
    batch = log(
        "When,Person,Job,Hrs\n2024-08-12,Mo,Tern,8\n2024-08-14,Kay,Tern,85\n"
        "2024-08-15,Kay,Tern,14\n2024-08-15,Kay,Knot,12\n2024-08-15,Mo,Tern,8.5\n"
    )
    assert brief(batch) == [("Tern", "Mo", 8), ("Tern", "Mo", 8.5)]
    assert [row for row, _, _ in aside(batch)] == [3, 4, 5]
    assert aside(batch)[0][1] == "Hrs" and "26 hours" in aside(batch)[1][2]


def test_days_of_waiting(log: Log) -> None:
    batch = log(
        "Job: Fieldstone bath,,,\ndate,men,hours per man,remarks\n2024-04-15,2,8,demo\n"
        "2024-04-17,2,-,waiting on inspector\n2024-04-18,1,6,framing\n"
        '2024-04-19,,,"tile not in, nobody there"\n2024-04-22,0,0,rain day\n'
        "2024-04-23,,,picked up tile\n2024-04-24,,sick,\n"
    )
    found = of(batch, HoursEntry)
    assert [e.hours for e in found] == [8, 8, 0, 6, 0, 0]
    assert [e.day and e.day.day for e in found if e.waiting] == [17, 19, 22]
    assert [e.phase for e in found if not e.waiting] == ["demo", "demo", "framing"]
    (job,) = assemble(batch.entries, OURS).jobs
    assert (job.actual.wait_days, job.actual.site_days) == (3, 2)


def test_a_reason_in_a_grid_of_weekdays_is_a_day_of_waiting(log: Log) -> None:
    batch = log(
        "Week of,Who,Job,Mon,Tue,Wed\n2025-03-03,Mo,Teal,8,rain,7\n2025-03-03,Kay,Teal,8,,7\n"
    )
    found = of(batch, HoursEntry)
    assert [(e.person, e.day) for e in found if e.waiting] == [("Mo", date(2025, 3, 4))]
    assert sum(e.hours for e in found) == 30


def test_a_record_that_stands_there_twice_counts_once(log: Log) -> None:
    row = "2024-06-03,Teal,Mo,8\n"
    table = "Date,Job,Who,Hours\n" + row + row
    batch = log(table)
    (question,) = batch.questions
    assert hours(batch) == [8] and question.topic == "copies"
    assert hours(log(table, answers=told(question, "all count"))) == [8, 8]
    assert log(table, answers=told(question, "one record")).questions == ()
    clocked = "2024-06-03,Teal,Mo,8:00,16:00\n"
    batch = log("Date,Job,Who,Start,End\n" + clocked + clocked)
    assert hours(batch) == [8] and batch.questions == ()


def test_days_across_the_top_without_a_year(log: Log) -> None:
    table = "{},,,\nName,Job,Mar 20,Mar 21\nMo,Teal,8,7\n"
    days = [e.day for e in of(log(table.format("Hours 2023")), HoursEntry)]
    assert days == [date(2023, 3, 20), date(2023, 3, 21)]
    batch = log(table.format("Hours"))
    assert [(e.day, e.hours) for e in of(batch, HoursEntry)] == [(None, 8), (None, 7)]
    assert any("nothing says the year" in text for text in texts(batch, "asked"))


def test_weekdays_in_a_column_and_a_week_in_the_title(log: Log) -> None:
    batch = log(
        "Loft bathroom - week of Aug 12 2024,,\nWho,Day,Regular,Overtime\nMo,Mon,8,1.5\n"
        "Kay,Wed,6,\n"
    )
    assert [(e.job, e.day, e.hours) for e in of(batch, HoursEntry)] == [
        ("Loft bathroom", date(2024, 8, 12), 9.5),
        ("Loft bathroom", date(2024, 8, 14), 6),
    ]


# -- whose log ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "table",
    [
        "Date,Exercise,Sets,Reps,Kg,Hours\n2024-01-09,Squat,5,5,90,0.75\n",
        "Date,Name,Sets,Reps,Time\n2024-01-09,Squat,5,5,0.75\n",
        "Date,Name,Medication,Dose,Hours\n2024-01-09,Mo,A,20 mg,8\n",
        "Date,Route,Km,Hours\n2024-01-09,Hill loop,32,1.5\n",
        "Date,Project,Reps,Kg,Hours\n2024-01-09,Squat,5,90,0.5\n",
    ],
)
def test_a_log_of_something_else_is_refused(log: Log, table: str) -> None:
    with pytest.raises(InputProblem, match="is of no job and has no cost"):
        log(table)


def test_kilometres_beside_a_job_are_no_reason_to_refuse(log: Log) -> None:
    assert hours(log("Date,Job,Who,Hours,Km\n2024-01-09,Teal,Mo,8,32\n")) == [8]


def test_hours_of_no_job_wait_for_one(log: Log) -> None:
    table = "Date,Who,Hours\n2024-01-09,Mo,8\n2024-01-10,Mo,7\n"
    batch = log(table)
    (question,) = batch.questions
    assert (question.topic, question.rows_waiting) == ("job of a sheet", 2)
    assert not of(batch, HoursEntry) and len(aside(batch)) == 2
    assert brief(log(table, answers=told(question, "own")))[0] == ("log", "Mo", 8)
    named = told(question, "own: Teal bath")
    assert brief(log(table, answers=named))[0] == ("Teal bath", "Mo", 8)
    on_file = told(question, "teal bath", "Teal bath")
    assert brief(log(table, answers=on_file))[0] == ("Teal bath", "Mo", 8)
    assert not of(log(table, answers=told(question, "leave it out")), HoursEntry)

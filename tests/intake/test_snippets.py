"""Snippets of the dirt that real job records hold, and what must come out of them.

The snippets are invented; the right results beside them are worked out by hand.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import date
from pathlib import Path

import openpyxl
import pytest

from costlearn.firm import Firm
from costlearn.intake.reader import read_file
from costlearn.records import Batch, CostEntry, Finding, HoursEntry, JobEntry, PhaseEntry

Read = Callable[..., Batch]
FIRM = Firm(currency="CAD")


def as_number(text: str) -> str | float | None:
    """What a person's spreadsheet makes of a typed text: a number where it is one."""
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        return text


@pytest.fixture(params=["csv", "xlsx"])
def read(request: pytest.FixtureRequest, tmp_path: Path) -> Read:
    """Read a table given as CSV text, from a CSV file or from a workbook with the same cells."""

    def reader(text: str, firm: Firm = FIRM, delimiter: str = ",", name: str = "sheet") -> Batch:
        path = tmp_path / f"{name}.{request.param}"
        if request.param == "csv":
            path.write_text(text, encoding="utf-8")
            return read_file(path, firm)
        book = openpyxl.Workbook()
        sheet = book.active
        assert sheet is not None
        for row in csv.reader(io.StringIO(text), delimiter=delimiter):
            sheet.append([as_number(cell) for cell in row])
        book.save(path)
        return read_file(path, firm)

    return reader


def findings(batch: Batch, kind: str) -> list[Finding]:
    return [f for f in batch.findings if f.kind == kind]


def phases(batch: Batch) -> list[PhaseEntry]:
    entries = [e for e in batch.entries if isinstance(e, PhaseEntry)]
    assert len(entries) == len(batch.entries)
    return entries


def jobs(batch: Batch) -> list[JobEntry]:
    entries = [e for e in batch.entries if isinstance(e, JobEntry)]
    assert len(entries) == len(batch.entries)
    return entries


def costs(batch: Batch) -> list[CostEntry]:
    entries = [e for e in batch.entries if isinstance(e, CostEntry)]
    assert len(entries) == len(batch.entries)
    return entries


TITLED = """Bathrooms 2024 - ACTUALS,,,
,,,
printed 3/1/25,,,
Job,Phase,Hrs,Cost
J-07 hall bath,Demo,14,"$1,020.00"
J-07 hall bath,Tile,31.5,"$2,362.50"
,TOTAL,{hours},"${cost}"
"""


def test_title_rows_and_a_total_that_agrees(read: Read) -> None:
    batch = read(TITLED.format(hours="45.5", cost="3,382.50"))
    demo, tile = phases(batch)
    assert (demo.job, demo.phase, demo.place.row) == ("J-07 hall bath", "demo", 5)
    assert (demo.actual.person_days, demo.actual.cost) == (14 / 8, 102_000)
    assert (tile.phase, tile.actual.person_days, tile.actual.cost) == ("tile", 31.5 / 8, 236_250)
    checked = findings(batch, "checked")
    assert [f.place.row for f in checked] == [7, 7]
    assert [f.place.column for f in checked] == ["Hrs", "Cost"]
    assert "45.5 hours agrees" in checked[0].text
    assert "3,382.50 agrees" in checked[1].text


def test_a_total_that_does_not_agree_says_by_how_much(read: Read) -> None:
    batch = read(TITLED.format(hours="45.5", cost="3,482.50"))
    assert len(phases(batch)) == 2
    hours, cost = findings(batch, "checked")
    assert "agrees" in hours.text
    assert "says 3,482.50" in cost.text
    assert "3,382.50: 100.00 more" in cost.text


AREAS = """Job,{heading},Price
A bath,42 sf,1000
B bath,3.9 m2,1000
C bath,"12'6"" x 5'",1000
D bath,35,1000
"""


def test_units_in_cells(read: Read) -> None:
    batch = read(AREAS.format(heading="Area (sf)"))
    # 3.9 m2 x 10.7639 sq ft = 41.98; 12.5 ft x 5 ft = 62.5.
    assert [round(e.area_sqft or 0, 2) for e in jobs(batch)] == [42, 41.98, 62.5, 35]
    assert findings(batch, "set aside") == []


def test_an_area_without_any_unit_is_set_aside(read: Read) -> None:
    batch = read(AREAS.format(heading="Area"))
    assert [round(e.area_sqft or 0, 2) for e in jobs(batch)] == [42, 41.98, 62.5, 0]
    assert jobs(batch)[3].area_sqft is None
    (aside,) = findings(batch, "set aside")
    assert (aside.place.row, aside.place.column, aside.raw) == (5, "Area", "35")


NEGATIVES = """Date,Vendor,Job,Category,Amount
2025-04-01,Supply yard,J11,Materials,(185.40)
2025-04-01,Supply yard,J11,Materials,-185.40
2025-04-01,Supply yard,J11,Materials,185.40-
2025-04-01,Supply yard,J11,Materials,185.40 CR
2025-04-01,Supply yard,J11,Materials,\u2212185.40
"""


def test_negatives_are_credits(read: Read) -> None:
    batch = read(NEGATIVES)
    assert [e.net for e in costs(batch)] == [-18_540] * 5
    assert {e.kind for e in costs(batch)} == {"material"}


FILL_DOWN = """Job,Date,Phase,Hours
Maple,03/04/2025,demo,8
,03/05/2025,demo,6
,03/06/2025,rough plumbing,4
Oak,03/06/2025,tile,4
"""


@pytest.mark.parametrize(
    ("order", "first"), [("month-first", date(2025, 3, 4)), ("day-first", date(2025, 4, 3))]
)
def test_fill_down_and_an_order_nothing_proves(read: Read, order: str, first: date) -> None:
    batch = read(FILL_DOWN, Firm(date_order=order, date_order_said=True))
    entries = [e for e in batch.entries if isinstance(e, HoursEntry)]
    hours: dict[str, float] = {}
    for entry in entries:
        hours[entry.job] = hours.get(entry.job, 0) + entry.hours
    assert hours == {"Maple": 18, "Oak": 4}
    assert entries[0].day == first
    said = [f for f in batch.findings if "no date in column 'Date' proves" in f.text]
    assert len(said) == 1
    assert order in said[0].text
    assert sum("blank job" in f.text for f in batch.findings) == 1


def test_contradicting_dates_name_both_rows(read: Read) -> None:
    rows = "Maple,13/02/2025,demo,8\nMaple,02/14/2025,demo,6\nMaple,03/04/2025,tile,5\n"
    batch = read(f"Job,Date,Phase,Hours\n{rows}")
    days = [e.day for e in batch.entries if isinstance(e, HoursEntry)]
    assert days == [date(2025, 2, 13), date(2025, 2, 14), None]
    (told,) = [f for f in batch.findings if "rows 2 and 3" in f.text]
    assert "'13/02/2025' and '02/14/2025'" in told.text
    assert told.place.column == "Date"
    (asked,) = batch.questions
    assert (asked.topic, asked.rows_waiting) == ("dates", 1)


def test_crew_days(read: Read) -> None:
    batch = read("Job,Crew,Days\njob A,2,5\njob B,1,9\njob C,,4\n")
    a, b, c = jobs(batch)
    assert (a.actual.site_days, a.actual.person_days, a.actual.crew) == (5, 10, 2)
    assert (b.actual.site_days, b.actual.person_days) == (9, 9)
    assert (c.actual.site_days, c.actual.person_days, c.actual.crew) == (4, None, None)
    asked = findings(batch, "asked")
    assert [(a.place.row, a.place.column) for a in asked] == [(4, "Days"), (2, "")]
    assert "finished" in asked[1].text


def test_days_with_no_crew_at_all_are_asked_once(read: Read) -> None:
    batch = read("Job,Days\njob A,5\njob B,9\n")
    assert [e.actual.site_days for e in jobs(batch)] == [5, 9]
    assert [e.actual.person_days for e in jobs(batch)] == [None, None]
    assert [q.topic for q in batch.questions] == ["crew", "jobs of a list"]


MIXED_TIME = """Job,Phase,{heading}
A,demo,2d 4h
A,tile,1 1/2 days
A,paint,half day
A,vent,6:30
A,drywall,6
"""


def test_mixed_time_units_in_hours(read: Read) -> None:
    batch = read(MIXED_TIME.format(heading="Labour (hrs)"))
    # 2 days 4 hours = 20, a day and a half = 12, 4, 6.5 and, by the heading, 6 hours; 8 to a day.
    assert [(e.actual.person_days or 0) * 8 for e in phases(batch)] == [20, 12, 4, 6.5, 6]


def test_a_bare_six_takes_the_unit_of_its_heading(read: Read) -> None:
    batch = read(MIXED_TIME.format(heading="Person-days"))
    assert [(e.actual.person_days or 0) * 8 for e in phases(batch)] == [20, 12, 4, 6.5, 48]


TAXED = """Date,Vendor,Job,Category,Amount
2025-04-01,Supply yard,J11,Materials,"1,130.00 incl HST 13%"
2025-04-01,Supply yard,J11,Materials,86.00 + HST
"""


def test_tax_in_and_on_top(read: Read) -> None:
    # 1,130 / 1.13 = 1,000; 86 x .13 = 11.18, at the one rate the column states.
    first, second = costs(read(TAXED))
    assert (first.net, first.tax) == (100_000, 13_000)
    assert (second.net, second.tax) == (8_600, 1_118)


def test_a_job_cost_keeps_tax_the_firm_cannot_recover(read: Read) -> None:
    text = 'Job,Finished,Cost\nA bath,2025-04-01,"1,130.00 incl HST 13%"\nB bath,,86.00 + HST\n'
    recovered = jobs(read(text, Firm(tax_recoverable=True)))
    assert [e.actual.cost for e in recovered] == [100_000, 8_600]
    kept = jobs(read(text, Firm(tax_recoverable=False)))
    assert [e.actual.cost for e in kept] == [113_000, 9_718]


LOCALE = (
    "Poste;Heures;Montant\n"
    "Démolition;12,5;1\u00a0250,00\u00a0$\n"
    "Céramique;30;2\u00a0400,50\u00a0$\n"
)


def test_decimal_comma_and_french_words(read: Read) -> None:
    batch = read(LOCALE, delimiter=";", name="salle de bain")
    demo, tile = phases(batch)
    assert (demo.phase, demo.actual.cost, demo.actual.person_days) == ("demo", 125_000, 12.5 / 8)
    assert (tile.phase, tile.actual.cost, tile.actual.person_days) == ("tile", 240_050, 30 / 8)
    assert sum(e.actual.cost or 0 for e in (demo, tile)) == 365_050
    assert {e.job for e in (demo, tile)} == {"salle de bain"}
    assert any("no column names the job" in f.text for f in findings(batch, "proposed"))


PHASE_WORDS = """Job,Phase,Hrs
A,Demmo,1
A,plumb ruff,2
A,tiles/grout,3
A,mud & tape,4
A,Rough,5
A,Misc,6
"""


def test_phase_words(read: Read) -> None:
    batch = read(PHASE_WORDS)
    assert [e.phase for e in phases(batch)] == [
        "unassigned",
        "plumb_rough",
        "tile",
        "board",
        "unassigned",
        "unassigned",
    ]
    assert findings(batch, "proposed") == []
    # Five letters are too few for a slip of the pen to be proven.
    asked = findings(batch, "asked")
    assert [one.raw for one in asked] == ["Demmo", "Rough", "Misc"]
    assert "may mean Demolition and disposal" in asked[0].text
    # The hours of all six rows stay in the job: 1 + 2 + 3 + 4 + 5 + 6 = 21.
    assert sum((e.actual.person_days or 0) * 8 for e in phases(batch)) == 21


NO_VALUES = """Job,Finished,Cost
A bath,45719,100
B bath,#REF!,#REF!
C bath,TBD,TBD
D bath,-,-
E bath,n/a,n/a
F bath,2025-03-04,0
G bath,2025-03-04,
H bath,2025-03-04,allow 400
"""


def test_serials_errors_and_blanks(read: Read) -> None:
    batch = read(NO_VALUES)
    by_job = {e.job[0]: e for e in jobs(batch)}
    assert by_job["A"].finished == date(2025, 3, 3)
    for name in "BCDE":
        assert (by_job[name].finished, by_job[name].actual.cost) == (None, None)
    assert by_job["F"].actual.cost == 0
    assert by_job["G"].actual.cost is None
    assert by_job["H"].actual.cost is None
    aside = findings(batch, "set aside")
    allowance = [f for f in aside if "allowance, not a cost" in f.text]
    assert [(f.place.row, f.place.column, f.raw) for f in allowance] == [(9, "Cost", "allow 400")]
    assert {f.raw for f in aside} == {"#REF!", "TBD", "-", "n/a", "allow 400"}


def test_byte_order_mark_and_curly_quotes_are_ignored(tmp_path: Path) -> None:
    path = tmp_path / "curly.csv"
    path.write_text("\ufeffJob,Phase,Hrs\nA,\u201cdemo\u201d,\u201c8\u201d\n", encoding="utf-8")
    (entry,) = phases(read_file(path, FIRM))
    assert (entry.phase, entry.actual.person_days) == ("demo", 1)

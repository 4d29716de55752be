"""Files of every kind to entries and findings: the five tables, their joins and their dirt."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TypeVar

import openpyxl
import pytest

from costlearn.errors import InputProblem
from costlearn.firm import Firm
from costlearn.intake.columns import map_from
from costlearn.intake.reader import read_file
from costlearn.records import (
    Amounts,
    Batch,
    ChangeEntry,
    CostEntry,
    HoursEntry,
    JobEntry,
    PhaseEntry,
)

Read = Callable[..., Batch]
FIRM = Firm(currency="CAD")


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def reader(text: str, name: str = "table.csv", firm: Firm = FIRM, **more: object) -> Batch:
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return read_file(path, firm, **more)  # type: ignore[arg-type]

    return reader


def workbook(path: Path, **sheets: list[list[object]]) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.active)  # type: ignore[arg-type]
    for name, rows in sheets.items():
        sheet = book.create_sheet(name.replace("_", " "))
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


T = TypeVar("T")


def of(batch: Batch, kind: type[T]) -> list[T]:
    return [e for e in batch.entries if isinstance(e, kind)]


def texts(batch: Batch, kind: str) -> list[str]:
    return [f.text for f in batch.findings if f.kind == kind]


# ---- where the table is and what it is -----------------------------------------------------


def test_two_rows_of_headings_and_a_merged_job(tmp_path: Path) -> None:
    path = workbook(
        tmp_path / "phases.xlsx",
        Phases=[
            ["", "", "", "Planned", None, "Actual", None, None],
            ["Job", "Phase", "Crew", "Person-hrs", "Cost", "Person-hrs", "Cost", "Notes"],
            ["J1 bath", "demo", 1, 16, 1000, 20, 1250.5, "stairs"],
            [None, "tile", 2, 40, 3000, 44, 3300, None],
            [None, None, None, None, None, None, None, None],
            [None, "paint", 1, 8, 500, None, None, None],
        ],
    )
    demo, tile, paint = of(read_file(path, FIRM), PhaseEntry)
    assert demo.plan == Amounts(cost=100_000, person_days=2)
    assert demo.actual == Amounts(cost=125_050, person_days=2.5, crew=1)
    assert (demo.notes, demo.place.sheet, demo.place.row) == ("stairs", "Phases", 3)
    assert (tile.job, tile.actual.crew, tile.place.row) == ("J1 bath", 2, 4)
    assert (paint.job, paint.plan.cost, paint.actual.cost) == ("J1 bath", 50_000, None)


def test_headings_repeated_on_every_page_are_skipped(read: Read) -> None:
    page = "Job,Phase,Hrs\nA,demo,8\n"
    batch = read(page + "\n" + page.replace("A,demo", "B,tile") + page.replace("A,demo", "C,tile"))
    assert [e.job for e in of(batch, PhaseEntry)] == ["A", "B", "C"]
    assert sum("repeated 2 times" in t for t in texts(batch, "understood")) == 1


def test_a_row_of_units_under_the_headings(read: Read) -> None:
    batch = read("Job,Area,Planned,Actual\n,m2,$,$\nA bath,4,1000,1100\n")
    (job,) = of(batch, JobEntry)
    assert job.area_sqft == pytest.approx(4 * 10.7639)
    assert (job.plan.cost, job.actual.cost) == (100_000, 110_000)


def test_phases_as_columns(read: Read) -> None:
    text = "Job,Demo hrs,Tile hrs,Tile $ planned,Rough hrs,Misc hrs\nA,16,20,1500,3,5\nB,,8,,,\n"
    batch = read(text)
    entries = of(batch, PhaseEntry)
    assert [(e.job, e.phase, e.plan.cost, e.actual.person_days) for e in entries] == [
        ("A", "demo", None, 2),
        ("A", "tile", 150_000, 2.5),
        ("A", "unassigned", None, 0.375),
        ("A", "unassigned", None, 0.625),
        ("B", "tile", None, 1),
    ]
    assert len(texts(batch, "asked")) == 2


def test_phase_columns_in_a_job_list_give_both(read: Read) -> None:
    batch = read("Job,Area (sf),Price,Demo hrs,Tile hrs\nA bath,42,9000,16,20\n")
    (job,) = of(batch, JobEntry)
    assert (job.area_sqft, job.price) == (42, 900_000)
    assert [e.phase for e in of(batch, PhaseEntry)] == ["demo", "tile"]


def test_a_sheet_that_is_no_table_is_set_aside_and_the_others_are_read(tmp_path: Path) -> None:
    path = workbook(
        tmp_path / "book.xlsx",
        Ideas=[["call the town", None], ["order tile", "soon"]],
        Hours=[["Job", "Who", "Date", "Hrs"], ["A", "Ann", date(2025, 3, 4), 8]],
    )
    batch = read_file(path, FIRM)
    (entry,) = of(batch, HoursEntry)
    assert (entry.day, entry.person, entry.hours) == (date(2025, 3, 4), "Ann", 8)
    aside = [f for f in batch.findings if f.place.sheet == "Ideas"]
    assert [f.kind for f in aside] == ["set aside"]


def test_a_file_with_no_table_names_what_was_looked_for(read: Read) -> None:
    with pytest.raises(InputProblem) as caught:
        read("Foo,Prise,Adres\n1,2,3\n")
    message = str(caught.value)
    for word in ("table.csv", "'Foo'", "'price' for 'Prise'", "'address' for 'Adres'", "--map"):
        assert word in message


def test_unused_columns_are_said(read: Read) -> None:
    batch = read("Job,Phase,Hrs,Zqx,Client phone\nA,demo,8,z,555\n")
    assert any("'Zqx' is not used" in t for t in texts(batch, "set aside"))
    assert any("'Client phone' is not used; is it" in t for t in texts(batch, "asked"))


# ---- totals ---------------------------------------------------------------------------------


def test_subtotals_of_each_job_and_a_grand_total(read: Read) -> None:
    batch = read(
        "Job,Phase,Cost\nA,demo,100\n,tile,200\nA total,,300\nB,demo,50\n,tile,70\n"
        "Subtotal,,121\nGrand total,,420\n"
    )
    assert [(e.job, e.actual.cost) for e in of(batch, PhaseEntry)] == [
        ("A", 10_000),
        ("A", 20_000),
        ("B", 5_000),
        ("B", 7_000),
    ]
    first, second, third = texts(batch, "checked")
    assert "agrees" in first
    assert "says 121.00" in second
    assert "120.00: 1.00 more" in second
    assert "agrees" in third


def test_an_average_row_is_checked_as_an_average(read: Read) -> None:
    batch = read("Job,Cost\nA bath,100\nB bath,200\nAverage,150\n")
    assert len(batch.entries) == 2
    (checked,) = texts(batch, "checked")
    assert "agrees with the average" in checked


def test_figures_with_no_name_that_are_the_sum_are_a_total(read: Read) -> None:
    batch = read("Job,Phase,Cost\nA,demo,100\n,tile,200\n,,300\n,,17\n")
    assert [e.actual.cost for e in of(batch, PhaseEntry)] == [10_000, 20_000]
    assert len(texts(batch, "checked")) == 1
    (left,) = [f for f in batch.findings if f.kind == "set aside"]
    assert (left.place.row, left.raw) == (5, "17")


def test_a_job_called_total_something_is_a_job(read: Read) -> None:
    batch = read("Job,Cost\nTotal reno Birch street,100\nB bath,200\n")
    assert [e.job for e in of(batch, JobEntry)] == ["Total reno Birch street", "B bath"]


# ---- rows that cannot be used -----------------------------------------------------------------


def test_rows_that_cannot_be_used_are_kept_as_findings(read: Read) -> None:
    batch = read(
        "Job,Area (sf),Cost\nA bath,42,100\n,50,200\nB bath,-3,300\nA BATH,42,400\nSpring 2024,,\n"
    )
    assert [(e.job, e.actual.cost) for e in of(batch, JobEntry)] == [("A bath", 10_000)]
    aside = {f.place.row: f for f in batch.findings if f.kind == "set aside"}
    assert set(aside) == {3, 4, 5, 6}
    assert aside[3].raw == "50 | 200"
    assert "negative" in aside[4].text
    assert "row 2" in aside[5].text
    assert aside[5].place.row == 5
    assert "says nothing" in aside[6].text


def test_a_line_with_a_name_alone_heads_the_rows_below_it(read: Read) -> None:
    batch = read("Job,Phase,Hrs\nMaple,,\n,demo,8\n,tile,4\nprinted in spring,,\n")
    assert [(e.job, e.phase) for e in of(batch, PhaseEntry)] == [
        ("Maple", "demo"),
        ("Maple", "tile"),
    ]
    (aside,) = [f for f in batch.findings if f.kind == "set aside"]
    assert (aside.place.row, aside.raw) == (5, "printed in spring")


def test_nothing_is_filled_down_past_a_grand_total(read: Read) -> None:
    batch = read("Job,Phase,Hrs\nA,demo,8\n,tile,4\nTotal,,12\n,paint,3\n")
    assert [e.phase for e in of(batch, PhaseEntry)] == ["demo", "tile"]
    assert any(f.place.row == 5 and f.raw == "paint | 3" for f in batch.findings)


def test_a_job_said_to_be_unknown_is_not_filled_down(read: Read) -> None:
    batch = read("Job,Date,Hours\nA,2025-03-04,8\nn/a,2025-03-05,4\n,2025-03-06,2\n")
    assert [(e.job, e.hours) for e in of(batch, HoursEntry)] == [("A", 8), ("A", 2)]
    assert any(f.place.row == 3 and "names no job" in f.text for f in batch.findings)


def test_a_planned_zero_is_no_plan_and_an_actual_zero_is_one(read: Read) -> None:
    batch = read("Job,Phase,Planned cost,Planned hours,Cost,Hours\nA,demo,0,0,0,0\n")
    (entry,) = of(batch, PhaseEntry)
    assert entry.plan == Amounts()
    assert entry.actual == Amounts(cost=0, person_days=0)
    assert [t.split(",")[0] for t in texts(batch, "set aside")] == [
        "planned cost is 0",
        "planned person-days are 0",
    ]


def test_dates_the_wrong_way_round_are_both_set_aside(read: Read) -> None:
    batch = read("Job,Started,Finished,Cost\nA bath,2025-03-10,2025-03-04,100\n")
    (job,) = of(batch, JobEntry)
    assert (job.started, job.finished, job.actual.elapsed_days) == (None, None, None)
    (aside,) = texts(batch, "set aside")
    assert "2025-03-04" in aside
    assert "2025-03-10" in aside


def test_a_foreign_amount_is_not_added_to_a_job(read: Read) -> None:
    batch = read("Job,Phase,Cost\nA,demo,US$ 640\nA,tile,C$ 910\nA,paint,75\n")
    assert [e.actual.cost for e in of(batch, PhaseEntry)] == [91_000, 7_500]
    assert any("is in USD" in t for t in texts(batch, "set aside"))


def test_the_currency_of_a_heading_counts(read: Read) -> None:
    batch = read("Job,Phase,Cost (USD),Hrs\nA,demo,640,8\n")
    (entry,) = of(batch, PhaseEntry)
    assert entry.actual == Amounts(person_days=1)
    assert any("is in USD" in t for t in texts(batch, "set aside"))


# ---- jobs -------------------------------------------------------------------------------------


def test_elapsed_days_are_working_days_both_counted(read: Read) -> None:
    # 2025-03-03 is a Monday: to Friday of the next week are 10 working days; the plan ended on
    # the first Friday, 5 working days.
    batch = read(
        "Job,Phase,Start,Planned finish,Finish,Cost\nA,tile,2025-03-03,2025-03-07,2025-03-14,1\n"
    )
    (entry,) = of(batch, PhaseEntry)
    assert (entry.plan.elapsed_days, entry.actual.elapsed_days) == (5, 10)
    assert sum("elapsed days are the working days" in t for t in texts(batch, "understood")) == 2


def test_stated_elapsed_days_come_first(read: Read) -> None:
    batch = read("Job,Started,Finished,Elapsed days\nA bath,2025-03-03,2025-03-14,8\n")
    assert of(batch, JobEntry)[0].actual.elapsed_days == 8


def test_states_grades_kinds_and_the_rest_of_a_job_list(read: Read) -> None:
    batch = read(
        "Job #,Job name,Type,Status,Quality,Year built,Condo,Price,Paid,Books closed,Comments\n"
        'J-1,hall bath,Bathroom,Closed,basic,1958,no,"$9,000","$9,400",yes,tight stairs\n'
        "J-2,ensuite,,in progress,High-end,2101,yes,8000,,no,\n"
        "J-3,galley kitchen,,lost,fancy,,,7000,,,\n"
    )
    one, two, three = of(batch, JobEntry)
    assert (one.job, one.kind, one.state, one.grade) == ("J-1 hall bath", "bathroom", "finished", 0)
    assert (one.house_year, one.condo, one.price, one.paid) == (1958, False, 900_000, 940_000)
    assert (one.books_closed, one.notes) == (True, "tight stairs")
    assert (two.kind, two.state, two.grade, two.house_year) == ("bathroom", "running", 2, None)
    assert (three.kind, three.state, three.grade) == ("kitchen", "quoted", None)
    assert any("2101" in t for t in texts(batch, "set aside"))
    assert any("'fancy'" in t for t in texts(batch, "set aside"))


def test_a_kind_is_taken_from_the_name_only_if_it_is_clear(read: Read) -> None:
    batch = read(
        "Job,Cost\nBasement bath,1\nBath and kitchen,2\nBirch street,3\nLaundry repair,4\n"
    )
    assert [e.kind for e in of(batch, JobEntry)] == ["bathroom", None, None, "laundry"]
    assert sum("kind of job" in t for t in texts(batch, "proposed")) == 1


def test_scope_columns_where_no_cell_says_no(read: Read) -> None:
    batch = read("Job,Niche,Bench,Wall tile (sf),Cost\nA bath,yes,,96,1\nB bath,,TBD,,2\n")
    a, b = of(batch, JobEntry)
    assert a.scope == {"niche": 1, "bench": 0, "wall_tile": 96}
    assert b.scope == {"niche": 0, "bench": None, "wall_tile": 0}
    assert sum("no cell of these columns says no" in t for t in texts(batch, "understood")) == 1


def test_scope_columns_where_some_cell_says_no(read: Read) -> None:
    batch = read("Job,Niche,Lights,Cost\nA bath,yes,4,1\nB bath,no,0,2\nC bath,,,3\n")
    assert [e.scope for e in of(batch, JobEntry)] == [
        {"niche": 1, "lighting": 4},
        {"niche": 0, "lighting": 0},
        {"niche": None, "lighting": None},
    ]


def test_scope_in_words_and_its_own_columns_together(read: Read) -> None:
    batch = read('Job,Scope,Niche,Cost\nA bath,"niche; 2 pot lights\nunicorn",3,1\n')
    (job,) = of(batch, JobEntry)
    assert job.scope == {"niche": 3, "lighting": 2}
    assert any("'unicorn'" in t for t in texts(batch, "asked"))


# ---- hours, receipts, changes -----------------------------------------------------------------


def test_hours_that_cannot_be(read: Read) -> None:
    batch = read(
        "Job,Who,Date,Hrs,Waiting,Task\nA,Ann,2025-03-04,8,,tile\nA,Ann,2025-03-05,,,tile\n"
        "A,Ann,2025-03-06,31,,tile\nshop,Ann,2025-03-07,4,,\nA,Bo,2025-03-07,2,y,\n"
        "A,Bo,2025-03-10,3,,waiting\nA,Bo,2025-03-11,-3,,tile\n"
    )
    assert [(e.hours, e.waiting, e.phase) for e in of(batch, HoursEntry)] == [
        (8, False, "tile"),
        (2, True, None),
        (3, True, None),
    ]
    aside = {f.place.row for f in batch.findings if f.kind == "set aside"}
    assert aside == {3, 4, 5, 8}


def test_a_week_of_hours_may_be_longer_than_a_day(read: Read) -> None:
    batch = read("Week of,Job,Who,Hours\n2025-03-03,A,Ann,40\n2025-03-03,A,Bo,170\n")
    assert [e.hours for e in of(batch, HoursEntry)] == [40]
    assert any("can work in a week" in t for t in texts(batch, "set aside"))


def test_groups_of_phases_over_planned_and_actual_hours(read: Read) -> None:
    batch = read(
        ",Demo,,Tile,,Notes\nJob,Plan hrs,Actual hrs,Plan hrs,Actual hrs,\n"
        "A bath,8,10,40,44,ok\nTotal,8,10,40,44,\n"
    )
    assert [(e.phase, e.plan.person_days, e.actual.person_days) for e in of(batch, PhaseEntry)] == [
        ("demo", 1, 1.25),
        ("tile", 5, 5.5),
    ]
    assert all("agrees" in t for t in texts(batch, "checked"))


def test_a_misspelt_heading_is_taken_and_said(read: Read) -> None:
    batch = read("Job,Finsh date,Totl cost\nA bath,2025-03-04,8000\n")
    (job,) = of(batch, JobEntry)
    assert (job.finished, job.actual.cost) == (date(2025, 3, 4), 800_000)
    assert sum("being close to" in t for t in texts(batch, "proposed")) == 2


def test_a_french_job_list(read: Read) -> None:
    batch = read(
        "Chantier;Superficie (m2);Prix;Début;Fin;Coût réel;Heures;Statut\n"
        "Salle de bain Érable;4,5;12 500,00 $;3 mars 2025;28 mars 2025;9 870,50 $;120;terminé\n"
        "Cuisine Bouleau;11;31 000 $;;;;;en cours\n"
    )
    one, two = of(batch, JobEntry)
    assert (one.kind, one.state, one.price, one.actual.cost) == (
        "bathroom",
        "finished",
        1_250_000,
        987_050,
    )
    assert one.area_sqft == pytest.approx(4.5 * 10.7639)
    assert (one.started, one.finished) == (date(2025, 3, 3), date(2025, 3, 28))
    # Monday 3 to Friday 28 March: four weeks of five days; 120 hours are 15 days of eight.
    assert (one.actual.elapsed_days, one.actual.person_days) == (20, 15)
    assert (two.kind, two.state, two.actual) == ("kitchen", "running", Amounts())


def test_receipts(read: Read) -> None:
    batch = read(
        "Date,Vendor,Invoice #,Job,Category,Amount,HST,Total,Currency,Phase\n"
        "2025-04-02,Supply yard,SUP-5521,J11 50% / J12 30% / shop 20%,Materials,600,,,,\n"
        "2025-04-02,Tile yard,77,J11,Tile,100,13,113,,tiling\n"
        "2025-04-03,Tile yard,78,J11,Sub,100,13,123,USD,\n"
        "2025-04-03,Tile yard,79,,Fuel,40,,,,\n"
        "2025-04-03,Tile yard,80,J11 60% / J12 30%,Materials,40,,,,\n"
        "2025-04-03,Tile yard,81,J11,Gizmo,40,,,,\n"
        "2025-04-03,Tile yard,82,J11,Sub,,,,,\n"
    )
    lines = of(batch, CostEntry)
    assert [(e.job, e.kind, e.net, e.tax, e.currency) for e in lines] == [
        ("J11", "material", 30_000, None, None),
        ("J12", "material", 18_000, None, None),
        (None, "overhead", 12_000, None, None),
        ("J11", "material", 10_000, 1_300, None),
        ("J11", "sub", 10_000, 1_300, "USD"),
        (None, "overhead", 4_000, None, None),
        ("J11", "unassigned", 4_000, None, None),
    ]
    assert (lines[3].phase, lines[3].payee, lines[3].document) == ("tile", "Tile yard", "77")
    assert any(
        "do not make the total 123.00: 10.00 too little" in t for t in texts(batch, "checked")
    )
    assert any("90 %, not 100 %" in t for t in texts(batch, "set aside"))
    assert any("'Gizmo'" in t for t in texts(batch, "asked"))
    assert any(f.place.row == 8 and "no amount" in f.text for f in batch.findings)


def test_odd_cents_of_a_shared_line_are_not_lost(read: Read) -> None:
    batch = read(
        "Date,Vendor,Job,Category,Amount\n2025-04-02,Yard,A 33% / B 33% / C 34%,Sub,-0.10\n"
    )
    assert [e.net for e in of(batch, CostEntry)] == [-3, -3, -4]


def test_totals_that_may_hold_tax_are_asked_or_worked_out(read: Read) -> None:
    text = "Date,Vendor,Job,Category,Total\n2025-04-02,Yard,A,Sub,113\n"
    (line,) = of(asked := read(text), CostEntry)
    assert (line.net, line.tax) == (11_300, None)
    assert any("may hold tax" in t for t in texts(asked, "asked"))
    chart = map_from({"constants": {"tax_rate": 0.13}})
    (line,) = of(read(text, column_map=chart), CostEntry)
    assert (line.net, line.tax) == (10_000, 1_300)


def test_change_orders(read: Read) -> None:
    batch = read(
        "Job,Change order,Amount,Days\nJ14,Base contract,18500,\n"
        "J14,CO1 add niche + heated floor,1450,2\nJ14,CO2 delete accent wall,-600,-0.5\n"
        "J14,CO3 (verbal) move valve,350,\n"
    )
    (base,) = of(batch, JobEntry)
    assert base.price == 1_850_000
    changes = of(batch, ChangeEntry)
    assert [(c.price, c.days, c.state) for c in changes] == [
        (145_000, 2, "approved"),
        (-60_000, -0.5, "approved"),
        (35_000, None, "verbal"),
    ]
    # Base 18,500 with the approved 1,450 - 600 is 19,350; with the verbal one 19,700.
    approved = sum(c.price or 0 for c in changes if c.state == "approved")
    assert (base.price or 0) + approved == 1_935_000
    assert any("which changes were approved" in t for t in texts(batch, "proposed"))


def test_a_change_nobody_approved_is_verbal_and_asked(read: Read) -> None:
    batch = read("Job,Change order,Price,Approved\nA,niche,100,yes\nA,bench,200,\nA,glass,300,No\n")
    assert [c.state for c in of(batch, ChangeEntry)] == ["approved", "verbal", "declined"]
    assert len(texts(batch, "asked")) == 1


def test_names_that_are_on_no_list_are_asked_once(read: Read) -> None:
    text = (
        "Job,Date,Hours\nMapel bath,2025-03-04,8\nMapel bath,2025-03-05,8\n"
        "J-07,2025-03-06,8\nMaple  BATH,2025-03-07,8\n"
    )
    assert texts(read(text), "asked") == []
    batch = read(text, known_jobs=["Maple bath", "J-07 hall bath"])
    (asked,) = texts(batch, "asked")
    assert "'Mapel bath'" in asked
    assert "'maple bath'" in asked


# ---- dates ------------------------------------------------------------------------------------


def test_a_column_that_proves_nothing_follows_one_that_does(read: Read) -> None:
    batch = read(
        "Job,Started,Finished,Cost\nA bath,03/02/2025,20/02/2025,1\nB bath,,21/02/2025,2\n"
    )
    assert of(batch, JobEntry)[0].started == date(2025, 2, 3)


# ---- the column map ---------------------------------------------------------------------------

ODD = "x,y\nBldg,What,Step,Bud,Spent,St\nK1,roof,Scope,PNS,100,Complete\nK1,roof,Fit,50,60,Open\n"
CHART = {
    "kind": "phases",
    "missing": ["PNS"],
    "columns": {
        "job": ["Bldg", "What"],
        "phase": "Step",
        "plan.cost": "bud ",
        "actual.cost": "Spent",
    },
    "phases": {"Scope": "precon", "Fit": "fitting"},
    "constants": {"books_closed": False},
    "only": {"St": "Complete"},
}


def test_a_map_says_all(read: Read) -> None:
    batch = read(ODD, column_map=map_from(CHART))
    (entry,) = of(batch, PhaseEntry)
    assert (entry.job, entry.phase, entry.books_closed) == ("K1 / roof", "precon", False)
    assert (entry.plan.cost, entry.actual.cost, entry.place.row) == (None, 10_000, 3)
    assert any("1 of 2 rows are left out" in t for t in texts(batch, "understood"))
    assert any("'PNS' means nothing is there" in t for t in texts(batch, "understood"))


def test_a_map_may_add_a_phase_of_the_firms_own(read: Read) -> None:
    batch = read(ODD, column_map=map_from({k: v for k, v in CHART.items() if k != "only"}))
    assert [e.phase for e in of(batch, PhaseEntry)] == ["precon", "fitting"]


def test_a_map_without_columns_only_adds_to_what_is_found(read: Read) -> None:
    chart = map_from({"constants": {"job": "Birch street bath", "books_closed": True}})
    batch = read("Phase,Hours,Cost\ndemo,8,100\n", column_map=chart)
    (entry,) = of(batch, PhaseEntry)
    assert (entry.job, entry.books_closed) == ("Birch street bath", True)


def test_a_map_that_names_a_column_not_there_names_those_that_are(read: Read) -> None:
    chart = map_from({"kind": "phases", "columns": {"job": "Bldg", "phase": "Trade"}})
    with pytest.raises(InputProblem) as caught:
        read(ODD, column_map=chart)
    message = str(caught.value)
    assert "row 2: the column map names a column 'Trade'" in message
    assert "'Bldg', 'What', 'Step'" in message


def test_a_map_that_picks_rows_by_a_column_not_there(read: Read) -> None:
    chart = map_from({"only": {"Statuss": "Complete"}})
    with pytest.raises(InputProblem, match=r"column 'Statuss' that is not there.*'Job', 'Cost'"):
        read("Job,Cost\nA bath,1\n", column_map=chart)


def test_a_sheet_without_the_columns_of_the_map_is_set_aside(tmp_path: Path) -> None:
    path = workbook(
        tmp_path / "b.xlsx", One=[["J", "C"], ["A bath", 1]], Two=[["K", "C"], ["B bath", 2]]
    )
    chart = map_from({"kind": "jobs", "columns": {"job": "J", "actual.cost": "C"}})
    batch = read_file(path, FIRM, column_map=chart)
    assert [e.job for e in of(batch, JobEntry)] == ["A bath"]
    (aside,) = [f for f in batch.findings if f.place.sheet == "Two"]
    assert "has not the columns the map names" in aside.text


def test_a_map_that_names_a_sheet_or_row_not_there(tmp_path: Path) -> None:
    path = workbook(tmp_path / "b.xlsx", One=[["Job", "Cost"], ["A bath", 1]])
    with pytest.raises(InputProblem, match=r"sheet 'Two' that is not there; expected one of 'One'"):
        read_file(path, FIRM, column_map=map_from({"sheet": "Two"}))
    with pytest.raises(InputProblem, match="a row from 1 to 2"):
        read_file(path, FIRM, column_map=map_from({"header_row": 9}))


def test_a_maps_date_order_holds_and_cells_that_do_not_fit_are_set_aside(read: Read) -> None:
    chart = map_from({"date_order": "day-first"})
    batch = read("Job,Date,Hours\nA,03/04/2025,8\nA,02/14/2025,8\n", column_map=chart)
    assert [e.day for e in of(batch, HoursEntry)] == [date(2025, 4, 3), None]
    assert any(f.kind == "set aside" and f.raw == "02/14/2025" for f in batch.findings)


def test_units_of_a_map(read: Read) -> None:
    chart = map_from(
        {"kind": "jobs", "columns": {"job": "J", "area": "A"}, "units": {"area": "m2"}}
    )
    (job,) = of(read("J,A\nx,4\n", column_map=chart), JobEntry)
    assert job.area_sqft == pytest.approx(4 * 10.7639)

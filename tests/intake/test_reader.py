"""Files to entries and findings: where the table is, its totals, rows that cannot be used."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from dirt.reading import FIRM, Read, of, texts, workbook

from costlearn.errors import InputProblem
from costlearn.firm import Firm
from costlearn.intake.reader import read_file
from costlearn.records import (
    Amounts,
    HoursEntry,
    JobEntry,
    PhaseEntry,
)


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
    assert sum("headings are repeated" in t for t in texts(batch, "understood")) == 2


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
    # It may be the client, but the jobs are named already.
    assert any("'Client phone' is not used" in t for t in texts(batch, "set aside"))
    assert batch.questions == ()


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


def test_rows_that_cannot_be_used_are_kept_as_findings(read: Read) -> None:
    batch = read("Job,Area (sf),Cost\nA bath,42,100\n,50,200\nB bath,-3,310\nSpring 2024,,\n")
    assert [(e.job, e.actual.cost) for e in of(batch, JobEntry)] == [("A bath", 10_000)]
    aside = {f.place.row: f for f in batch.findings if f.kind == "set aside"}
    assert set(aside) == {3, 4, 5}
    assert aside[3].raw == "50 | 200"
    assert "negative" in aside[4].text
    assert "says nothing" in aside[5].text


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


def test_a_bare_floor_area_takes_the_one_unit_its_column_states(tmp_path: Path) -> None:
    path = tmp_path / "jobs.csv"
    path.write_text(
        "Job,Size,What we did,Total cost\nOak bath,5x8,niche,9800\nPine,60 sq ft,toilet,~18k\n",
        "utf-8",
    )
    batch = read_file(path, Firm())
    oak, pine = (e for e in batch.entries if isinstance(e, JobEntry))
    assert (oak.area_sqft, pine.area_sqft) == (40.0, 60.0)
    assert pine.actual.cost == 1_800_000
    assert oak.scope["niche"] == 1.0
    said = [f.text for f in batch.findings]
    assert any("read as sqft" in text for text in said)
    assert any("rough figure" in text for text in said)


def test_totals_of_mixed_marks_and_doubts_are_all_read_and_told(tmp_path: Path) -> None:
    path = tmp_path / "jobs.csv"
    path.write_text(
        "Job,Sqft,Finish,Total cost,Quoted price\n"
        "Alder,45,2024-02-02,16480.50,24000\n"
        'Birch,52,2024-03-08,"26 500,00",33.5k?\n'
        'Cedar,40,2024-04-12,"16,4k",~33.5k?\n'
        'Dogwood,38,2024-05-10,"1.250,50",18000 ?\n'
        "Elm,38,2024-05-12,9800.25,20000\n"
        "Fir,38,2024-05-13,10000.75,20000\n"
        'Gum,38,2024-05-14,"12.600.000","1,250"\n'
        "Hazel,38,2024-05-15,11000.75,20000.50\n",
        "utf-8",
    )
    batch = read_file(path, Firm())
    cost = {e.job: e.actual.cost for e in batch.entries if isinstance(e, JobEntry)}
    price = {e.job: e.price for e in batch.entries if isinstance(e, JobEntry)}
    assert (cost["Birch"], cost["Cedar"], cost["Dogwood"]) == (2_650_000, None, 125_050)
    assert (price["Birch"], price["Cedar"], price["Dogwood"]) == (3_350_000, 3_350_000, 1_800_000)
    assert price["Gum"] == 125_000, "'1,250' keeps the rule of its column"
    told = [(f.place.row, f.place.column) for f in batch.findings if "by its own form" in f.text]
    assert told == [(row, "Total cost") for row in (3, 5, 8)]
    (waits,) = [f for f in batch.findings if f.kind == "set aside"]
    assert (waits.place.row, waits.raw) == (4, "16,4k")


def test_only_sizes_and_times_are_said_to_have_a_unit(read: Read) -> None:
    told = texts(read("Day,Job,Person,Hours\n2026-02-02,Elm,M,7\n"), "understood")
    assert "column 'Day' is taken for day" in told
    assert "column 'Hours' is taken for hours, bare numbers in hours" in told

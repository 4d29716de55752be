"""Hours, receipts and change orders."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TypeVar

import pytest

from costlearn.intake.answers import Answers
from costlearn.intake.columns import map_from
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


T = TypeVar("T")


def of(batch: Batch, kind: type[T]) -> list[T]:
    return [e for e in batch.entries if isinstance(e, kind)]


def texts(batch: Batch, kind: str) -> list[str]:
    return [f.text for f in batch.findings if f.kind == kind]


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
    batch = read("Job,Finsh date,Matreials\nA bath,2025-03-04,8000\n")
    (job,) = of(batch, JobEntry)
    assert (job.finished, job.actual.material) == (date(2025, 3, 4), 800_000)
    assert sum("one letter apart" in t for t in texts(batch, "understood")) == 2


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
        "2025-04-03,Yard,A,Sub,5.00\n"
    )
    assert [e.net for e in of(batch, CostEntry)] == [-3, -3, -4, 500]


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
    assert "'Maple bath'" in asked


SHOEBOX = (
    "Date,Where,Job,Amount\n2025-03-01,Valley Tile,J1,300\n2025-03-02,A1 Dumpster,J1,250\n"
    "2025-03-02,A1 Dumpster,J2,250\n2025-03-04,Ray the electrician,J1,800\n"
)


def test_bills_without_a_kind_are_bills_where_jobs_repeat_and_some_are_asked_apart(
    read: Read,
) -> None:
    """A list of jobs names each once; one answer for the sheet leaves the bin and the sub alone."""
    batch = read(SHOEBOX)
    assert {(e.job, e.net, e.kind) for e in of(batch, CostEntry)} == {
        ("J1", 30_000, "unassigned"),
        ("J1", 25_000, "unassigned"),
        ("J2", 25_000, "unassigned"),
        ("J1", 80_000, "unassigned"),
    }
    asked = {q.text.removeprefix("Which kind of cost: ").split("?")[0] for q in batch.questions}
    assert asked == {
        "the lines of this sheet not asked apart",
        "'A1 Dumpster' (perhaps disposal)",
        "'Ray the electrician' (perhaps sub)",
    }
    (whole,) = (q for q in batch.questions if "not asked apart" in q.text)
    told = read(SHOEBOX, answers=Answers({whole.key: "material"}))
    assert [e.kind for e in of(told, CostEntry)] == ["material", *["unassigned"] * 3]


def test_one_row_a_job_stays_a_list_of_jobs(read: Read) -> None:
    assert len(of(read("Date,Job,Amount\n2025-03-01,J1,9000\n2025-04-02,J2,8000\n"), JobEntry)) == 2

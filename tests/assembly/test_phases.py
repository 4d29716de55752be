"""Phases: rows summed, sheets compared, gaps filled from hours and cost lines."""

from __future__ import annotations

from datetime import date

import pytest

from costlearn.assembly import assemble
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import Amounts, CostEntry, Entry, HoursEntry, Job, PhaseEntry, PhaseRecord

RATED = Firm(day_rate=400.0)


def phase(name: str, row: int = 5, sheet: str = "2024", **given: object) -> PhaseEntry:
    return PhaseEntry("J-1", name, Place("p.xlsx", sheet, row), **given)  # type: ignore[arg-type]


def worked(day: int, hours: float, name: str | None) -> HoursEntry:
    return HoursEntry("J-1", "Ann", date(2024, 3, day), hours, Place("h.csv", "", day), name)


def line(kind: str, net: int, name: str | None, row: int = 50) -> CostEntry:
    return CostEntry("J-1", kind, net, Place("r.csv", "", row), phase=name)


def only(entries: list[Entry], firm: Firm | None = None) -> Job:
    (job,) = assemble(entries, firm or Firm()).jobs
    return job


def record(job: Job, name: str) -> PhaseRecord:
    found = job.phase(name)
    assert found is not None
    return found


def test_rows_of_one_phase_are_summed() -> None:
    job = only(
        [
            phase(
                "tile", 5, plan=Amounts(cost=100), actual=Amounts(person_days=2.0, site_days=1.0)
            ),
            phase(
                "tile", 6, plan=Amounts(cost=200), actual=Amounts(person_days=4.0, site_days=2.0)
            ),
        ]
    )
    (tile,) = job.phases
    assert tile.plan.cost == 300
    assert (tile.actual.person_days, tile.actual.site_days, tile.actual.crew) == (6.0, 3.0, 2.0)
    assert job.conflicts == ()
    (origin,) = (o for o in job.origins if o.figure == "phase tile: plan.cost")
    assert origin.how == "sum of 2 rows"
    assert origin.places == (Place("p.xlsx", "2024", 5), Place("p.xlsx", "2024", 6))


def test_a_row_that_gives_none_is_said_and_all_none_stays_none() -> None:
    job = only(
        [
            phase("tile", 5, actual=Amounts(person_days=2.0)),
            phase("tile", 6, actual=Amounts(site_days=2.0)),
            phase("tile", 7, actual=Amounts(person_days=1.5, site_days=1.0)),
        ]
    )
    tile = record(job, "tile")
    assert (tile.actual.person_days, tile.actual.site_days, tile.actual.cost) == (3.5, 3.0, None)
    assert (
        "phase tile: actual person-days: 1 of 3 rows give none (p.xlsx, sheet '2024', row 6); "
        "the others are summed."
    ) in job.conflicts


def test_two_sheets_about_one_phase_are_compared_not_added() -> None:
    job = only(
        [
            phase("tile", 5, "Quote", plan=Amounts(cost=300)),
            phase("tile", 6, "Done", plan=Amounts(cost=400), actual=Amounts(cost=500)),
        ]
    )
    tile = record(job, "tile")
    assert (tile.plan.cost, tile.actual.cost) == (300, 500)
    assert job.conflicts[0] == (
        "phase tile: plan direct cost: $3.00 (p.xlsx, sheet 'Quote', row 5) against $4.00 "
        "(p.xlsx, sheet 'Done', row 6); the first is used."
    )


def test_phases_stand_in_the_order_of_the_trade_and_own_ones_last() -> None:
    some = Amounts(person_days=1.0)
    rows = [phase(name, 5, actual=some) for name in ("sauna", "unassigned", "tile", "demo")]
    firm = Firm(phase_words={"sauna": ("sauna fit",)})
    job = only([*rows, worked(1, 8.0, "paint")], firm)
    assert [p.phase for p in job.phases] == ["demo", "tile", "paint", "sauna", "unassigned"]


def test_gaps_are_filled_from_tagged_hours_and_lines() -> None:
    job = only(
        [
            phase("tile", plan=Amounts(cost=90_000), actual=Amounts(person_days=2.0)),
            worked(1, 8.0, "tile"),
            worked(4, 8.0, "tile"),
            worked(5, 4.0, "demo"),
            line("material", 50_000, "tile"),
            line("disposal", 20_000, "demo", 51),
        ],
        RATED,
    )
    tile, demo = record(job, "tile"), record(job, "demo")
    # Two days at 400 and 500 of material; half a day at 400 and 200 for the bin.
    assert (tile.actual.person_days, tile.actual.site_days, tile.actual.crew) == (2.0, 2.0, 1.0)
    assert (tile.actual.labour, tile.actual.material) == (80_000, 50_000)
    assert tile.actual.cost == 130_000
    assert (demo.actual.person_days, demo.actual.cost) == (0.5, 40_000)
    # 20 h = 2.5 days = 1,000 and 700 of bills.
    assert job.actual.cost == 170_000


def test_a_log_that_contradicts_a_phase_fills_no_days() -> None:
    job = only([phase("tile", actual=Amounts(person_days=6.0)), worked(1, 8.0, "tile")])
    tile = record(job, "tile")
    assert (tile.actual.person_days, tile.actual.site_days) == (6.0, None)
    assert any("6 by its own rows, 1 by the hours log" in c for c in job.conflicts)


def test_untagged_lines_leave_the_cost_of_phases_open() -> None:
    job = only(
        [worked(1, 8.0, "tile"), line("material", 50_000, "tile"), line("sub", 9_000, None, 51)],
        RATED,
    )
    tile = record(job, "tile")
    assert (tile.actual.labour, tile.actual.material, tile.actual.cost) == (40_000, 50_000, None)
    assert job.actual.cost == 99_000
    assert job.conflicts == (
        "direct cost of 1 phase is left open: 1 cost line of the job names no phase.",
    )


def test_own_work_without_a_price_leaves_the_cost_of_a_phase_open() -> None:
    rows: list[Entry] = [
        phase("tile", 5, actual=Amounts(person_days=2.0, material=50_000)),
        phase("plumb_rough", 6, actual=Amounts(sub=90_000)),
    ]
    open_cost = only(rows)
    assert record(open_cost, "tile").actual.cost is None
    assert record(open_cost, "plumb_rough").actual.cost == 90_000
    assert open_cost.actual.cost is None
    priced = only(rows, RATED)
    assert record(priced, "tile").actual.cost == 130_000
    assert priced.actual.cost == 220_000


def test_kinds_are_summed_only_where_they_are_whole() -> None:
    whole = [
        phase("tile", 5, actual=Amounts(labour=30_000, material=20_000)),
        phase("plumb_rough", 6, actual=Amounts(sub=90_000)),
    ]
    job = only([*whole])
    assert (job.actual.labour, job.actual.material, job.actual.sub) == (30_000, 20_000, 90_000)
    assert job.actual.cost == 140_000
    # A phase known by its total only may hide any kind.
    hidden = only([*whole, phase("paint", 7, actual=Amounts(cost=10_000))])
    assert (hidden.actual.labour, hidden.actual.cost) == (None, 150_000)


def test_share_complete_and_books_are_the_phases_own() -> None:
    job = only(
        [
            phase("tile", 5, percent_complete=0.4, books_closed=True),
            phase("tile", 6, percent_complete=0.6, books_closed=False),
        ]
    )
    tile = record(job, "tile")
    assert (tile.percent_complete, tile.books_closed) == (0.4, False)
    assert job.conflicts[0].startswith("phase tile: share complete: 0.4 (")


@pytest.mark.parametrize("crew", [None, 2.0])
def test_a_phases_stated_crew_stands_without_days(crew: float | None) -> None:
    job = only([phase("tile", actual=Amounts(person_days=4.0, crew=crew))])
    assert record(job, "tile").actual.crew == crew

"""Call-back work is booked to the phase that caused it and kept out of what the job took."""

from __future__ import annotations

from datetime import date

from costlearn.assembly import assemble
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import Callback, CostEntry, HoursEntry, Job, JobEntry

RATED = Firm(day_rate=400.0)


def at(row: int, file: str = "h.csv") -> Place:
    return Place(file, "", row)


def hours(row: int, month: int, cause: str | None = None, **more: object) -> HoursEntry:
    day = date(2024, month, 4)
    return HoursEntry("J-1", "Ann", day, 8.0, at(row), callback_of=cause, **more)  # type: ignore[arg-type]


def line(row: int, cents: int, cause: str | None = None, **more: object) -> CostEntry:
    return CostEntry("J-1", "material", cents, at(row, "r.csv"), callback_of=cause, **more)  # type: ignore[arg-type]


def only(entries: list[object], firm: Firm = RATED) -> Job:
    (job,) = assemble(entries, firm).jobs  # type: ignore[arg-type]
    return job


def test_call_backs_stay_out_of_the_jobs_and_phases_figures() -> None:
    plain = [
        JobEntry("J-1", at(2, "j.csv"), state="finished"),
        hours(2, 3, phase="tile"),
        line(2, 10_000, phase="tile"),
    ]
    back = [
        hours(3, 9, "tile", phase="tile"),
        HoursEntry("J-1", "Ann", date(2024, 9, 5), 2.0, at(4), callback_of="tile"),
        line(3, 4_000, "tile"),
        line(4, 1_500, "unassigned"),
    ]
    without, job = only(plain), only(plain + back)
    assert job.actual == without.actual
    assert job.phases == without.phases
    # Half a year later it was mended; the job was over in March all the same.
    assert (job.started, job.finished) == (date(2024, 3, 4), date(2024, 3, 4))
    # 8 + 2 hours are 1.25 days of 8 hours: 500.00 at 400 a day, and 40.00 of material.
    assert job.callbacks == (
        Callback(
            "tile",
            1.25,
            54_000,
            "1 cost line and 10 hours at the day rate of $400",
            (at(3, "r.csv"), at(3), at(4)),
        ),
        Callback("unassigned", None, 1_500, "1 cost line", (at(4, "r.csv"),)),
    )
    figures = {o.figure: o.how for o in job.origins}
    assert figures["call-back of tile"] == "1 cost line and 10 hours at the day rate of $400"


def test_hours_without_a_price_leave_the_cost_open() -> None:
    job = only([hours(2, 3), hours(3, 9, "tile"), line(3, 4_000, "tile")], Firm())
    (back,) = job.callbacks
    assert (back.person_days, back.cost) == (1.0, None)
    assert "call-back work of tile: its cost is left open, for its hours have no price." in (
        job.conflicts
    )


def test_call_backs_come_in_the_order_of_the_trade() -> None:
    causes = ("paint", "own_phase", "demo", "tile")
    job = only([hours(n, 9, cause) for n, cause in enumerate(causes, 2)])
    assert [b.phase for b in job.callbacks] == ["demo", "tile", "paint", "own_phase"]


def test_lines_in_another_currency_are_left_out_and_said() -> None:
    job = only([line(2, 4_000, "tile", currency="EUR")])
    assert job.callbacks == ()
    assert any(c.startswith("call-back work: 1 cost line in EUR") for c in job.conflicts)

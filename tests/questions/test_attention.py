"""Planted slips are listed, each under its kind and job; sound histories are left in peace."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta

import pytest
from making import bathrooms, job, phased

from costlearn.assembly import assemble
from costlearn.errors import Place
from costlearn.features.attention import KINDS
from costlearn.firm import Firm
from costlearn.questions.attention import Look, attention, far_off
from costlearn.records import (
    Amounts,
    CostEntry,
    Entry,
    History,
    HoursEntry,
    Job,
    JobEntry,
    PhaseEntry,
    PhaseRecord,
)

ROW = Place("rows.csv", "", 7)


def kinds(look: Look) -> list[tuple[str, str]]:
    return [(a.job, a.kind) for a in look.found]


def with_job(history: History, number: int, **values: object) -> History:
    jobs = list(history.jobs)
    jobs[number] = replace(jobs[number], **values)  # type: ignore[arg-type]
    return replace(history, jobs=tuple(jobs))


def scaled(history: History, number: int, **factors: float) -> History:
    """A history in which some actual figures of one job are multiplied."""
    actual = history.jobs[number].actual
    changed = {k: getattr(actual, k) * f for k, f in factors.items()}
    if "cost" in changed:
        changed["cost"] = int(changed["cost"])
    return with_job(history, number, actual=replace(actual, **changed))


def test_sound_histories_are_left_in_peace() -> None:
    """20 histories of 30 jobs, two figures each: at most 1 in 100 is asked about."""
    asked: Counter[str] = Counter()
    for seed in range(20):
        history = phased(bathrooms(30, seed, plan_noise=0.1, noise=0.15), seed)
        asked.update(a.kind for a in attention(history).found)
    assert set(asked) <= {"cost far off", "time far off"}
    assert asked.total() <= 12


def test_nothing_is_said_of_nothing() -> None:
    look = attention(History())
    assert look.found == () == look.tables()
    assert look.sentence == "Nothing on file looks like a slip."


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize(
    ("factors", "area", "said"),
    [
        ({"cost": 100.0}, 1.0, "direct cost looks 100 times too large"),
        ({"cost": 0.01}, 1.0, "direct cost looks 100 times too small"),
        ({"cost": 0.001}, 1.0, "direct cost looks 1000 times too small"),
        ({}, 1 / 10.7639, "floor area looks 10.76 times too small"),
        ({}, 10.7639, "floor area looks 10.76 times too large"),
        ({"person_days": 8.0}, 1.0, "person-days look 8 times too large"),
        ({"person_days": 0.125}, 1.0, "person-days look 8 times too small"),
    ],
)
def test_a_slip_of_a_unit_is_named(
    factors: dict[str, float], area: float, said: str, seed: int
) -> None:
    history = scaled(bathrooms(24, seed), 5, **factors)
    history = with_job(history, 5, area_sqft=(history.jobs[5].area_sqft or 0.0) * area)
    slips = [a for a in attention(history).found if a.kind == "unit slip"]
    assert [a.job for a in slips] == ["B-05"]
    assert said in slips[0].sentence


def test_a_cost_three_times_the_others_is_far_off_once() -> None:
    look = attention(scaled(bathrooms(24), 5, cost=3.0))
    assert kinds(look) == [("B-05", "cost far off")]
    assert "a sq ft" in look.found[0].sentence
    table = look.tables()[0]
    assert table.rows[0][:2] == ("B-05", "cost far off")


def test_a_scope_that_explains_its_cost_is_not_far_off() -> None:
    """A bathroom with every costly item costs more than any other, and nobody is asked about it."""
    history = bathrooms(40, 3, noise=0.08)
    full = max(history.jobs, key=lambda j: j.actual.cost or 0)
    assert full.name not in [a.job for a in far_off(history)]


def test_the_only_job_of_its_kind_is_far_off_nothing() -> None:
    history = with_job(scaled(bathrooms(24), 5, cost=0.25), 5, kind="laundry")
    assert far_off(history) == ()
    second = with_job(history, 6, kind="laundry")
    assert [a.job for a in far_off(second)] == ["B-05"], "one beside another of its kind may be"
    worst = scaled(with_job(history, 9, kind="bathroom"), 9, cost=3.0)
    assert [a.job for a in far_off(worst)] == ["B-09"], "it hides no other"


def test_seven_jobs_are_too_few_to_say_one_is_off() -> None:
    assert attention(scaled(bathrooms(7), 3, cost=100.0)).found == ()


def test_a_cost_equal_to_its_plan() -> None:
    amounts = Amounts(cost=1_234_567)
    one = job("a", plan=amounts, actual=amounts)
    other = job("b", plan=amounts, actual=Amounts(cost=1_234_568))
    look = attention(History(jobs=(one, other)))
    assert kinds(look) == [("A", "equals the plan")]
    assert "$12,345.67" in look.found[0].sentence


def test_phases_copied_from_the_plan_but_not_bought_at_a_fixed_price() -> None:
    def phase(key: str, actual: int, **kinds_of_cost: int) -> PhaseRecord:
        return PhaseRecord(key, Amounts(cost=50_000), Amounts(cost=actual, **kinds_of_cost))

    copied = job("a", phases=(phase("demo", 50_000), phase("tile", 50_000), phase("paint", 61_000)))
    bought = job("b", phases=tuple(phase(k, 50_000, sub=50_000) for k in ("demo", "tile", "paint")))
    once = job("c", phases=(phase("demo", 50_000), phase("tile", 48_000), phase("paint", 61_000)))
    look = attention(History(jobs=(copied, bought, once)))
    assert kinds(look) == [("A", "equals the plan")]
    assert "2 of 3 phases (demo, tile)" in look.found[0].sentence


def test_an_end_before_the_start() -> None:
    one = job("a", started=date(2024, 5, 6), finished=date(2024, 5, 3))
    assert kinds(attention(History(jobs=(one,)))) == [("A", "end before start")]


def test_person_days_that_need_twenty_hour_days() -> None:
    """50 person-days in 10 days on site for 2 people: 50 x 8 / 20 = 20 hours a day each."""
    one = job("a", actual=Amounts(person_days=50.0, site_days=10.0))
    fine = job("b", actual=Amounts(person_days=20.0, site_days=10.0))
    look = attention(History(jobs=(one, fine)))
    assert kinds(look) == [("A", "too long a day")]
    assert "20-hour days for a crew of 2" in look.found[0].sentence


def hours(name: str, day: date, count: float, person: str = "Ann", row: int = 2) -> HoursEntry:
    return HoursEntry(name, person, day, count, Place("hours.csv", "", row))


def looked(entries: list[Entry]) -> Look:
    return attention(assemble(entries, Firm()), entries)


def test_hours_logged_after_the_end() -> None:
    end = date(2024, 3, 8)
    rows: list[Entry] = [JobEntry("J-1 bath", ROW, started=date(2024, 3, 4), finished=end)]
    rows += [hours("J-1 bath", end - timedelta(days=i), 8, row=2 + i) for i in range(4)]
    assert looked(rows).found == ()
    rows.append(hours("J-1", end + timedelta(days=5), 6, row=9))
    look = looked(rows)
    assert kinds(look) == [("J-1 bath", "hours after the end")]
    assert look.found[0].places == (Place("hours.csv", "", 9),)
    assert "6 hours in 1 row" in look.found[0].sentence
    called_back = replace(rows[-1], callback_of="tile")  # type: ignore[type-var]
    assert looked([*rows[:-1], called_back]).found == ()


def test_one_person_cannot_work_twenty_hours_over_two_jobs() -> None:
    day = date(2024, 3, 4)
    usual: list[Entry] = [hours("J-1", day + timedelta(days=i), 8, row=2 + i) for i in range(1, 9)]
    look = looked([*usual, hours("J-1", day, 10, "ann", 20), hours("J-2", day, 10, "Ann", 21)])
    assert kinds(look) == [("", "too long a day")]
    assert "20 hours on 2024-03-04 in 2 rows" in look.found[0].sentence
    weeks: list[Entry] = [
        hours("J-1", day + timedelta(days=7 * i), 38, row=2 + i) for i in range(8)
    ]
    # A log of weeks says nothing of days; the days on site made of it are asked about instead.
    assert ["days on site" in a.sentence for a in looked(weeks).found] == [True]


def test_one_job_twice() -> None:
    history = bathrooms(12)
    first = replace(history.jobs[4], name="Birch st. hall bath")
    again = replace(first, key="again", name="Birch Street bath, hall")
    jobs = (*history.jobs[:4], first, *history.jobs[5:], again)
    look = attention(replace(history, jobs=jobs))
    assert kinds(look) == [(first.name, "one job twice")]
    assert again.name in look.found[0].sentence


def test_two_jobs_of_one_building_are_two_jobs() -> None:
    """Same place and area on other dates at another cost: twins of a kind, not one job."""
    one = job("a", name="Birch 4, bath up", area_sqft=40.0, started=date(2024, 1, 8))
    one = replace(one, actual=Amounts(cost=1_000_000))
    other = replace(one, key="b", name="Birch 4, bath down", started=date(2024, 4, 8))
    other = replace(other, actual=Amounts(cost=1_180_000))
    assert attention(History(jobs=(one, other))).found == ()


def spent(ratios: list[float], closed: bool | None = None) -> History:
    jobs = tuple(
        job(
            f"j{i}",
            plan=Amounts(cost=1_000_000),
            actual=Amounts(cost=int(1_000_000 * r)),
            books_closed=closed,
        )
        for i, r in enumerate(ratios)
    )
    return History(jobs=jobs)


def test_books_that_are_likely_still_open() -> None:
    low = [0.9 - 0.01 * i for i in range(14)]
    look = attention(spent([*low, 1.03]))
    assert kinds(look) == [("", "bills to come")]
    assert "14 of 15 records of whole jobs cost less than planned" in look.found[0].sentence
    assert attention(spent([*low, 1.03], closed=True)).found == ()
    mixed = attention(spent([*low[:9], 1.1, 1.2, 1.3, 1.4, 1.02]))
    assert "bills to come" not in [kind for _, kind in kinds(mixed)]


def test_a_share_held_back_in_every_phase() -> None:
    def one(name: str, ratios: tuple[float, ...]) -> Job:
        phases = tuple(
            PhaseRecord(k, Amounts(cost=c), Amounts(cost=round(c * r)))
            for k, c, r in zip(
                ("demo", "tile", "paint"), (110_000, 437_000, 95_000), ratios, strict=True
            )
        )
        return job(name, phases=phases)

    look = attention(History(jobs=(one("a", (0.9, 0.9, 0.9)), one("b", (0.9, 0.8, 0.95)))))
    assert kinds(look) == [("A", "bills to come")]
    assert "stands at 90 %" in look.found[0].sentence


def test_bills_that_stop_before_the_end() -> None:
    end = date(2024, 6, 28)
    plan = Amounts(cost=1_000_000)

    def bills(last: date) -> list[Entry]:
        listed = JobEntry("J-1", ROW, finished=end, plan=plan, actual=Amounts(cost=800_000))
        days = [date(2024, 5, 3), date(2024, 5, 17), last]
        lines = [
            CostEntry("J-1", "material", 10_000, Place("bills.csv", "", 2 + i), day=d)
            for i, d in enumerate(days)
        ]
        return [listed, *lines]

    look = looked(bills(date(2024, 5, 31)))
    assert kinds(look) == [("J-1", "bills to come")]
    assert "2024-05-31, 28 days before its end" in look.found[0].sentence
    assert look.found[0].places == (Place("bills.csv", "", 4),)
    assert looked(bills(date(2024, 6, 20))).found == ()


def test_every_kind_has_its_place_in_the_order() -> None:
    entries: list[Entry] = [PhaseEntry("J-1", "demo", ROW, plan=Amounts(cost=5))]
    look = looked(entries)
    assert look.found == ()
    assert len(set(KINDS)) == len(KINDS)

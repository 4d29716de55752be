"""Where a running job ends: the whole answer, its odds, and what it says where little is known."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from costlearn.firm import Firm
from costlearn.questions.running.midjob import Forecast, forecast
from costlearn.records import NOTHING, Amounts, History, Job
from tests.making import bathrooms, change, phased

MONDAY = date(2025, 6, 2)
EVENING = date(2025, 6, 13)


def firm() -> Firm:
    return Firm(wanted_margin=0.25)


def history(count: int = 22) -> History:
    made = phased(bathrooms(count + 1, noise=0.1, plan_noise=0.1, firm=firm()))
    return replace(made, jobs=made.jobs[:-1])


def running(after: int = 3, times: float = 1.0, **more) -> Job:
    """A bathroom begun on a Monday, its first phases done at ``times`` their plan."""
    last = phased(bathrooms(23, noise=0.1, plan_noise=0.1)).jobs[-1]
    phases = []
    for i, p in enumerate(last.phases):
        done = Amounts(
            cost=int((p.plan.cost or 0) * times),
            person_days=(p.plan.person_days or 0) * times,
            site_days=(p.plan.person_days or 0) * times,
        )
        phases.append(
            replace(p, actual=done if i < after else NOTHING, percent_complete=float(i < after))
        )
    spent = [p.actual for p in phases[:after]]
    values = {
        "state": "running",
        "finished": None,
        "started": MONDAY,
        "price": 2_500_000,
        "phases": tuple(phases),
        "plan": replace(last.plan, elapsed_days=25.0),
        "actual": Amounts(
            cost=sum(a.cost or 0 for a in spent),
            person_days=sum(a.person_days or 0 for a in spent),
            site_days=sum(a.site_days or 0 for a in spent),
            elapsed_days=10.0,
        ),
    }
    return replace(last, **(values | more))


def odds(answer: Forecast) -> dict[str, float]:
    return {o.what: o.chance for o in answer.odds}


def test_a_full_answer():
    answer = forecast(history(), running())
    assert answer.known
    assert [one.target for one in answer.landings] == [
        "cost",
        "person_days",
        "site_days",
        "elapsed_days",
    ]
    for one in answer.landings:
        assert one.so_far < one.main.low < one.median < one.main.high
        assert list(one.curve) == sorted(one.curve)
    assert set(odds(answer)) == {"budget", "margin", "price", "finish"}
    assert all(0 <= chance <= 1 for chance in odds(answer).values())
    assert answer.watch == "tile"
    assert "Watch tile and grout" in answer.sentence
    assert len(answer.tables()) == 4
    json.dumps(answer.plain(), allow_nan=False)


def test_limits_are_figures_and_odds_follow_them():
    job = running()
    answer = forecast(history(), job)
    limits = {o.what: o.limit for o in answer.odds}
    assert limits["price"] == 25_000
    assert limits["margin"] == 18_750
    assert limits["budget"] == pytest.approx(sum(p.plan.cost or 0 for p in job.phases) / 100)
    assert odds(answer)["margin"] < odds(answer)["price"]
    wider = forecast(history(), job, margin=0.1)
    assert odds(wider)["margin"] > odds(answer)["margin"]
    cost = answer.landing("cost")
    assert cost is not None
    middle = replace(job, price=int(cost.median * 100))
    assert odds(forecast(history(), middle))["price"] == pytest.approx(0.5, abs=0.01)


def test_dear_phases_lift_the_end_and_sink_the_odds():
    calm, dear = forecast(history(), running()), forecast(history(), running(times=1.3))
    ends = [a.landing("cost") for a in (calm, dear)]
    assert ends[0] is not None
    assert ends[1] is not None
    assert ends[1].median - ends[0].median > ends[1].so_far - ends[0].so_far
    assert odds(dear)["budget"] < odds(calm)["budget"]


def test_the_promised_day_and_the_day_it_is_asked_on():
    job = running()
    by_plan = forecast(history(), job)
    assert by_plan.finish is not None
    assert by_plan.finish.since == EVENING  # ten working days from Monday 2 June
    assert by_plan.finish.promised == date(2025, 7, 4)  # 25 working days
    assert not by_plan.finish.stated
    stated = [forecast(history(), job, promised=MONDAY + timedelta(days=d)) for d in (14, 30, 90)]
    chances = [a.finish.chance for a in stated if a.finish]
    assert chances == sorted(chances)
    assert chances[-1] > 0.99
    later = forecast(history(), job, on=EVENING + timedelta(days=7))
    assert later.finish is not None
    assert (later.finish.middle - by_plan.finish.middle).days == 7
    gone = [a.landing("elapsed_days") for a in (by_plan, later)]
    assert [g.so_far for g in gone if g] == [10, 15]


def test_index_arithmetic_stands_beside_it():
    """Three phases done at 1.3 times plan: CPI 1 / 1.3 and EAC = BAC x 1.3."""
    answer = forecast(history(), running(times=1.3))
    ends = dict(answer.index_ends)
    assert answer.index is not None
    assert ends["cost index CPI"] == pytest.approx(1 / 1.3, rel=1e-3)
    assert ends["EAC = AC + (BAC - EV) / CPI"] == pytest.approx(1.3 * answer.index.budget, rel=1e-3)
    assert answer.index.planned == pytest.approx(answer.index.budget * 10 / 25)
    cost = answer.landing("cost")
    assert cost is not None
    assert answer.index.at_plan < cost.median < 1.3 * answer.index.budget


def test_work_left_moves_the_part_done():
    job = running()
    less = forecast(history(), job, left={"tile": 0.5})
    tile = next(s for s in less.standings if s.phase == "tile")
    assert tile.how == "part done"
    before = forecast(history(), job)
    pair = [next(p for p in a.phases if p.phase == "tile").to_come for a in (less, before)]
    assert pair[0] is not None
    assert pair[1] is not None
    assert pair[0] < 0.3 * pair[1]


def test_changes_enter_the_plan_only_when_approved():
    job = running()
    approved = change(phase="tile", price=90_000, cost=60_000, days=1.0)
    verbal = change("verbal", label="CO-2", phase="tile", price=50_000, cost=40_000)
    answer = forecast(history(), replace(job, changes=(approved, verbal)))
    plain = forecast(history(), job)
    pair = [a.landing("cost") for a in (answer, plain)]
    assert pair[0] is not None
    assert pair[1] is not None
    assert (pair[0].plan or 0) - (pair[1].plan or 0) == pytest.approx(600)
    assert [c.state for c in answer.changes] == ["approved", "verbal"]
    assert "Change orders in hand" in [t.caption for t in answer.tables()]
    assert any("Verbal changes" in n for n in answer.grounds.notes)


def test_without_a_plan_by_phase_phase_models_speak():
    job = running()
    bare = replace(job, phases=tuple(replace(p, plan=NOTHING) for p in job.phases))
    answer = forecast(history(), bare)
    assert answer.known
    assert not answer.by_plan
    assert "no plan by phase" in answer.sentence
    assert answer.index is None
    assert answer.finish is None
    cost, planned = answer.landing("cost"), forecast(history(), job).landing("cost")
    assert cost is not None
    assert planned is not None
    assert cost.main.high - cost.main.low > planned.main.high - planned.main.low
    json.dumps(answer.plain(), allow_nan=False)


def test_few_jobs_are_said_and_none_is_no_answer():
    some = forecast(history(5), running())
    assert some.known
    assert "mostly assumptions" in some.sentence
    assert all(i.level < 0.9 for one in some.landings for i in one.intervals)
    none = forecast(History(firm()), running())
    assert not none.known
    assert "at least 3 finished jobs" in none.sentence
    assert none.index is not None  # the arithmetic needs no history
    assert none.landings == ()


def test_a_finished_job_and_one_with_nothing_on_file():
    past = history()
    done = forecast(past, past.usable[0])
    assert not done.known
    assert "is finished, not running" in done.sentence
    empty = forecast(past, running(phases=()))
    assert not empty.known
    assert "which of its phases are done" in empty.sentence
    over = forecast(past, running(after=6))
    assert not over.known
    assert "bills still to come" in over.sentence


def test_before_anything_is_done_it_answers_from_the_plan():
    answer = forecast(history(), running(after=0, actual=NOTHING))
    cost = answer.landing("cost")
    assert cost is not None
    assert cost.so_far == 0
    assert answer.finish is None  # no crew yet to take days from


def test_spend_of_a_phase_under_way_is_a_lower_bound():
    job = running()
    phases = list(job.phases)
    huge = Amounts(cost=4_000_000)
    phases[3] = replace(phases[3], actual=huge, percent_complete=0.0)
    one = replace(job, phases=tuple(phases), actual=replace(job.actual, cost=None))
    answer = forecast(history(), one)
    cost = answer.landing("cost")
    assert cost is not None
    assert np.min(cost.curve) >= 40_000
    assert any("lower bound" in n for n in answer.grounds.notes)


def test_the_same_input_says_the_same():
    first, second = (json.dumps(forecast(history(), running()).plain()) for _ in range(2))
    assert first == second

"""What earns most a day: planted kinds are found, sums are by hand, and gaps are said."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from making import NOWHERE, change, job

from costlearn.firm import Firm
from costlearn.questions.earning.against import recovered, unseen_of
from costlearn.questions.earning.earnings import Earnings, earnings
from costlearn.questions.earning.level import PriceLevel
from costlearn.questions.earning.takings import OWN, SITE, mix_of, takings
from costlearn.questions.earning.words import chances
from costlearn.records import Amounts, Callback, History, HoursEntry, Job

START = date(2023, 1, 9)
FIRM = Firm(overhead_per_year=40_000.0, working_days_per_year=200.0)
TRUTH = {"kitchen": 420.0, "bathroom": 300.0, "laundry": 180.0}


def done(i: int, kind: str | None, a_day: float, days: float = 10.0, **values: object) -> Job:
    """A job alone that leaves so much a day; paid, and planned to nothing."""
    day = START + timedelta(days=28 * i)
    cost = 500.0 * days
    said: dict[str, object] = {
        "kind": kind,
        "started": day,
        "finished": day + timedelta(days=14),
        "paid": round(100 * (cost + a_day * days)),
        "actual": Amounts(
            cost=round(100 * cost), site_days=days, person_days=days, crew=1.0, elapsed_days=days
        ),
        "books_closed": True,
    }
    return job(f"j{i}", **{**said, **values})


def firm(counts: dict[str, int], seed: int = 3, scatter: float = 60.0) -> History:
    """Jobs of each kind about its truth, in a mixed order."""
    rng = np.random.default_rng(seed)
    kinds = [k for k, n in counts.items() for _ in range(n)]
    rng.shuffle(kinds)
    return History(
        FIRM,
        tuple(
            done(i, k, TRUTH[k] + scatter * rng.standard_normal(), float(rng.integers(3, 25)))
            for i, k in enumerate(kinds)
        ),
    )


@pytest.fixture(scope="module")
def found() -> Earnings:
    return earnings(firm({"bathroom": 20, "kitchen": 8, "laundry": 5}))


def test_planted_kinds_are_ranked_held_and_told_apart(found: Earnings):
    for measure in (SITE, OWN):
        mix = found.of(measure)
        assert mix is not None
        assert [e.name for e in mix.kinds] == ["kitchens", "bathrooms", "laundries"]
        # Money is at the newest price level, so truth is up to a drift near one here.
        assert mix.kinds[1].middle == pytest.approx(300, rel=0.15)
        assert mix.pairs[0].chance > 0.95
        assert mix.kinds[0].best > 0.9
    assert "Kitchens earn more than" in found.sentence
    assert found.sentence.startswith("After direct cost a day on site leaves on average $")


def test_range_comes_first_then_the_middle(found: Earnings):
    kitchens = found.mixes[0].kinds[0]
    assert kitchens.interval.low < kitchens.half.low < kitchens.middle < kitchens.interval.high
    said = found.sentence.split(" on kitchens (middle $")[0]
    assert " to $" in said


def test_kinds_alike_are_not_told_apart():
    same = History(
        FIRM, tuple(done(i, "bathroom" if i % 2 else "kitchen", 300.0) for i in range(12))
    )
    answer = earnings(same)
    assert "cannot be told" in answer.sentence
    assert answer.mixes[0].pairs[0].chance == pytest.approx(0.5, abs=0.1)


def test_a_kind_of_two_jobs_is_pooled_but_nothing_is_said_of_it():
    answer = earnings(firm({"bathroom": 9, "laundry": 2}))
    mix = answer.mixes[0]
    assert [e.told for e in mix.kinds] == [True, False]
    assert mix.pairs == ()
    assert "Too few to say of laundries (2 jobs)." in answer.sentence
    row = next(r for r in answer.tables()[0].rows if r[0] == "laundries")
    assert row[1] == "too few to say"
    assert row[5:] == ("",)


def test_what_is_left_is_price_less_cost_by_hand():
    jobs = (
        done(0, "bathroom", 300.0),
        done(1, "bathroom", 0.0, paid=None, price=700_000, changes=(change(price=50_000),)),
        done(2, "bathroom", 0.0, paid=None, price=None),
        done(3, "bathroom", 0.0, actual=Amounts(site_days=4.0)),
    )
    found = takings(jobs, PriceLevel({"j1": 2.0}, ""), {"j0": 8.0})
    assert [(t.key, t.left) for t in found] == [("j0", 3000.0), ("j1", 5000.0)]
    assert found[0].a_day(SITE) == 300.0
    assert found[0].a_day(OWN) == 375.0
    assert found[1].a_day(OWN) is None
    assert (found[0].how, found[1].how) == ("price paid", "price quoted with approved changes")


def test_short_jobs_weigh_less():
    """Two one-day jobs far up hardly move what twenty-day jobs say."""
    base = [done(i, "bathroom", 300.0 + 5 * (i % 3), 20.0) for i in range(8)]
    odd = [done(9 + i, "bathroom", 600.0, 1.0) for i in range(2)]
    mix = mix_of(takings([*base, *odd], PriceLevel({}, ""), {}), SITE, None)
    assert mix is not None
    assert mix.kinds[0].middle < 320


def test_one_very_long_job_does_not_speak_for_its_kind():
    """It weighs as 4 of middle length: by hand (6 x 300 + 4 x 100) / 10 = 220, not 111."""
    usual = [done(i, "bathroom", 295.0 + 5 * (i % 3), 10.0) for i in range(6)]
    mix = mix_of(
        takings([*usual, done(9, "bathroom", 100.0, 1000.0)], PriceLevel({}, ""), {}), SITE, None
    )
    assert mix is not None
    assert mix.kinds[0].middle > 210
    assert mix.kinds[0].plain == pytest.approx(118_000 / 1060)


def test_jobs_that_run_over_pull_the_day_down_by_all_their_days():
    """Every second job takes twice the days and leaves nothing: by hand, 6,000 over 30 days."""
    jobs = [
        done(i, "bathroom", 600.0 if i % 2 else 0.0, 10.0 if i % 2 else 20.0) for i in range(30)
    ]
    mix = mix_of(takings(jobs, PriceLevel({}, ""), {}), SITE, None)
    assert mix is not None
    kind = mix.kinds[0]
    assert kind.plain == pytest.approx(200.0)
    assert kind.interval.low <= 200.0 <= kind.interval.high
    assert kind.middle == pytest.approx(200.0, abs=20.0)


def test_the_range_is_said_to_be_of_the_average(found: Earnings):
    assert any("not of one job" in note for note in found.grounds.notes)


def test_days_of_the_owner_come_from_the_log():
    jobs = tuple(replace(j, actual=replace(j.actual, crew=2.0)) for j in firm({"bathroom": 6}).jobs)
    rows = [HoursEntry(j.name, "Odrin", START, 16.0, NOWHERE) for j in jobs]
    answer = earnings(History(FIRM, jobs), rows)
    mix = answer.of(OWN)
    assert mix is not None
    assert mix.jobs == 6
    assert {t.own_days for t in answer.takings} == {2.0}
    assert any("Odrin" in n for n in answer.grounds.notes)


def test_missing_days_of_the_owner_are_said():
    jobs = tuple(replace(j, actual=replace(j.actual, crew=2.0)) for j in firm({"bathroom": 6}).jobs)
    answer = earnings(History(FIRM, jobs))
    assert answer.of(OWN) is None
    assert any("6 jobs do not say which days were the owner's" in n for n in answer.grounds.notes)


def test_call_backs_and_unbilled_extras_are_counted_and_set_to_a_year():
    jobs = [done(i, "bathroom", 300.0) for i in range(27)]
    jobs[0] = replace(
        jobs[0],
        callbacks=(Callback("tile", 1.5, 90_000),),
        changes=(change("verbal", cost=20_000, price=40_000), change(cost=10_000, days=0.5)),
    )
    unseen = unseen_of(jobs)
    assert (unseen.callback_cost, unseen.callback_days) == (900.0, 1.5)
    assert unseen.extras.cost == 300.0
    assert unseen.cost == 1200.0
    # 26 steps of 28 days hold 27 jobs: 26 / 1.993 years = 13.04 a year, of 27 jobs.
    assert unseen.share == pytest.approx(26 / (26 * 28 / 365.25) / 27)
    answer = earnings(History(FIRM, tuple(jobs)))
    assert "Call-backs and extras nobody paid for came to about $580 a year." in answer.sentence
    table = next(t for t in answer.tables() if t.caption == "What came off unseen")
    assert table.rows[0] == ("call-backs, tile and grout", "1 job", "$900", "1.5 days", "$435")


def test_without_a_year_on_file_no_sum_is_set_to_a_year():
    jobs = [done(i, "bathroom", 300.0) for i in range(4)]
    jobs[0] = replace(jobs[0], callbacks=(Callback("tile", 1.0, 90_000),))
    answer = earnings(History(FIRM, tuple(jobs)))
    assert "came to about $900 on the jobs on file." in answer.sentence


def test_overhead_is_set_against_what_the_jobs_left_by_hand():
    """Two jobs of $3,000; the span 9 Jan 2023 to 23 Jan 2024 is 380 days of $40,000 a year."""
    jobs = [done(0, "bathroom", 300.0), done(0, "bathroom", 300.0)]
    jobs[1] = replace(jobs[1], key="k", started=date(2024, 1, 9), finished=date(2024, 1, 23))
    against = recovered(FIRM, takings(jobs, PriceLevel({}, ""), {}), 3)
    assert against is not None
    assert against.left == 6000.0
    assert against.overhead == pytest.approx(40_000 * 380 / 365.25)
    assert against.working_days == pytest.approx(200 * 380 / 365.25)
    assert against.uncounted == 1
    assert [(y.year, y.jobs, y.left) for y in against.years] == [
        (2023, 1, 3000.0),
        (2024, 1, 3000.0),
    ]
    assert sum(y.overhead for y in against.years) == pytest.approx(against.overhead)
    undated = replace(jobs[1], key="u", started=None, finished=None)
    more = recovered(FIRM, takings([*jobs, undated], PriceLevel({}, ""), {}), 4)
    assert more is not None and (more.left, more.uncounted) == (6000.0, 2)


def test_without_stated_overhead_the_missing_setting_is_named():
    history = firm({"bathroom": 6})
    answer = earnings(replace(history, firm=Firm(overhead_per_year=1.0)))
    assert answer.overhead is None
    assert "overhead" not in answer.sentence
    assert any("working_days_per_year is not in your settings" in n for n in answer.grounds.notes)
    assert all("overhead" not in h for t in answer.tables() for h in t.heads)


def test_the_odds_of_carrying_overhead_are_those_of_the_mean(found: Earnings):
    """A day must carry $200: kitchens surely do; five laundries of $180 are drawn up to others."""
    covers = {e.name: e.covers for e in found.mixes[0].kinds}
    assert covers["kitchens"] is not None
    assert covers["kitchens"] > 0.98
    assert covers["laundries"] is not None
    assert covers["laundries"] < 0.9


def test_many_jobs_of_a_kind_are_looked_at_by_size():
    history = firm({"bathroom": 18, "kitchen": 5})
    jobs = tuple(replace(j, area_sqft=40.0 + i) for i, j in enumerate(history.jobs))
    answer = earnings(History(FIRM, jobs))
    assert answer.sizes is not None
    assert {e.name.split()[0] for e in answer.sizes.kinds} == {"bathrooms"}
    assert len(answer.sizes.kinds) == 2
    assert sum(e.jobs for e in answer.sizes.kinds) == 18
    assert earnings(history).sizes is None


@pytest.mark.parametrize(
    ("jobs", "said"),
    [
        ((), "0 finished jobs with both a price and a direct cost are on file"),
        ((done(0, "bathroom", 1.0),), "1 finished job with both a price and a direct cost is"),
        (
            tuple(done(i, None, 1.0, actual=Amounts(cost=100_000)) for i in range(4)),
            "fewer than 3 of these jobs say how many days were worked on site",
        ),
    ],
)
def test_what_cannot_be_told_is_said(jobs: tuple[Job, ...], said: str):
    answer = earnings(History(FIRM, jobs))
    assert not answer.known
    assert said in answer.sentence
    assert answer.tables() == ()


def test_odd_firms_are_answered_without_nonsense():
    """All at a loss, of no kind, undated, one job a thousandfold."""
    jobs = [done(i, None, -200.0, started=None, finished=None) for i in range(5)]
    answer = earnings(History(FIRM, tuple(jobs)))
    assert answer.mixes[0].kinds[0].name == "jobs of no kind said"
    assert answer.mixes[0].kinds[0].interval.high < 0
    assert answer.overhead is None
    base = earnings(firm({"bathroom": 9})).mixes[0].kinds[0]
    wild = (*firm({"bathroom": 9}).jobs, done(30, "bathroom", 300_000.0))
    moved = earnings(History(FIRM, wild)).mixes[0].kinds[0]
    assert moved.middle == pytest.approx(base.middle, rel=0.2)


def test_the_same_records_give_the_same_answer_as_plain_data(found: Earnings):
    again = earnings(firm({"bathroom": 20, "kitchen": 8, "laundry": 5}))
    assert again.plain() == found.plain()
    assert found.plain()["question"] == "earnings"


def test_chances_are_said_plainly():
    assert [chances(p) for p in (0.001, 0.03, 0.5, 0.89, 0.94)] == [
        "fewer than 1 in 100", "3 in 100", "5 in 10", "9 in 10", "94 in 100",
    ]  # fmt: skip
